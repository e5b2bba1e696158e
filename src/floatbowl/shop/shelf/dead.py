"""Dead stock: what lies on the shelf without a buyer, by plain rules."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db.models import Max
from django.utils import timezone

from floatbowl.shelf.dead_stock import Dead, OnShelf, Rules, dead_stock
from floatbowl.shop.models import Item, LedgerLine, ToldSale
from floatbowl.shop.shelf.asked import LEFT
from floatbowl.shop.shelf.expected import Expected
from floatbowl.shop.shelf.things import Named, Thing, Things
from floatbowl.shop.shelf.wanted import open_wants

CAME_IN = ("first count", "receipt", "built", "taken apart", "return")


def lying_still(things: Things, outlook: Expected | None, rules: Rules) -> list[tuple[Thing, Dead]]:
    """Dead lines with what they are, most money first; a line without a known cost counts as nothing tied up."""
    came = _latest(LedgerLine.objects.filter(quantity__gt=0, why__in=CAME_IN))
    left = _latest(LedgerLine.objects.filter(quantity__lt=0, why__in=LEFT, reversed_by=None))
    sold = dict(ToldSale.objects.values_list("item").annotate(Max("day")))
    waited = _waited_for()
    lines, of = [], {}
    for pk, kind, key, on_hand in Item.objects.filter(on_hand__gt=0).values_list("pk", "kind", "key", "on_hand"):
        thing = things.of(kind, key)
        of[thing.address] = thing
        lines.append(
            OnShelf(
                part=thing.address,
                on_hand=on_hand,
                cost=thing.cost or Decimal(0),
                received=came.get(pk, timezone.localdate()),
                last_sold=max(filter(None, (left.get(pk), sold.get(pk))), default=None),
                per_year=_a_year((kind, key), outlook),
                for_offers=waited.get((kind, key), 0.0),
            )
        )
    return [(of[dead.part], dead) for dead in dead_stock(lines, timezone.localdate(), rules)]


def _latest(lines: object) -> dict[int, date]:
    """The newest day of each item among these lines."""
    rows = lines.order_by().values_list("item").annotate(Max("at"))  # type: ignore[attr-defined]
    return {item: timezone.localdate(at) for item, at in rows}


def _waited_for() -> dict[Named, float]:
    found: dict[Named, float] = {}
    for want in open_wants():
        named = ("kit", want.kit) if want.kit else ("part", want.part)
        found[named] = found.get(named, 0.0) + want.quantity
    return found


def _a_year(named: Named, outlook: Expected | None) -> float:
    line = outlook.line(named) if outlook else None
    return float(12 * outlook.demand.units_a_month[line]) if outlook and line is not None else 0.0
