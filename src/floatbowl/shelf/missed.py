"""By how much the whole shelf was lately asked less, or more, than its past said it would be."""

from __future__ import annotations

from typing import Final

import numpy as np

from floatbowl.shelf.counts import Counts, Pooling, count
from floatbowl.shelf.orders import Floats, Orders, Whole
from floatbowl.shelf.prior import GroupPrior

#: Past forecasts looked at: so many, each of the months after it.
_TIMES: Final = 3
_MONTHS: Final = 4
#: How far a shelf drifts from its past, one standard deviation, before it is looked at (estimate).
SPREAD: Final = 0.2
#: With a shorter record than this nothing is said.
LEAST_MONTHS: Final = 18


def missed_by(orders: Orders, priors: tuple[GroupPrior, ...], group: Whole, pooling: Pooling) -> float:
    """Units asked over units expected, of the whole shelf in the last year; 1 where there is too little to tell.

    Forecasts are made as at 4, 8 and 12 months ago (with today's priors) and compared with the four months that
    followed. Orders are taken as a Poisson count of lumps; the ratio has a gamma prior about 1 of ``SPREAD``.
    """
    if orders.months < LEAST_MONTHS:
        return 1.0
    asked = expected = 0.0
    units = np.bincount(orders.month, orders.quantity, minlength=orders.months)
    for back in range(_MONTHS, _MONTHS * (_TIMES + 1), _MONTHS):
        then = orders.months - back
        past = orders.until(then)
        expected += _MONTHS * float(units_a_month(count(past, pooling), priors, group).sum())
        asked += float(units[then : then + _MONTHS].sum())
    lump = float((orders.quantity.astype(np.float64) ** 2).sum() / orders.quantity.sum())
    told = 1.0 / SPREAD**2
    return (asked / lump + told) / (expected / lump + told)


def units_a_month(counts: Counts, priors: tuple[GroupPrior, ...], group: Whole) -> Floats:
    """Mean units a month of every line: its rate between its own and its group's, and its size likewise."""
    shape = np.array([prior.shape for prior in priors])[group] + counts.orders
    months = np.array([prior.months for prior in priors])[group] + counts.months
    weight = np.array([prior.size_weight for prior in priors])[group]
    mean = np.array([prior.size @ prior.share / prior.share.sum() for prior in priors])[group]
    number = counts.size_count * counts.size_worth[counts.size_line]
    own = np.bincount(counts.size_line, number, minlength=len(group))
    units = np.bincount(counts.size_line, number * counts.size, minlength=len(group))
    return np.asarray(shape / months * (units + weight * mean) / (own + weight), np.float64)
