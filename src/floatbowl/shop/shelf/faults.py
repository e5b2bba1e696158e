"""What is wrong with the rows of a table that was sent: one line for each, and nothing of it brought in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from floatbowl.engine.refusal import Refused

#: So many are told in one text; the rest by their number.
MOST_TOLD: Final = 20


class Fault(NamedTuple):
    """What is wrong, in words, and the line that it is told by; line 0 is the whole table."""

    line: int
    says: str


class RowsRefused(Refused):
    """Some rows of a table cannot be; ``faults`` has one line for each of them."""

    def __init__(self, faults: Sequence[str]) -> None:
        more = f"; and {len(faults) - MOST_TOLD} more" if len(faults) > MOST_TOLD else ""
        super().__init__(f"nothing was brought in. {'; '.join(faults[:MOST_TOLD])}{more}")
        self.faults = tuple(faults)


def at_line(line: int, says: str) -> Fault:
    """A fault of one row.

    >>> at_line(4, "no kit or part is named").says
    'line 4: no kit or part is named'
    """
    return Fault(line, f"line {line}: {says}")


def refuse_any(faults: Sequence[Fault]) -> None:
    """Raise RowsRefused where there is a fault, with the faults in the order of their lines."""
    if faults:
        raise RowsRefused([fault.says for fault in sorted(faults, key=lambda each: each.line)])


def faults_of(wrong: ValueError) -> tuple[str, ...]:
    """One line for each fault."""
    return wrong.faults if isinstance(wrong, RowsRefused) else (str(wrong),)
