"""What a check of a pack found: a gap or a contradiction that does not stop the pack from being used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """One gap or contradiction. ``line`` 0 means that the row's line is not known.

    >>> print(Finding("kits.csv", 4, "fits nothing", "kit T-12 fits no carburettor"))
    kits.csv:4: fits nothing: kit T-12 fits no carburettor
    """

    file: str
    line: int
    kind: str
    says: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.kind}: {self.says}"


def found(table: str, line: int, kind: str, says: str) -> Finding:
    """A finding about a row of a table."""
    return Finding(f"{table}.csv", line, kind, says)
