"""The pick list: what to fetch from which place, how many, what is short, and what is laid on its template."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from floatbowl.papers.cautions import OLD_STOCK
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code, with_own
from floatbowl.papers.sums import count

#: Always printed on a pick list.
CAUTIONS: Final = (OLD_STOCK,)


@dataclass(frozen=True, slots=True, kw_only=True)
class PickLine:
    """One thing to fetch. ``quantity`` is ``None`` when it is not known how many; ``short``: so many are missing.

    ``gasket`` asks for it to be laid on its template. Raises ``ValueError`` when more are short than wanted,
    or for what is no number.
    """

    place: str
    item: str
    quantity: Decimal | None = Decimal(1)
    part: str = ""
    sizes: tuple[str, ...] = ()
    short: Decimal = Decimal(0)
    gasket: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        if not all(each is None or each.is_finite() for each in (self.quantity, self.short)):
            raise ValueError(f"{self.item}: {self.quantity} wanted, {self.short} short; give numbers")
        if self.short < 0 or self.short > (0 if self.quantity is None else self.quantity):
            raise ValueError(f"{self.item}: {self.short} short of {self.quantity}; from nothing to all can be short")


@dataclass(frozen=True, slots=True, kw_only=True)
class PickList:
    """All that a pick list says, its lines in the order in which they are walked to.

    ``purpose`` is the job or offer it is for, such as ``Job J-0117``; ``address`` is what the square code opens.
    """

    shop_name: str
    number: str
    date: datetime.date
    purpose: str = ""
    address: str = ""
    caller_name: str = ""
    kit: str = ""
    lines: tuple[PickLine, ...] = ()
    #: Besides the list's own.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def pick_list_pdf(paper: PickList) -> bytes:
    """The list as a PDF; the same list gives the same bytes. Raises ``ValueError`` for an unknown page size."""
    return printed("pick_list.typ", _as_data(paper), paper.date)


def _as_data(paper: PickList) -> dict[str, Any]:
    data = as_data(replace(paper, cautions=with_own(CAUTIONS, paper.cautions)))
    for row, line in zip(data["lines"], paper.lines, strict=True):
        row |= {"quantity": "" if line.quantity is None else count(line.quantity), "short": _short(line)}
    short = sum(1 for line in paper.lines if line.short)
    return data | {"code": square_code(paper.address), "short": short}


def _short(line: PickLine) -> str:
    """What is missing, in words; empty when nothing is."""
    if not line.short or line.quantity is None:
        return ""
    if line.short == line.quantity:
        return "SHORT: none is there"
    return f"SHORT: {count(line.short)} of {count(line.quantity)} missing"
