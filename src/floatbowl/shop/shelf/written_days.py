"""Days as people write them: 12.10.2026 is day, month, year; with strokes it is told by other rows, or asked."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Choice, Question, answered
from floatbowl.shop.shelf.faults import Fault

Order = Literal["day first", "month first", "either"]
ORDERS: Final[tuple[Order, Order]] = ("day first", "month first")
#: Numbers with dots are read day first everywhere they are written (common practice); strokes are not.
_DOTTED: Final = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})", re.ASCII)
_STROKES: Final = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Written:
    """A day as a cell has it, with its line."""

    line: int
    cell: object


def day_order(cells: Sequence[Written], answers: Mapping[str, str]) -> Order | Question | Fault:
    """Whether the day or the month stands first where days are written like 03/04/2026; what nothing tells is asked."""
    found = [(one.line, match) for one in cells if (match := _STROKES.fullmatch(str(one.cell or "").strip()))]
    day_first = next((line for line, match in found if int(match[1]) > 12), None)
    month_first = next((line for line, match in found if int(match[2]) > 12), None)
    if day_first is not None and month_first is not None:
        return Fault(0, f"line {day_first} has its day first, line {month_first} its month; write year-month-day")
    if month_first is not None:
        return "month first"
    if day_first is not None or all(match[1] == match[2] for _, match in found):
        return "day first"
    example = next(match for _, match in found if match[1] != match[2])[0]
    choices = tuple(Choice(order, f"{example} is {read_day(example, order):%d %B %Y}") for order in ORDERS)
    question = Question("day order", "Does the day or the month stand first?", choices)
    told = answered(question, answers)
    return next((order for order in ORDERS if order == told), question)


def read_day(cell: object, order: Order) -> date | None:
    """The day of a cell, None for an empty one; raises ``Refused`` for what is none.

    >>> read_day("12.10.2026", "month first"), read_day("12/10/2026", "month first")
    (datetime.date(2026, 10, 12), datetime.date(2026, 12, 10))
    """
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    text = str(cell or "").strip()
    if not text:
        return None
    try:
        return _read(text, order)
    except ValueError:
        raise Refused(f"{text[:20]!r} is no day; write it as year-month-day") from None


def _read(text: str, order: Order) -> date:
    dotted, strokes = _DOTTED.fullmatch(text), _STROKES.fullmatch(text)
    match = dotted or strokes
    if match is None:
        return date.fromisoformat(text[:10])
    first, second, year = (int(number) for number in match.groups())
    if strokes and (order == "month first" or (order == "either" and second > 12)):
        return date(year, first, second)
    return date(year, second, first)
