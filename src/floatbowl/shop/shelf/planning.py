"""What to build now: the records, the shelf and what is expected, given to the plan of kits."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Final

from floatbowl.shelf.build_kits import Aim, Buildable, BuildPlan, HeldBack, build_plan, held_back
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.expected import Expected
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Named, Thing, Things
from floatbowl.shop.shelf.wanted import open_wants

#: A further kit less likely to be wanted than this is not built ahead (estimate).
LEAST_CHANCE: Final = 0.05
MOST_AHEAD: Final = 40
#: Minutes to lay out and pack one kit, until the shop counts its own (estimate).
USUAL_MINUTES: Final = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """Bench hours (None for as many as it takes), minutes a kit, months ahead, and what for."""

    hours: float | None
    minutes: float = USUAL_MINUTES
    months: float = 1.0
    aim: Aim = "earn"


@dataclass(frozen=True, slots=True)
class Planned:
    """The plan, what stands in the way of more, and kits that were left out: no price, or parts by the fraction."""

    plan: BuildPlan
    held: tuple[HeldBack, ...]
    no_price: tuple[Thing, ...]
    not_whole: tuple[Thing, ...]


def plan(asking: Asking, things: Things, stands: dict[Named, Stand], outlook: Expected | None) -> Planned:
    """What to build now. Raises ``Refused`` for a time that is none."""
    waiting = _waiting(stands)
    kits, no_price, not_whole = [], [], []
    for kit, recipe in things.recipes.items():
        thing = things.all.get((KIT, kit))
        chances = _chances((KIT, kit), asking, stands, outlook, waiting[kit]) if thing else ()
        if thing is None or not chances:
            continue
        if any(quantity != int(quantity) for _, quantity in recipe.parts):
            not_whole.append(thing)
            continue
        earns = _earns(thing)
        if earns is None and asking.aim == "earn":
            no_price.append(thing)
            continue
        kits.append(Buildable(recipe=recipe, earns=earns or 0.0, minutes=asking.minutes, chances=chances))
    loose = {key: max(0.0, stand.free or 0.0) for (kind, key), stand in stands.items() if kind == PART}
    minutes = math.inf if asking.hours is None else asking.hours * 60
    found = build_plan(kits, loose, minutes, aim=asking.aim)
    return Planned(found, held_back(found.best, kits, loose, minutes), tuple(no_price), tuple(not_whole))


def _waiting(stands: dict[Named, Stand]) -> Counter[str]:
    """Of every kit, how many more is promised or waited for by open jobs than lies packed."""
    wanted: Counter[str] = Counter()
    for want in open_wants():
        if want.kit:
            wanted[want.kit] += round(want.quantity)
    stood = {kit: stands.get((KIT, kit), Stand(None)).on_hand or 0 for kit in wanted}
    return Counter({kit: max(0, number - int(stood[kit])) for kit, number in wanted.items()})


def _chances(
    named: Named, asking: Asking, stands: dict[Named, Stand], outlook: Expected | None, waiting: int
) -> tuple[float, ...]:
    """That the first, second, ... kit built is wanted: those waited for surely, then by what is expected."""
    sure = (1.0,) * waiting
    line = outlook.line(named) if outlook else None
    if outlook is None or line is None:
        return sure
    free = max(0, int(stands.get(named, Stand(None)).free or 0))
    chance = outlook.over(asking.months).of(line)
    at_least, further = [], 1.0 - float(chance[: free + 1].sum())
    for number in range(free + 1, free + 1 + MOST_AHEAD):
        if further < LEAST_CHANCE:
            break
        at_least.append(min(1.0, further))
        further -= float(chance[number]) if number < len(chance) else further
    return sure + tuple(at_least)


def _earns(thing: Thing) -> float | None:
    """Price less the cost of its parts; without a cost, the price."""
    return None if thing.price is None else float(thing.price - (thing.cost or 0))
