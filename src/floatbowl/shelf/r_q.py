"""(r, Q): when stock and what is on order fall to r, order Q. Watched all the time; what is short waits.

Notation: ``h`` holding a unit for a time, ``p`` a unit short (for a time, or once for the expected-inventory-level
approximation), ``k`` an order, ``demand`` units in a time, ``sd`` its standard deviation, ``lead_time``. Source: L. V.
Snyder, Z.-J. M. Shen, "Fundamentals of Supply Chain Theory", 2nd ed., 2019, chapter 5 (from memory, figures checked
against its examples).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq
from scipy.special import ndtri

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.newsvendor import by_poisson, normal_loss, normal_second_loss, poisson_cost, tail
from floatbowl.shelf.order_quantity import economic_order_quantity, with_backorders


@dataclass(frozen=True, slots=True)
class ReorderPoint:
    """Order ``quantity`` when stock falls to ``point``; ``cost`` for a time."""

    point: float
    quantity: float
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Normal:
    """Costs and normal demand, and its mean and deviation in a lead time."""

    h: float
    p: float
    k: float
    demand: float
    sd: float
    lead_time: float

    def __post_init__(self) -> None:
        for name in ("h", "p", "k", "demand", "sd", "lead_time"):
            within(name.replace("_", " "), getattr(self, name), 0.0, open_low=True)

    @property
    def mean(self) -> float:
        return self.demand * self.lead_time

    @property
    def spread(self) -> float:
        return self.sd * math.sqrt(self.lead_time)


def normal_cost(case: Normal, point: float, quantity: float) -> float:
    """Exact cost for normal demand: (k demand + integral of G from r to r + Q) / Q, G(y) the cost of y at hand less
    what a lead time takes; in closed form by the second loss. Snyder and Shen, equation (5.6)."""
    within("quantity", quantity, 0.0, open_low=True)
    held = case.h * (point - case.mean + quantity / 2)
    short = normal_second_loss(point, case.mean, case.spread) - normal_second_loss(
        point + quantity, case.mean, case.spread
    )
    return (case.k * case.demand + (case.h + case.p) * short) / quantity + held


def point_for_quantity(case: Normal, quantity: float) -> float:
    """The best r for a given Q: where a unit more or less costs the same at both ends, G(r) = G(r + Q)."""
    within("quantity", quantity, 0.0, open_low=True)

    def steeper(point: float) -> float:
        ends = normal_loss(point, case.mean, case.spread) - normal_loss(point + quantity, case.mean, case.spread)
        return case.h * quantity - (case.h + case.p) * ends

    far = 20 * case.spread + quantity
    return float(brentq(steeper, case.mean - far * (1 + case.h / case.p), case.mean + far, xtol=1e-10))


def by_backordering_quantity(case: Normal) -> ReorderPoint:
    """Q as for steady demand with backorders (EOQB), then the best r for it. Never much dearer than the best
    (Y.-S. Zheng, Management Science 38, 1992, 87-103)."""
    quantity = with_backorders(case.k, case.h, case.p, case.demand).quantity
    point = point_for_quantity(case, quantity)
    return ReorderPoint(point, quantity, normal_cost(case, point, quantity))


def by_expected_inventory(case: Normal) -> ReorderPoint:
    """Expected-inventory-level approximation: ``p`` is paid once for a unit short, however long.

    In turn r = F^-1(1 - Q h / (p demand)) and Q = sqrt(2 demand (k + p n(r)) / h) until neither changes; cost
    h (r - mean + Q/2) + k demand / Q + p demand n(r) / Q. Holds where shortages are rare. T. M. Whitin, 1953.
    """
    quantity, point = economic_order_quantity(case.k, case.h, case.demand).quantity, 0.0
    for _ in range(200):
        chance = quantity * case.h / (case.p * case.demand)
        if chance >= 1:
            raise Refused("holding costs so much against shortage that the approximation has no answer; use another")
        last = point
        point = case.mean - float(ndtri(chance)) * case.spread
        short = normal_loss(point, case.mean, case.spread)
        quantity = math.sqrt(2 * case.demand * (case.k + case.p * short) / case.h)
        if abs(point - last) < 1e-11 * max(1.0, abs(point)):
            break
    short = normal_loss(point, case.mean, case.spread)
    cost = case.h * (point - case.mean + quantity / 2) + (case.k + case.p * short) * case.demand / quantity
    return ReorderPoint(point, quantity, cost)


def by_loss_function(case: Normal) -> ReorderPoint:
    """Loss-function approximation: the exact cost without what is short at r + Q.

    n(r) = h Q / (h + p) and Q = sqrt(2 (k demand + (h + p) n2(r)) / h) in turn. G. Hadley, T. M. Whitin, 1963.
    """
    quantity, point = economic_order_quantity(case.k, case.h, case.demand).quantity, 0.0
    for _ in range(500):
        last, aim = point, case.h * quantity / (case.h + case.p)
        far = 40 * case.spread + aim
        point = float(
            brentq(lambda at, aim=aim: normal_loss(at, case.mean, case.spread) - aim, case.mean - far, case.mean + far)
        )
        second = normal_second_loss(point, case.mean, case.spread)
        quantity = math.sqrt(2 * (case.k * case.demand + (case.h + case.p) * second) / case.h)
        if abs(point - last) < 1e-10 * max(1.0, abs(point)):
            break
    return ReorderPoint(point, quantity, normal_cost(case, point, quantity))


def chance_short(case: Normal, point: float) -> float:
    """Chance that a lead time takes more than r."""
    return tail((point - case.mean) / case.spread)


def poisson_exact(h: float, p: float, k: float, demand: float, lead_time: float) -> ReorderPoint:
    """The best whole r and Q for Poisson demand one at a time.

    The cost of (r, Q) is (k demand + sum of G(y), y from r + 1 to r + Q) / Q; G falls, then rises, so Q grows by the
    cheaper neighbour as long as that neighbour's G is below the average (A. Federgruen, Y.-S. Zheng, Operations
    Research 40, 1992, 808-813).
    """
    for name, value in {"h": h, "p": p, "k": k, "demand": demand, "lead time": lead_time}.items():
        within(name, value, 0.0, open_low=True)
    mean = demand * lead_time
    low = int(by_poisson(h, p, mean).level)
    high, total = low, k * demand + poisson_cost(low, h, p, mean)
    while True:
        below, above = poisson_cost(low - 1, h, p, mean), poisson_cost(high + 1, h, p, mean)
        if min(below, above) >= total / (high - low + 1):
            return ReorderPoint(low - 1, high - low + 1, total / (high - low + 1))
        total += min(below, above)
        low, high = (low - 1, high) if below <= above else (low, high + 1)


def poisson_policy_cost(
    point: int, quantity: int, h: float, p: float, k: float, demand: float, lead_time: float
) -> float:
    """Exact cost of any whole r and Q for Poisson demand."""
    within("quantity", quantity, 1)
    mean = demand * lead_time
    return (k * demand + sum(poisson_cost(y, h, p, mean) for y in range(point + 1, point + quantity + 1))) / quantity
