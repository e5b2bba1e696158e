"""Working things out: what is asked, the sum behind it, and an answer in plain words with its doubt.

One ``Calculation`` serves the command line and the pages alike. Each lives in a module of its subject; ``everything``
lists them.
"""

from floatbowl.work_out.calculation import (
    Answer,
    Asked,
    Calculation,
    Curve,
    Figure,
    Table,
    answered,
    with_doubt,
)

__all__ = ["Answer", "Asked", "Calculation", "Curve", "Figure", "Table", "answered", "with_doubt"]
