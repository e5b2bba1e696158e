"""The last-time buy: how many to take when a supplier gives a part up and there will be no other chance.

It is one order for all that is still to come, a newsvendor (L. V. Snyder, Z.-J. M. Shen, *Fundamentals of Supply Chain
Theory*, 2nd ed., section 4.3): the smallest number whose chance of being enough is at least
``short_costs / (short_costs + left_costs)``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.stats import nbinom, poisson

from floatbowl.engine.refusal import within
from floatbowl.shelf.newsvendor import critical_ratio

#: Below so little more spread than a Poisson's, demand is taken as Poisson.
_NO_MORE = 1e-9


@dataclass(frozen=True, slots=True)
class LastBuy:
    """``enough``: pieces to have in all; ``buy``: to order, in whole packs; ``chance``: that what is had is enough."""

    enough: int
    buy: int
    chance: float


def demand_still_to_come(per_year: float, years: float, falls: float = 0.0) -> float:
    """Demand of all the years still to come, when each year has ``falls`` (a share) less of it than the one before.

    ``per_year * (1 - (1 - falls)^years) / -ln(1 - falls)``: the demand of now, falling smoothly. Raises ``Refused`` for
    a share that is not from 0 to below 1.

    >>> demand_still_to_come(12.0, 5.0)
    60.0
    >>> round(demand_still_to_come(12, 5, 0.2), 2)
    36.16
    """
    within("demand in a year", per_year, 0.0)
    within("years still to come", years, 0.0)
    within("the share by which demand falls in a year", falls, 0.0, 0.999)
    if not falls:
        return per_year * years
    return per_year * -math.expm1(years * math.log1p(-falls)) / -math.log1p(-falls)


def last_buy(
    mean: float, variance: float, short_costs: float, left_costs: float, *, have: int = 0, pack: int = 1
) -> LastBuy:
    """How many to buy for demand of this mean and variance, all of it still to come.

    ``short_costs``: what one too few loses (the sale, or making it by hand); ``left_costs``: what one left over loses
    (price and holding, less scrap). Demand is negative binomial, Poisson where the variance is not above the mean.

    >>> last_buy(6, 6, short_costs=4, left_costs=1).enough  # Snyder and Shen, example 4.7: 8
    8
    """
    within("demand still to come", mean, 0.0)
    within("its variance", variance, 0.0)
    within("the loss for one too few", short_costs, 0.0, open_low=True)
    within("the loss for one left over", left_costs, 0.0, open_low=True)
    within("pieces on hand", have, 0)
    within("pieces in a pack", pack, 1)
    if mean == 0:
        return LastBuy(0, 0, 1.0)
    demand = _demand(mean, variance)
    enough = int(demand.ppf(critical_ratio(left_costs, short_costs)))
    buy = math.ceil(max(0, enough - have) / pack) * pack
    return LastBuy(enough, buy, float(demand.cdf(have + buy)))


def _demand(mean: float, variance: float) -> poisson | nbinom:
    if variance <= mean * (1 + _NO_MORE):
        return poisson(mean)
    size = mean * mean / (variance - mean)
    return nbinom(size, size / (size + mean))
