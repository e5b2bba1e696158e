"""Numbers as suppliers write them: with a decimal point or a decimal comma, thousands set apart or not.

``1,250`` is one and a quarter or twelve hundred and fifty. A whole file is read one way; which way is told by the cells
that can be read one way only, and where there are none it is asked.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Final, Literal

Mark = Literal["point", "comma"]
MARKS: Final[tuple[Mark, ...]] = ("point", "comma")
Cell = str | int | float | Decimal | None

#: Signs and names of money that may stand before or behind a number.
_MONEY: Final = re.compile(
    r"(£|€|\$|¥|kr\.?|:-|\b(?:AUD|CAD|CHF|DKK|EUR|GBP|JPY|NOK|NZD|SEK|USD|ZAR)\b)", re.IGNORECASE
)
_BLANKS: Final = re.compile("[\\s\u00a0\u202f\u2009]+")
#: Thousands in threes, set apart throughout by one sign: an apostrophe or blank, and the sign that is not decimal.
_SHAPES: Final = {
    "point": re.compile(
        r"[+-]?(?:\d+|[1-9]\d{0,2}(?P<apart>[, '’])\d{3}(?:(?P=apart)\d{3})*)(?:\.\d+)?|[+-]?\.\d+", re.ASCII
    ),
    "comma": re.compile(
        r"[+-]?(?:\d+|[1-9]\d{0,2}(?P<apart>[. '’])\d{3}(?:(?P=apart)\d{3})*)(?:,\d+)?|[+-]?,\d+", re.ASCII
    ),
}
_LONGEST: Final = 40


def read_number(cell: Cell, mark: Mark) -> Decimal | None:
    """The number a cell says when read with this decimal mark, or None. A spreadsheet's own number is what it is.

    >>> read_number("1,250", "point"), read_number("1,250", "comma"), read_number("£1 250.50", "point")
    (Decimal('1250'), Decimal('1.250'), Decimal('1250.50'))
    >>> read_number("1.250,5", "point"), read_number("1.25.0", "comma"), read_number("on request", "point")
    (None, None, None)
    """
    if cell is None or isinstance(cell, bool):
        return None
    if isinstance(cell, int | Decimal):
        return Decimal(cell)
    if isinstance(cell, float):
        return Decimal(repr(cell)) if math.isfinite(cell) else None
    plain = bare(cell)
    if len(plain) > _LONGEST or not _SHAPES[mark].fullmatch(plain):
        return None
    apart = re.sub(r"[ '’]", "", plain)
    return Decimal(apart.replace(",", "") if mark == "point" else apart.replace(".", "").replace(",", "."))


def bare(text: str) -> str:
    """A cell without signs of money, its blanks single.

    >>> bare("kr 1 250,50")
    '1 250,50'
    """
    return _BLANKS.sub(" ", _MONEY.sub(" ", text)).strip()


def possible_marks(cells: Iterable[Cell]) -> tuple[Mark, ...]:
    """The decimal marks with which every cell that is a number at all can be read; none when cells contradict.

    Both, only where they would say different numbers somewhere; where they say the same, the point stands for both.

    >>> possible_marks(["1,250", "3,500"]), possible_marks(["1,250", "12,50"]), possible_marks(["12", "7"])
    (('point', 'comma'), ('comma',), ('point',))
    """
    read = [tuple(read_number(cell, mark) for mark in MARKS) for cell in cells]
    numbers = [pair for pair in read if pair != (None, None)]
    fit = tuple(mark for place, mark in enumerate(MARKS) if all(pair[place] is not None for pair in numbers))
    if len(fit) == len(MARKS) and all(point == comma for point, comma in numbers):
        return (MARKS[0],)
    return fit


def told_apart(cells: Iterable[Cell]) -> tuple[str, ...]:
    """Cells that the two marks read as different numbers, as they are written.

    >>> told_apart(["1,250", "12", "3.500"])
    ('1,250', '3.500')
    """
    written = [cell for cell in cells if isinstance(cell, str)]
    return tuple(cell for cell in written if _differs(read_number(cell, "point"), read_number(cell, "comma")))


def _differs(point: Decimal | None, comma: Decimal | None) -> bool:
    return point is not None and comma is not None and point != comma
