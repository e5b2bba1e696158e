"""The published examples are run through the small shops that the tests of weighing use."""

from __future__ import annotations

import sys
from pathlib import Path

IDENTIFY = str(Path(__file__).resolve().parents[1] / "identify")
if IDENTIFY not in sys.path:
    sys.path.insert(0, IDENTIFY)
