"""How much will be asked of every line: its own orders and the whole shelf's, weighed together.

Orders a month: gamma prior of the line's group, its own discounted orders on top; so the number of orders in a time to
come is a negative binomial. Sizes of orders are kept apart from how often they come. The sum is a compound negative
binomial, as an exact table (``floatbowl.shelf.compound``). Where only months' totals are known, a month has one order
at most; the same figures then make its chance a beta, and the number of orders beta-binomial.

Holds for lines asked for independently, whose rate drifts slowly; not for one that is promoted or ends on a known day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.compound import DemandTable, Sizes, compound, one_order_more
from floatbowl.shelf.counts import Counts, Pooling, count
from floatbowl.shelf.missed import missed_by
from floatbowl.shelf.orders import Floats, Orders, Whole
from floatbowl.shelf.prior import GroupPrior, learn_groups

#: Where a month has one order at most, no more than this share of months is taken to have one.
_MOST_MONTHS: Final = 0.98


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What is expected of every line: orders a month gamma(``shape``, rate ``months``), and the sizes of one order."""

    shape: Floats
    months: Floats
    sizes: Sizes
    groups: tuple[GroupPrior, ...]
    own_orders: Floats
    own_months: Floats
    missed_by: float
    by_month: bool = False

    @property
    def orders_a_month(self) -> Floats:
        return self.shape / self.months

    @property
    def units_a_month(self) -> Floats:
        return self.orders_a_month * self.sizes.moments()[0]


def expect(orders: Orders, pooling: Pooling | None = None, group: Whole | None = None) -> Demand:
    """Demand of every line as known at the end of the record.

    A line's mean rate is (a + n) / (b + m): between its own n / m and its group's a / b.
    ``group`` gives each line a group 0, 1, 2... (say, needles apart from gaskets); without it all are one.
    Raises ``Refused`` without any orders, or for groups that do not match the lines.
    """
    chosen = pooling or Pooling()
    groups = np.zeros(orders.lines, np.int64) if group is None else np.asarray(group, np.int64)
    if groups.shape != (orders.lines,) or groups.min(initial=0) < 0:
        raise Refused(f"groups must be {orders.lines} whole numbers of at least 0, one for each line")
    counts = count(orders, chosen)
    priors = learn_groups(orders, counts, groups, chosen)
    missed = missed_by(orders, priors, groups, chosen) if chosen.correct else 1.0
    shape = np.array([prior.shape for prior in priors])[groups] + counts.orders
    months = np.array([prior.months for prior in priors])[groups] + counts.months
    months = months / missed
    if orders.by_month:
        months = np.maximum(months, shape / _MOST_MONTHS)
    return Demand(
        shape=shape / chosen.spread,
        months=months / chosen.spread,
        sizes=_sizes(counts, priors, groups, orders.lines),
        groups=priors,
        own_orders=counts.orders,
        own_months=counts.months,
        missed_by=missed,
        by_month=orders.by_month,
    )


def demand_over(demand: Demand, months: float) -> DemandTable:
    """Units asked of every line in so many months (lead time plus review, say)."""
    return compound(demand.shape, demand.months, months, demand.sizes, demand.by_month)


def of_one_line(demand: Demand, line: int) -> Demand:
    """The same of one line alone: a table over years is then one line long, not as long as the shelf."""
    sizes = demand.sizes
    start, end = sizes.own_start[line], sizes.own_start[line + 1]
    return replace(
        demand,
        shape=demand.shape[line : line + 1],
        months=demand.months[line : line + 1],
        own_orders=demand.own_orders[line : line + 1],
        own_months=demand.own_months[line : line + 1],
        sizes=replace(
            sizes,
            own_start=np.array([0, end - start], np.int64),
            own_size=sizes.own_size[start:end],
            own_count=sizes.own_count[start:end],
            group=sizes.group[line : line + 1],
        ),
    )


def before_an_order(demand: Demand, months: float) -> tuple[DemandTable, DemandTable]:
    """What is asked in so many months before an order comes, and with that order.

    Orders come more of lines with a high rate, so the rate as an order sees it is gamma(shape + 1); where a month has
    one order at most, a month with one has been seen.
    """
    known = demand.months + 1.0 if demand.by_month else demand.months
    before = compound(demand.shape + 1.0, known, months, demand.sizes, demand.by_month)
    return before, one_order_more(before, demand.sizes)


def _sizes(counts: Counts, priors: tuple[GroupPrior, ...], groups: Whole, lines: int) -> Sizes:
    order = np.argsort(counts.size_line, kind="stable")
    return Sizes(
        own_start=np.concatenate(([0], np.cumsum(np.bincount(counts.size_line, minlength=lines)))).astype(np.int64),
        own_size=counts.size[order].astype(np.int64),
        own_count=(counts.size_count * counts.size_worth[counts.size_line])[order],
        group=groups,
        group_start=np.concatenate(([0], np.cumsum([len(prior.size) for prior in priors]))).astype(np.int64),
        group_size=np.concatenate([prior.size for prior in priors]).astype(np.int64),
        group_share=np.concatenate([prior.share for prior in priors]),
        weight=np.array([prior.size_weight for prior in priors]),
    )
