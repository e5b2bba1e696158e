"""How much to order at a time when demand is steady and known, or known month by month.

Notation of the field: ``k`` cost of placing one order, ``h`` cost of holding one unit for a time, ``p`` cost of one
unit short for a time, ``demand`` units in that time. Source of all: L. V. Snyder, Z.-J. M. Shen, "Fundamentals of
Supply Chain Theory", 2nd ed., 2019, chapter 3 (equations from memory, figures checked against its examples).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from floatbowl.engine.refusal import Refused, within


@dataclass(frozen=True, slots=True)
class Quantity:
    """An order quantity and its cost for a time; ``region`` is the step of a price list it lies in (0 the first)."""

    quantity: float
    cost: float
    region: int = 0


@dataclass(frozen=True, slots=True)
class WithBackorders:
    """An order quantity, the share of demand that waits, and the cost for a time."""

    quantity: float
    share_waiting: float
    cost: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What to order at the start of each period, and the cost of ordering and holding over all of them."""

    orders: tuple[float, ...]
    cost: float


def economic_order_quantity(k: float, h: float, demand: float) -> Quantity:
    """Q* = sqrt(2 k demand / h), cost sqrt(2 k demand h): ordering and holding, without what the goods cost.

    Holds for steady demand, orders that come whole. Source: F. W. Harris, 1913; Snyder and Shen, section 3.2.

    >>> round(economic_order_quantity(8, 0.225, 1300).quantity, 2)
    304.05
    """
    _positive(k=k, h=h, demand=demand)
    return Quantity(math.sqrt(2 * k * demand / h), math.sqrt(2 * k * demand * h))


def cost_of_quantity(quantity: float, k: float, h: float, demand: float) -> float:
    """Cost for a time of ordering so much at a time: k demand / Q + h Q / 2."""
    _positive(quantity=quantity, k=k, h=h, demand=demand)
    return k * demand / quantity + h * quantity / 2


def with_backorders(k: float, h: float, p: float, demand: float) -> WithBackorders:
    """Q* = sqrt(2 k demand (h + p) / (h p)), share waiting h / (h + p): orders may wait at ``p`` a unit and time.

    Holds where everybody waits. Source: Snyder and Shen, section 3.5.
    """
    _positive(k=k, h=h, p=p, demand=demand)
    return WithBackorders(
        math.sqrt(2 * k * demand * (h + p) / (h * p)), h / (h + p), math.sqrt(2 * k * demand * h * p / (h + p))
    )


def all_units_discount(
    k: float, holding_rate: float, demand: float, breaks: Sequence[float], unit_costs: Sequence[float]
) -> Quantity:
    """Best quantity when from each break on *every* unit has that step's cost; the cost includes the goods.

    ``breaks`` begin with 0 and rise. Of each step the economic quantity is taken if it lies in it, else its nearest
    end that does. Source: Snyder and Shen, section 3.4.1.
    """
    _positive(k=k, holding_rate=holding_rate, demand=demand)
    _price_list(breaks, unit_costs)
    found = []
    for region, cost in enumerate(unit_costs):
        best = economic_order_quantity(k, holding_rate * cost, demand).quantity
        quantity = max(best, breaks[region])
        if quantity > 0 and (region + 1 == len(breaks) or quantity < breaks[region + 1]):
            total = cost * demand + cost_of_quantity(quantity, k, holding_rate * cost, demand)
            found.append(Quantity(quantity, total, region))
    return min(found, key=lambda one: one.cost)


def incremental_discount(
    k: float, holding_rate: float, demand: float, breaks: Sequence[float], unit_costs: Sequence[float]
) -> Quantity:
    """Best quantity when each unit has the cost of the step it lies in; the cost includes the goods.

    With c_j a step's cost and f_j what the units before it cost more than c_j each, Q_j = sqrt(2 (k + f_j) demand /
    (i c_j)) and the cost is c_j demand + i f_j / 2 + sqrt(2 (k + f_j) demand i c_j). Source: Snyder and Shen, 3.4.2.
    """
    _positive(k=k, holding_rate=holding_rate, demand=demand)
    _price_list(breaks, unit_costs)
    found, more = [], 0.0
    for region, cost in enumerate(unit_costs):
        if region:
            more += (unit_costs[region - 1] - cost) * breaks[region]
        quantity = math.sqrt(2 * (k + more) * demand / (holding_rate * cost))
        if breaks[region] <= quantity and (region + 1 == len(breaks) or quantity < breaks[region + 1]):
            total = cost * demand + holding_rate * more / 2 + math.sqrt(2 * (k + more) * demand * holding_rate * cost)
            found.append(Quantity(quantity, total, region))
    if not found:
        raise Refused("no step of the price list holds its own best quantity; are its costs falling?")
    return min(found, key=lambda one: one.cost)


def lot_sizes(k: float, h: float, demand: Sequence[float]) -> Plan:
    """Least cost of meeting known demand of each period, an order at ``k``, a unit kept to the next period at ``h``.

    An order covers whole periods, so the least cost up to each period follows from those before (H. M. Wagner, T. M.
    Whitin, Management Science 5, 1958, 89-96). Exact; of equal plans the one with later orders.
    """
    _positive(k=k, h=h)
    for period, units in enumerate(demand):
        within(f"demand of period {period}", units, 0.0)
    least, begins = [0.0], [0]
    for end in range(1, len(demand) + 1):
        choices = [(least[start] + _one_lot(k, h, demand[start:end]), -start) for start in range(end)]
        cost, start = min(choices)
        least.append(cost)
        begins.append(-start)
    orders, end = [0.0] * len(demand), len(demand)
    while end:
        orders[begins[end]] = float(sum(demand[begins[end] : end]))
        end = begins[end]
    return Plan(tuple(orders), least[-1])


def _one_lot(k: float, h: float, demand: Sequence[float]) -> float:
    if not sum(demand):
        return 0.0
    return k + h * sum(periods * units for periods, units in enumerate(demand))


def _price_list(breaks: Sequence[float], unit_costs: Sequence[float]) -> None:
    if not breaks or len(breaks) != len(unit_costs) or breaks[0] != 0:
        raise Refused("a price list needs a cost for each break, and its first break is 0")
    if list(breaks) != sorted(set(breaks)):
        raise Refused("the breaks of a price list must rise")
    for cost in unit_costs:
        within("cost of a unit", cost, 0.0, open_low=True)
    if any(later > earlier for earlier, later in pairwise(unit_costs)):
        raise Refused("costs rise along the price list; it gives no discount")


def _positive(**figures: float) -> None:
    for name, value in figures.items():
        within(name.replace("_", " "), value, 0.0, open_low=True)
