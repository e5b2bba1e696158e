"""floatbowl: which carburettor is it, which kit does it need, and how sure are we?"""

__version__ = "0.1.0"
