"""The last-time buy: how many to take when a supplier gives a part up and there will be no other chance.

It is one order for all that is still to come, a newsvendor (L. V. Snyder, Z.-J. M. Shen, *Fundamentals of Supply Chain
Theory*, 2nd ed., section 4.3): the smallest number whose chance of being enough is at least
``short_costs / (short_costs + left_costs)``. Demand is a table of the chances of 0, 1, 2... pieces, so that it may be
the shelf's own (``floatbowl.shelf.compound``), with the doubt about its rate in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from floatbowl.engine.refusal import within
from floatbowl.shelf.newsvendor import critical_ratio
from floatbowl.shelf.orders import Floats

#: Below so little more spread than a Poisson's, demand is taken as Poisson.
_NO_MORE = 1e-9
#: A table reaches so many standard deviations and so many pieces past its mean.
_REACH = 40.0
_ROOM = 200
MONTHS = 12


@dataclass(frozen=True, slots=True)
class LastBuy:
    """``enough``: pieces to have in all; ``buy``: to order, in whole packs; ``chance``: that what is had is enough."""

    enough: int
    buy: int
    chance: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """So many bought: the chance that what is had runs out before the time does, and what is expected then.

    ``left``: pieces over in the end, ``missing``: pieces asked for in vain, both on average.
    """

    buy: int
    runs_out: float
    left: float
    missing: float


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


def months_of_now(years: float, falls: float = 0.0) -> float:
    """So many months of today's demand are asked in years in which it falls.

    >>> months_of_now(2.0), round(months_of_now(5, 0.2), 2)
    (24.0, 36.16)
    """
    return demand_still_to_come(float(MONTHS), years, falls)


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
    return last_buy_of(_chances(mean, variance), short_costs, left_costs, have=have, pack=pack)


def last_buy_of(
    chance: Floats, short_costs: float, left_costs: float, *, have: int = 0, pack: int = 1, least: int = 1
) -> LastBuy:
    """The same for demand told by its chances of 0, 1, 2... pieces. ``least``: the supplier sells no fewer."""
    within("the loss for one too few", short_costs, 0.0, open_low=True)
    within("the loss for one left over", left_costs, 0.0, open_low=True)
    within("pieces on hand", have, 0)
    within("pieces in a pack", pack, 1)
    within("pieces sold at least", least, 1)
    at_most = np.cumsum(chance) / chance.sum()
    enough = int(np.searchsorted(at_most, critical_ratio(left_costs, short_costs) - 1e-12))
    wanted = max(0, enough - have)
    buy = math.ceil(max(wanted, least) / pack) * pack if wanted else 0
    return LastBuy(enough, buy, float(at_most[min(have + buy, len(at_most) - 1)]))


def outcome(chance: Floats, have: int, buy: int) -> Outcome:
    """What is to be expected of buying so many beside what is had.

    >>> outcome(np.array([0.5, 0.25, 0.25]), have=0, buy=1)
    Outcome(buy=1, runs_out=0.25, left=0.5, missing=0.25)
    """
    within("pieces on hand", have, 0)
    within("pieces bought", buy, 0)
    asked = np.arange(len(chance))
    share = chance / chance.sum()
    over = (have + buy) - asked
    return Outcome(
        buy=buy,
        runs_out=float(share[over < 0].sum()),
        left=float((share * np.maximum(over, 0)).sum()),
        missing=float((share * np.maximum(-over, 0)).sum()),
    )


def _chances(mean: float, variance: float) -> Floats:
    """A negative binomial of this mean and variance; Poisson where there is no more spread than that."""
    if mean == 0:
        return np.ones(1)
    places = math.ceil(mean + _REACH * math.sqrt(max(variance, mean)) + _ROOM)
    number = np.arange(1, places)
    if variance <= mean * (1 + _NO_MORE):
        logs = np.concatenate(([-mean], np.log(mean / number)))
    else:
        size = mean * mean / (variance - mean)
        none = -size * math.log1p(mean / size)
        logs = np.concatenate(([none], np.log((size + number - 1) / number * mean / (size + mean))))
    return np.asarray(np.exp(np.cumsum(logs)), np.float64)
