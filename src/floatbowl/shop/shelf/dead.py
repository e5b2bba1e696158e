"""Dead stock: what lies on the shelf without a buyer, by plain rules."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db.models import Max, Min, QuerySet
from django.utils import timezone

from floatbowl.shelf.dead_stock import Dead, OnShelf, Rules, dead_stock
from floatbowl.shop.models import Item, LedgerLine, ToldSale
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.asked import LEFT, lost_events
from floatbowl.shop.shelf.expected import Expected
from floatbowl.shop.shelf.things import Named, Thing, Things
from floatbowl.shop.shelf.wanted import open_wants, wishes

CAME_IN = ("receipt", "built", "taken apart", "return")
#: It lay there already when it was counted.
COUNTED = ("first count", "count")


def lying_still(things: Things, outlook: Expected | None, rules: Rules) -> list[tuple[Thing, Dead]]:
    """Dead lines with what they are, most money first; a line without a known cost counts as nothing tied up.

    What lay there when it was first counted may have come at any time: it is judged by how far the record of what was
    asked for reaches back, sales of before and enquiries with it.
    """
    kits_with = _kits_with(things)
    asked, since = _last_asked(kits_with), _there_since(outlook)
    waited = _waited_for()
    lines, of = [], {}
    for pk, kind, key, on_hand in Item.objects.filter(on_hand__gt=0).values_list("pk", "kind", "key", "on_hand"):
        thing = things.of(kind, key)
        of[thing.address] = thing
        received, by_record = since.get(pk, (timezone.localdate(), False))
        lines.append(
            OnShelf(
                part=thing.address,
                on_hand=on_hand,
                cost=thing.cost or Decimal(0),
                received=received,
                by_record=by_record,
                last_sold=asked.get((kind, key)),
                per_year=_a_year((kind, key), outlook, kits_with),
                for_offers=waited.get((kind, key), 0.0),
            )
        )
    return [(of[dead.part], dead) for dead in dead_stock(lines, timezone.localdate(), rules)]


def _kits_with(things: Things) -> dict[Named, list[tuple[Named, float]]]:
    """By part: the kits it goes into, and how much of it each takes."""
    found: dict[Named, list[tuple[Named, float]]] = {}
    for kit, recipe in things.recipes.items():
        for part, quantity in recipe.parts:
            found.setdefault((PART, part), []).append(((KIT, kit), quantity))
    return found


def _last_asked(kits_with: dict[Named, list[tuple[Named, float]]]) -> dict[Named, date]:
    """The newest day on which each item was sold, used, built in or asked for in vain; a part also in its kits."""
    names = {pk: (kind, key) for pk, kind, key in Item.objects.values_list("pk", "kind", "key")}
    left = _latest(LedgerLine.objects.filter(quantity__lt=0, why__in=LEFT, reversed_by=None, told_sales=None))
    told = ToldSale.objects.exclude(lines__reversed_by__isnull=False)
    days = [*left.items(), *told.order_by().values_list("item").annotate(Max("day"))]
    found: dict[Named, date] = {}
    for named, day in [*((names[pk], day) for pk, day in days), *((one.named, one.day) for one in lost_events())]:
        found[named] = max(day, found.get(named, day))
    for part, kits in kits_with.items():
        days_of_kits = [found[kit] for kit, _ in kits if kit in found]
        if days_of_kits:
            found[part] = max(*days_of_kits, found.get(part, days_of_kits[0]))
    return found


def _there_since(outlook: Expected | None) -> dict[int, tuple[date, bool]]:
    """Since when each item has lain there, and whether only the record says so, since nobody knows when it came."""
    lines = LedgerLine.objects.filter(quantity__gt=0, reversed_by=None)
    came, counted = _latest(lines.filter(why__in=CAME_IN)), _latest(lines.filter(why__in=COUNTED), Min("at"))
    found = {}
    for pk in came.keys() | counted.keys():
        if pk in came:
            found[pk] = (came[pk], False)
        elif outlook is not None and outlook.asked.first < counted[pk]:
            found[pk] = (outlook.asked.first, True)
        else:
            found[pk] = (counted[pk], False)
    return found


def _latest(lines: QuerySet[LedgerLine], which: Max | Min | None = None) -> dict[int, date]:
    """The newest day of each item among these lines, or the oldest."""
    rows = lines.order_by().values_list("item").annotate(which or Max("at"))
    return {item: timezone.localdate(at) for item, at in rows}


def _waited_for() -> dict[Named, float]:
    found: dict[Named, float] = {}
    for want in [*open_wants(), *wishes()]:
        named = ("kit", want.kit) if want.kit else ("part", want.part)
        found[named] = found.get(named, 0.0) + want.quantity
    return found


def _a_year(named: Named, outlook: Expected | None, kits_with: dict[Named, list[tuple[Named, float]]]) -> float:
    """Pieces expected to be asked for in a year: of a part itself, or of its kits together where that is more."""
    if outlook is None:
        return 0.0
    in_kits = sum(quantity * _rate(kit, outlook) for kit, quantity in kits_with.get(named, ()))
    return max(_rate(named, outlook), in_kits)


def _rate(named: Named, outlook: Expected) -> float:
    line = outlook.line(named)
    return 0.0 if line is None else float(12 * outlook.demand.units_a_month[line])
