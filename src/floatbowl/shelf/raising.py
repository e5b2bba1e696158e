"""Which lines of a supplier may be raised to fill an order, and why each one was.

All the supplier's lines may be: those suggested, and those that nobody needs yet but will. What is raised lies on the
shelf until it is wanted, so the order that costs least (``floatbowl.shelf.fill_order``) raises what is wanted soonest
for the money it ties up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from floatbowl.shelf.fill_order import SupplierLine, Terms, beyond_worth

#: Of the lines that are not suggested so many are looked at, those wanted soonest for their money (estimate): the
#: programme stays small enough to be proven while somebody waits.
MOST_OTHERS: Final = 300
MONTHS: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """A line that was raised by ``more`` pieces beyond those suggested, and what speaks for it.

    The pieces more are expected to be wanted ``from_months`` to ``to_months`` from now. ``to_fill_pack``: so many of
    them only fill the last pack of what is suggested, or reach the least the supplier sells. ``price`` each, which was
    ``price_before`` for the pieces suggested: lower where a price break was reached.
    """

    part: str
    more: int
    to_fill_pack: int
    from_months: float
    to_months: float
    price: Decimal
    price_before: Decimal

    @property
    def saved(self) -> Decimal:
        """What the price break takes off each piece."""
        return max(Decimal(0), self.price_before - self.price)


def raised(line: SupplierLine, pieces: int) -> Raised | None:
    """Why a line takes so many pieces; None where it takes no more than suggested."""
    more = pieces - line.suggested
    if more <= 0:
        return None
    first = max(0.0, line.position) + line.suggested + 1
    a_month = line.per_year / MONTHS
    return Raised(
        part=line.part,
        more=more,
        to_fill_pack=min(more, line.least_pieces - line.suggested),
        from_months=first / a_month if a_month else float("inf"),
        to_months=(first + more - 1) / a_month if a_month else float("inf"),
        price=line.price(pieces),
        price_before=line.price(line.least_pieces or line.breaks[0][0]),
    )


def worth_looking_at(lines: Sequence[SupplierLine], terms: Terms, most: int = MOST_OTHERS) -> list[SupplierLine]:
    """The lines that are suggested, and of the others those whose least purchase costs least to keep for its money.

    A line that is hardly ever asked for, so that its least purchase would last longer than ``terms.most_years``, is
    left out: it could not be raised.
    """
    others = [(_a_purchase(line), line) for line in lines if not line.suggested and line.per_year > 0]
    usable = [
        (beyond_worth(line, pieces, terms) / float(line.cost(pieces)), place, line)
        for place, (pieces, line) in enumerate(others)
        if max(0.0, line.position) + pieces <= line.per_year * terms.most_years
    ]
    return [line for line in lines if line.suggested] + [line for _, _, line in sorted(usable)[:most]]


def _a_purchase(line: SupplierLine) -> int:
    """The fewest pieces that the supplier sells of a line: whole packs, no fewer than its first quantity."""
    return -(-max(1, line.breaks[0][0]) // line.pack) * line.pack
