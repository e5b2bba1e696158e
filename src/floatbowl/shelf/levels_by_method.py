"""Gains of levels under any forecast of demand, for a shelf whose own past chose another than the pooled one.

Such a forecast tells units over whole months, not orders. So a month with demand stands for one order, filled whole if
lead time and review together ask no more than the level. That promises a little too many order lines, since a month
with demand asks more than months at large: set the target by playing past months again (``floatbowl.shelf.replay``).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numba import njit

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.choosing import Method
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.counts import Pooling, count
from floatbowl.shelf.levels import Gains, Timing, checked_prices, fill_and_stock
from floatbowl.shelf.orders import Floats, Orders, Whole

#: Half an order more in a month more, so that a line never asked for is not taken for one that never will be
#: (Jeffreys' prior of a rate).
_HALF: Final = 0.5


def gains_by_method(method: Method, orders: Orders, price: Floats, timing: Timing) -> Gains:
    """What every level does by a forecast of ``floatbowl.shelf.choosing.methods``; lead time and review whole months.

    Raises ``Refused`` for a broken month, a lead time of none, or a price that is not above 0.
    """
    lead, review = timing.lead_months, timing.review_months
    if lead != int(lead) or review != int(review) or lead < 1 or review < 1:
        raise Refused(f"lead time {lead:g} and review {review:g} must be whole months, 1 or more, for this forecast")
    after = method(orders, int(lead + review))
    before = laid_out(method(orders, int(lead)), after.start)
    filled, part, low = fill_and_stock(before, after, before)
    high = fill_and_stock(before, after, after)[2]
    counts = count(orders, Pooling())
    often = (counts.orders + _HALF) / (counts.months + 1.0)
    units = np.maximum(after.mean() - before.mean(), 1e-12) / review
    return Gains(
        start=after.start,
        filled=filled,
        part=part / np.repeat(often * review, np.diff(after.start)),
        on_hand=(low + high) / 2,
        orders=often,
        units=units,
        price=checked_prices(price, orders.lines),
    )


def laid_out(table: DemandTable, start: Whole) -> DemandTable:
    """The same chances in the places of another table; what lies past a line's places goes into its last."""
    chance = np.zeros(int(start[-1]))
    _moved(table.start, table.chance, start, chance)
    return DemandTable(start, chance)


@njit(cache=True)
def _moved(start, chance, into, out):  # type: ignore[no-untyped-def]
    for i in range(len(into) - 1):
        last = into[i + 1] - 1
        for s in range(start[i], start[i + 1]):
            out[min(into[i] + s - start[i], last)] += chance[s]
