"""The order to a supplier: in the supplier's own numbers, by the pack, with what it comes to and when it is wanted."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from floatbowl.money.amount import Amount
from floatbowl.money.lines import Line
from floatbowl.papers.cautions import MATERIAL, NO_ASBESTOS
from floatbowl.papers.paper import Caution, Page, as_data, printed, with_own
from floatbowl.papers.sums import count, figure, money

#: Always printed on an order.
CAUTIONS: Final = (MATERIAL, NO_ASBESTOS)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """So many packs of one thing. ``pack_price`` is ``None`` when the supplier has still to name it.

    Raises ``ValueError`` when packs or their size are below 1.
    """

    item: str
    packs: int
    pack_size: int = 1
    supplier_number: str = ""
    our_number: str = ""
    pack_price: Amount | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.packs < 1 or self.pack_size < 1:
            raise ValueError(f"{self.item}: {self.packs} packs of {self.pack_size}; order whole packs, at least one")

    @property
    def pieces(self) -> int:
        """How many pieces come in all."""
        return self.packs * self.pack_size

    @property
    def amount(self) -> Amount | None:
        """What the packs cost, to the currency's own places; nobody knows while the price is not named."""
        if self.pack_price is None:
            return None
        line = Line(says=self.item, quantity=Decimal(self.packs), unit_price=self.pack_price.value)
        return Amount(line.amount(self.pack_price.currency), self.pack_price.currency)


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseOrder:
    """All that an order says. ``freight`` is ``None`` when it is not known; ``prices`` says with or before which tax.

    ``account`` is our number with the supplier.
    """

    shop_name: str
    number: str
    date: datetime.date
    supplier: str
    shop_address: str = ""
    tax_number: str = ""
    account: str = ""
    deliver_to: str = ""
    wanted_by: datetime.date | None = None
    lines: tuple[OrderLine, ...] = ()
    freight: Amount | None = None
    prices: str = ""
    note: str = ""
    #: Whether it went to the supplier; until then the paper says at its head that it is no order.
    placed: bool = True
    #: Besides the order's own.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def purchase_order_pdf(paper: PurchaseOrder) -> bytes:
    """The order as a PDF; the same order gives the same bytes.

    Raises ``ValueError`` for an unknown page size, and ``Refused`` (a ``ValueError`` too) for two currencies.
    """
    return printed("purchase_order.typ", _as_data(paper), paper.date)


def total(lines: Sequence[OrderLine], freight: Amount | None) -> Amount | None:
    """What the lines and the freight come to, as far as their prices are named; ``None`` when none is.

    Raises ``Refused`` for two currencies.
    """
    known = [amount for amount in (*(line.amount for line in lines), freight) if amount is not None]
    return sum(known[1:], known[0]) if known else None


def _as_data(paper: PurchaseOrder) -> dict[str, Any]:
    known = total(paper.lines, paper.freight)
    worked_out = {
        "rows": [_row(line) for line in paper.lines],
        "freight_figure": "" if paper.freight is None else figure(paper.freight),
        "total": "" if known is None else money(known),
        "currency": "" if known is None else known.currency,
        "unpriced": sum(1 for line in paper.lines if line.pack_price is None),
    }
    return as_data(replace(paper, cautions=with_own(CAUTIONS, paper.cautions)), worked_out)


def _row(line: OrderLine) -> dict[str, str]:
    return {
        "packs": count(Decimal(line.packs)),
        "pack_size": count(Decimal(line.pack_size)),
        "pieces": count(Decimal(line.pieces)),
        "each": "" if line.pack_price is None else figure(line.pack_price),
        "amount": "" if line.amount is None else figure(line.amount),
    }
