"""floatbowl: which carburettor is it, which kit does it need, and how sure are we?"""

import os
from pathlib import Path

# The weighing multiplies short vectors: several threads cost more than they save, and stall on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

if "NUMBA_CACHE_DIR" not in os.environ:
    # Compiled code goes to the user's cache folder, so that an installation may be read-only.
    os.environ["NUMBA_CACHE_DIR"] = str(
        Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "floatbowl" / "compiled"
    )

__version__ = "0.1.0"
