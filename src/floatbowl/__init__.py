"""floatbowl: which carburettor is it, which kit does it need, and how sure are we?"""

import os

# The weighing multiplies short vectors: several threads cost more than they save, and stall on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
