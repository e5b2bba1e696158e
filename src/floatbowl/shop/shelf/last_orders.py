"""Lines that a supplier stops selling: the last day to order them, how many to take then, and why so many."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

import numpy as np
from django.db import transaction
from django.utils import timezone

from floatbowl.shelf.demand import demand_over, of_one_line
from floatbowl.shelf.last_buy import LastBuy, Outcome, last_buy_of, months_of_now, outcome
from floatbowl.shelf.newsvendor import critical_ratio
from floatbowl.shelf.orders import Floats
from floatbowl.shelf.recipes import Recipe
from floatbowl.shop.models import StoppedLine, Supplier
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.buying import Terms, said
from floatbowl.shop.shelf.expected import NEARLY_ALWAYS, Expected, about
from floatbowl.shop.shelf.ledger import item_of
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Named, Thing

DAYS_A_YEAR: Final = 365.25
#: Beside what is suggested, orders that are enough in so many of 100 such times.
SHARES_SHOWN: Final = (0.50, 0.80, 0.90, 0.95, 0.99)


@dataclass(frozen=True, slots=True)
class OneOrder:
    """One number that could be ordered, what is paid for it, and what is to be expected."""

    outcome: Outcome
    paid: str
    left_money: str
    suggested: bool

    @property
    def runs_out_of_100(self) -> str:
        """In how many of 100 such times it runs out."""
        share = 100 * self.outcome.runs_out
        return f"{share:.0f}" if share >= 1 else "fewer than 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class LastOrder:
    """A line that is stopped, how many to take at the last order, and the orders beside it."""

    stopped: StoppedLine
    terms: Terms
    have: int
    mean: float
    most: int
    buy: LastBuy
    orders: tuple[OneOrder, ...]
    #: What the kits it goes into would take in that time, if all that are asked for are built here.
    kits_take: float = 0.0

    @property
    def paid(self) -> str:
        """What is paid for it."""
        return said(self.buy.buy * self.terms.price(self.buy.buy), self.terms.supplier.currency)

    @property
    def says(self) -> str:
        """Why so many, in words."""
        stopped, code = self.stopped, self.terms.supplier.currency
        enough = 100 * critical_ratio(float(stopped.left_costs), float(stopped.short_costs))
        return (
            f"Last order by {_day(stopped.order_by)}, needed until {_day(stopped.needed_until)}: {about(self.mean)} "
            f"expected to be asked for, at most {self.most} in 19 of 20 such times; {self.have} here or to come. "
            f"One too few loses {said(stopped.short_costs, code)}, one left over {said(stopped.left_costs, code)}, "
            f"so it should last in {enough:.0f} of 100 such times: {self.buy.enough} in all."
        )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def standing() -> dict[Named, StoppedLine]:
    """The lines that are stopped and can still be ordered, by item; of several the one that ends first."""
    rows = StoppedLine.objects.filter(ended_at=None, order_by__gte=timezone.localdate())
    found: dict[Named, StoppedLine] = {}
    for row in rows.select_related("supplier", "item").order_by("-order_by", "-pk"):
        found[row.item.kind, row.item.key] = row
    return found


def last_orders(
    stands: dict[Named, Stand], outlook: Expected | None, terms: dict[Named, list[Terms]]
) -> dict[Named, LastOrder]:
    """What to take of every line that is stopped."""
    found = {}
    for named, stopped in standing().items():
        if order := worked_out(stopped, stands.get(named, Stand(None)), outlook, terms.get(named, [])):
            found[named] = order
    return found


def worked_out(
    stopped: StoppedLine,
    stand: Stand,
    outlook: Expected | None,
    terms: list[Terms],
    recipes: Mapping[str, Recipe] | None = None,
) -> LastOrder | None:
    """How many to take of a line that is stopped; None where nothing was ever asked, or no price of theirs is known."""
    theirs = next((one for one in terms if one.supplier.pk == stopped.supplier_id), None)
    chance = _chances(stopped, outlook)
    if theirs is None or chance is None:
        return None
    have = max(0, int(stand.free or 0) + stand.on_order)
    short, left = float(stopped.short_costs), float(stopped.left_costs)
    sold = {"have": have, "pack": theirs.pack, "least": theirs.breaks[0][0]}
    buy = last_buy_of(chance, short, left, **sold)
    others = [last_buy_of(chance, share, 1 - share, **sold).buy for share in SHARES_SHOWN]
    return LastOrder(
        stopped=stopped,
        terms=theirs,
        have=have,
        mean=float(chance @ np.arange(len(chance))),
        most=int(np.searchsorted(np.cumsum(chance), NEARLY_ALWAYS - 1e-12)),
        buy=buy,
        orders=tuple(_one(chance, have, pieces, theirs, pieces == buy.buy) for pieces in sorted({*others, buy.buy})),
        kits_take=_kits_take(stopped, outlook, recipes or {}),
    )


def _kits_take(stopped: StoppedLine, outlook: Expected | None, recipes: Mapping[str, Recipe]) -> float:
    if stopped.item.kind != PART or outlook is None:
        return 0.0
    a_month = 0.0
    for kit, recipe in recipes.items():
        each = dict(recipe.parts).get(stopped.item.key, 0.0)
        line = outlook.line((KIT, kit)) if each else None
        a_month += each * float(outlook.demand.units_a_month[line]) if line is not None else 0.0
    return a_month * _months(stopped)


def _months(stopped: StoppedLine) -> float:
    """So many months of today's demand are still to come."""
    years = max(0.0, (stopped.needed_until - timezone.localdate()).days / DAYS_A_YEAR)
    return months_of_now(years, float(stopped.falls_percent) / 100)


def _chances(stopped: StoppedLine, outlook: Expected | None) -> Floats | None:
    """Chances of every number of pieces from today until the line is needed no more."""
    line = outlook.line((stopped.item.kind, stopped.item.key)) if outlook else None
    if outlook is None or line is None:
        return None
    chance = demand_over(of_one_line(outlook.demand, line), _months(stopped)).of(0)
    return np.asarray(chance / chance.sum(), np.float64)


def _one(chance: Floats, have: int, pieces: int, terms: Terms, suggested: bool) -> OneOrder:
    expected, price, code = outcome(chance, have, pieces), terms.price(max(1, pieces)), terms.supplier.currency
    left = Decimal(f"{expected.left:.3f}") * price
    return OneOrder(expected, said(pieces * price, code), said(left.quantize(Decimal("0.01")), code), suggested)


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """What a supplier said, and what the shop reckons with."""

    order_by: date
    needed_until: date
    falls_percent: Decimal
    short_costs: Decimal
    left_costs: Decimal


def stop(supplier: Supplier, named: Named, notice: Notice, who: str) -> StoppedLine:
    """Write down that a supplier stops an item; it takes the place of what stood. Raises ValueError."""
    if notice.needed_until <= max(notice.order_by, timezone.localdate()):
        raise ValueError("it is needed for a time after the last order: write a later day")
    told = {name: getattr(notice, name) for name in notice.__slots__}
    with transaction.atomic():
        item = item_of(*named)
        before = StoppedLine.objects.select_for_update().filter(supplier=supplier, item=item, ended_at=None).first()
        if before is not None and all(getattr(before, name) == value for name, value in told.items()):
            return before
        StoppedLine.objects.filter(supplier=supplier, item=item, ended_at=None).update(ended_at=timezone.now())
        return StoppedLine.objects.create(supplier=supplier, item=item, who=who, **told)


def withdraw(stopped: StoppedLine) -> None:
    """They sell it after all; what was written stays, ended."""
    StoppedLine.objects.filter(pk=stopped.pk, ended_at=None).update(ended_at=timezone.now())


def usual_losses(thing: Thing, price: Decimal, prices_in: str, currency: str) -> tuple[Decimal, Decimal]:
    """What one too few and one left over lose, to begin with: what a sale brings beyond the price, and the price.

    Where no selling price is recorded in that currency, one too few is taken to lose what it costs.
    """
    brings = (thing.price or Decimal(0)) - price if prices_in == currency else Decimal(0)
    return (brings if brings > 0 else price), price
