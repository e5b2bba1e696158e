"""Order-up-to levels for a shelf: the next unit goes where it fills most order lines for the money it ties up.

Each line is reviewed every so often and brought back up to its level; what is ordered comes a lead time later. All
lines share one price of filling, so levels come from a marginal rule (Lagrange multiplier; C. C. Sherbrooke,
"Optimal Inventory Modeling of Systems", 2nd ed., 2004, chapter 2, from memory). Unfilled orders wait.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numba import njit

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.demand import Demand, before_an_order, demand_over
from floatbowl.shelf.orders import Floats, Whole

_HALVINGS: Final = 40
#: How close the search comes to the least exchange, and to the least weight of value.
_CLOSE: Final = 1e-4
_GUARD_HALVINGS: Final = 6
#: An exchange past this many times the price of all lines fills nothing more.
_MOST: Final = 1e12


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Months from order to arrival, and from one review to the next. ``months_together``: what is asked in a month is
    known as one order at its end, so that an order waits behind whole months only."""

    lead_months: float
    review_months: float = 1.0
    months_together: bool = False

    def __post_init__(self) -> None:
        within("lead time", self.lead_months, 0.0, 120.0, "months")
        within("review", self.review_months, 0.01, 24.0, "months")

    @property
    def before_an_order(self) -> float:
        """Months of demand that an order finds taken out of the level already, on average."""
        waited = self.review_months - 1.0 if self.months_together else self.review_months
        return self.lead_months + max(0.0, waited) / 2

    @property
    def protected(self) -> float:
        """Lead time plus review: the time a level must last."""
        return self.lead_months + self.review_months

    @property
    def taken_on_average(self) -> float:
        """Months of demand taken out of the level at an average moment."""
        return self.lead_months + self.review_months / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Gains:
    """What levels 0, 1, 2... do, all lines one after another as in a demand table.

    ``filled`` is the chance that an order is filled whole, ``part`` the units of it that are, ``on_hand`` units on
    average; ``orders`` and ``units`` are what is asked of a line in a month, ``price`` what one unit costs to have.
    """

    start: Whole
    filled: Floats
    part: Floats
    on_hand: Floats
    orders: Floats
    units: Floats
    price: Floats

    def at_prices(self, price: Floats) -> Gains:
        """The same at other prices. Raises ``Refused`` for a price that is not above 0."""
        return replace(self, price=checked_prices(price, len(self.orders)))

    def line_weight(self) -> Floats:
        """Every line's share of all order lines."""
        return np.asarray(self.orders / self.orders.sum(), np.float64)

    def value_weight(self) -> Floats:
        """Share of all value asked that one unit of one order stands for."""
        return np.asarray(self.orders * self.price / float((self.units * self.price).sum()), np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Levels of all lines and what they are expected to do together."""

    level: Whole
    lines_filled: float
    value_filled: float
    money: float
    value_weight: float
    exchange: float


def gains(demand: Demand, price: Floats, timing: Timing) -> Gains:
    """What every level of every line does; ``price`` is what one unit costs to have.

    An order of size X that comes when D units are already out of a level S is filled whole if D + X is at most S, in
    part by what is left; on hand is the mean of S - D where positive. Exact for Poisson orders of one rate, which
    see the shelf as it is on average (R. W. Wolff, Operations Research 30, 1982, from memory); D is taken at its mean
    time. Raises ``Refused`` for a price that is not above 0.
    """
    before, after = before_an_order(demand, timing.before_an_order)
    shelf = demand_over(demand, timing.taken_on_average)
    filled, part, on_hand = fill_and_stock(before, after, shelf)
    return Gains(
        start=before.start,
        filled=filled,
        part=part,
        on_hand=on_hand,
        orders=demand.orders_a_month,
        units=demand.units_a_month,
        price=checked_prices(price, len(demand.shape)),
    )


def fill_and_stock(before: DemandTable, after: DemandTable, shelf: DemandTable) -> tuple[Floats, Floats, Floats]:
    """Of levels 0, 1, 2...: chance that ``after`` is sufficed, units filled between ``before`` and ``after`` (laid out
    alike), and units left of the level by ``shelf``."""
    filled, part, on_hand = _gains(before.start, before.chance, after.chance, shelf.start, shelf.chance)
    return np.asarray(filled, np.float64), np.asarray(part, np.float64), np.asarray(on_hand, np.float64)


def checked_prices(price: Floats, lines: int) -> Floats:
    """The prices, if there is one above 0 for each line; raises ``Refused`` otherwise."""
    if price.shape != (lines,):
        raise Refused(f"there are {len(price)} prices for {lines} lines; give one for each")
    good = np.isfinite(price) & (price > 0)
    if not good.all():
        line = int(np.argmin(good))
        raise Refused(f"line {line} costs {price[line]:g}; a price must be above 0")
    return np.asarray(price, np.float64)


def levels_at(gain: Gains, exchange: float, value_weight: float = 0.0) -> Levels:
    """The best levels when a filled share is worth ``exchange`` in money on the shelf: the marginal rule itself.

    Each line's level is where share filled less money / exchange is largest; ``value_weight`` is how much of the
    share is of value (the rest of order lines). A larger exchange never lowers a level.
    """
    within("exchange", exchange, 0.0)
    within("value weight", value_weight, 0.0, 1.0)
    by_line, by_value = gain.line_weight(), gain.value_weight()
    level = _best(
        gain.start,
        gain.filled,
        gain.part,
        gain.on_hand,
        exchange * (1.0 - value_weight) * by_line,
        exchange * value_weight * by_value,
        gain.price,
    )
    at = gain.start[:-1] + level
    return Levels(
        level=level,
        lines_filled=float((gain.filled[at] * by_line).sum()),
        value_filled=float((gain.part[at] * by_value).sum()),
        money=float((gain.on_hand[at] * gain.price).sum()),
        value_weight=value_weight,
        exchange=exchange,
    )


def levels_for_target(
    gain: Gains, lines_filled: float, least_value_filled: float = 0.0, value_weight: float = 0.0
) -> Levels:
    """Levels with the least money on the shelf that fill this share of order lines, and at least so much of the value.

    The guard raises ``value_weight`` only as far as it must. Raises ``Refused`` when the target lies beyond what the
    tables of demand reach.
    """
    within("target", lines_filled, 0.0, 0.999)
    within("least value filled", least_value_filled, 0.0, 0.999)
    plain = _just_enough(gain, lines_filled, 0.0, value_weight)
    if plain.value_filled >= least_value_filled:
        return plain
    best = _just_enough(gain, lines_filled, 0.0, 1.0)
    if best.value_filled < least_value_filled:
        return _just_enough(gain, lines_filled, least_value_filled, 1.0)
    low, high = value_weight, 1.0
    for _ in range(_GUARD_HALVINGS):
        middle = (low + high) / 2
        tried = _just_enough(gain, lines_filled, 0.0, middle, near=best.exchange)
        if tried.value_filled >= least_value_filled:
            high, best = middle, tried
        else:
            low = middle
    return best


def levels_for_budget(gain: Gains, money: float, value_weight: float = 0.0) -> Levels:
    """Levels that fill most with at most so much money on the shelf on average."""
    within("money", money, 0.0)
    low, high = 0.0, _start_of_search(gain)
    while levels_at(gain, high, value_weight).money <= money and high < _MOST * gain.price.sum():
        low, high = high, 4 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if levels_at(gain, middle, value_weight).money <= money else (low, middle)
    return levels_at(gain, low, value_weight)


def next_unit(gain: Gains, levels: Levels) -> Floats:
    """Of every line the share of all order lines that one unit more would fill, for each unit of money it ties up."""
    at = gain.start[:-1] + levels.level
    more = np.minimum(at + 1, gain.start[1:] - 1)
    money = (gain.on_hand[more] - gain.on_hand[at]) * gain.price
    filled = (gain.filled[more] - gain.filled[at]) * gain.line_weight()
    return np.asarray(np.divide(filled, money, out=np.zeros_like(filled), where=money > 0), np.float64)


def suggested(levels: Levels, on_hand: Whole, on_order: Whole, promised: Whole) -> Whole:
    """Units to order now: up to the level, less what is there and coming, plus what is promised already."""
    return np.maximum(0, levels.level - (on_hand + on_order - promised))


def _start_of_search(gain: Gains) -> float:
    return float(gain.price.sum())


def _just_enough(
    gain: Gains, lines_filled: float, value_filled: float, value_weight: float, near: float = 0.0
) -> Levels:
    """The least exchange that fills both shares; the search begins ``near`` one that nearly did."""

    def enough(found: Levels) -> bool:
        return found.lines_filled >= lines_filled and found.value_filled >= value_filled

    high = near or _start_of_search(gain)
    best = levels_at(gain, high, value_weight)
    low, step = 0.0, 1.5 if near else 8.0
    if near and enough(best):
        lower = levels_at(gain, high / step, value_weight)
        low, best, high = (0.0, lower, high / step) if enough(lower) else (high / step, best, high)
    while not enough(best):
        low, high = high, step * high
        if high > _MOST * gain.price.sum():
            raise Refused(f"{lines_filled:.3g} of the order lines cannot be filled by any level; aim a little lower")
        best = levels_at(gain, high, value_weight)
    while high - low > _CLOSE * high:
        middle = (low + high) / 2
        tried = levels_at(gain, middle, value_weight)
        if enough(tried):
            high, best = middle, tried
        else:
            low = middle
    return best


@njit(cache=True)
def _gains(start, before, after, shelf_start, shelf):  # type: ignore[no-untyped-def]
    filled, part, on_hand = np.zeros(len(before)), np.zeros(len(before)), np.zeros(len(before))
    for i in range(len(start) - 1):
        first, last = start[i], start[i + 1] - 1
        below_before = below_after = below_shelf = 0.0
        for s in range(first, last + 1):
            below_after += after[s]
            filled[s] = below_after
            if s > first:
                part[s] = part[s - 1] + max(0.0, below_before - (below_after - after[s]))
                on_hand[s] = on_hand[s - 1] + below_shelf
            below_before += before[s]
            if shelf_start[i] + s - first < shelf_start[i + 1]:
                below_shelf += shelf[shelf_start[i] + s - first]
    return filled, part, on_hand


@njit(cache=True)
def _best(start, filled, part, on_hand, worth_filled, worth_part, price):  # type: ignore[no-untyped-def]
    """Each line's level of largest worth less money; of equals the lowest."""
    level = np.zeros(len(start) - 1, np.int64)
    for i in range(len(level)):
        most = -np.inf
        at_best = worth_filled[i] + worth_part[i] * part[start[i + 1] - 1]
        for s in range(start[i], start[i + 1]):
            if at_best - price[i] * on_hand[s] <= most:
                break
            worth = worth_filled[i] * filled[s] + worth_part[i] * part[s] - price[i] * on_hand[s]
            if worth > most:
                most = worth
                level[i] = s - start[i]
    return level
