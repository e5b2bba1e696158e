"""How many of every item to keep, for the share of orders the shop wants filled, and what money that takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

import numpy as np

from floatbowl.shelf.levels import Timing, gains, levels_for_target
from floatbowl.shop.models.buying import USUAL_LEAD_DAYS
from floatbowl.shop.shelf.buying import Terms
from floatbowl.shop.shelf.expected import NEARLY_ALWAYS, Expected
from floatbowl.shop.shelf.things import Named, Things

DAYS_A_MONTH: Final = 365.25 / 12
#: Shares of order lines at which the curve of fill against money is drawn.
SHARES_SHOWN: Final = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """The shop's choice: the share of order lines to fill from the shelf, and how often it is looked through."""

    filled: float = 0.90
    review_months: float = 1.0


def _lead_months(named: Named, terms: dict[Named, list[Terms]]) -> float:
    days = terms[named][0].supplier.lead_days if named in terms else USUAL_LEAD_DAYS
    return round(days / DAYS_A_MONTH, 1)


def levels_kept(
    outlook: Expected, terms: dict[Named, list[Terms]], things: Things, rule: Rule
) -> dict[Named, tuple[int, float]]:
    """Every line's level, and the months it must last: the marginal rule for each lead time that suppliers have."""
    named = outlook.asked.named
    leads = np.array([_lead_months(name, terms) for name in named])
    costs = [cost_of(name, terms, things) for name in named]
    prices = _prices(costs)
    found: dict[Named, tuple[int, float]] = {}
    for lead in np.unique(leads):
        timing = Timing(lead_months=float(lead), review_months=rule.review_months)
        if outlook.together:
            level = levels_for_target(gains(outlook.demand, prices, timing), rule.filled).level
        else:
            level = outlook.over(timing.protected).quantile(rule.filled)
        most = outlook.over(timing.protected).quantile(NEARLY_ALWAYS)
        for line in np.flatnonzero(leads == lead):
            # A line whose cost nobody knows may be dear: it is not stocked as deep as a cheap one would be.
            deep = int(level[line]) if costs[line] else min(int(level[line]), int(most[line]))
            found[named[line]] = (deep, timing.protected)
    return found


def _prices(costs: Sequence[float]) -> np.ndarray:
    """What one costs to have; where nothing is known, the middle of what is (so that it is neither free nor dear)."""
    usual = median([cost for cost in costs if cost] or [1.0])
    return np.array([cost or usual for cost in costs])


@dataclass(frozen=True, slots=True)
class Point:
    """A share of order lines filled from the shelf, and the money lying there on average for it."""

    filled: float
    money: float


def fill_against_money(
    outlook: Expected, terms: dict[Named, list[Terms]], things: Things, review_months: float
) -> tuple[Point, ...]:
    """How much money on the shelf fills how many order lines, at the usual time to arrive; none where not comparable.

    All lines are taken at the middle one of their times to arrive, so that there is one curve. Costs are the cheapest
    supplier's or the recorded ones, currencies as they stand.
    """
    if not outlook.together:
        return ()
    named = outlook.asked.named
    lead = median(_lead_months(name, terms) for name in named)
    gain = gains(
        outlook.demand,
        _prices([cost_of(name, terms, things) for name in named]),
        Timing(lead_months=lead, review_months=review_months),
    )
    found = (levels_for_target(gain, share) for share in SHARES_SHOWN)
    return tuple(Point(level.lines_filled, level.money) for level in found)


def cost_of(named: Named, terms: dict[Named, list[Terms]], things: Things) -> float:
    if named in terms:
        return float(terms[named][0].price(1))
    thing = things.all.get(named)
    return float((thing.cost or thing.price or 0) if thing else 0)
