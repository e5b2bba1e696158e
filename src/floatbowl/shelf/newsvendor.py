"""One buy for one season: how many when each left over costs ``h`` and each short costs ``p``.

The best level is where the chance of sufficing reaches p / (p + h). Source: L. V. Snyder, Z.-J. M. Shen, "Fundamentals
of Supply Chain Theory", 2nd ed., 2019, section 4.3 (equations from memory, figures checked against its examples).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from floatbowl.engine.refusal import within


@dataclass(frozen=True, slots=True)
class Buy:
    """How many to buy, and the expected cost of leftovers and shortages."""

    level: float
    cost: float


def critical_ratio(h: float, p: float) -> float:
    """p / (p + h): the share of times the level should suffice.

    >>> critical_ratio(1, 4)
    0.8
    """
    within("h", h, 0.0, open_low=True)
    within("p", p, 0.0, open_low=True)
    return p / (p + h)


def normal(h: float, p: float, mean: float, sd: float) -> Buy:
    """S* = mean + z sd with the chance of z equal to the critical ratio; cost (h + p) sd phi(z).

    Holds for demand well above 0 (mean over about 3 sd).
    """
    # A second to import: nobody waits for it who works nothing out.
    from scipy.special import ndtri

    level = mean + float(ndtri(critical_ratio(h, p))) * within("sd", sd, 0.0, open_low=True)
    return Buy(level, normal_cost(level, h, p, mean, sd))


def normal_cost(level: float, h: float, p: float, mean: float, sd: float) -> float:
    """Expected cost of any level: h (S - mean) + (h + p) n(S), n the expected shortage."""
    critical_ratio(h, p)
    return h * (level - mean) + (h + p) * normal_loss(level, mean, sd)


def normal_loss(level: float, mean: float, sd: float) -> float:
    """Units short on average, E[(X - S)+] = sd (phi(z) - z (1 - Phi(z))).

    >>> round(normal_loss(0, 0, 1), 6)
    0.398942
    """
    z = (level - mean) / within("sd", sd, 0.0, open_low=True)
    return sd * (density(z) - z * tail(z))


def normal_second_loss(level: float, mean: float, sd: float) -> float:
    """Half the mean square short, E[((X - S)+)^2] / 2 = sd^2 / 2 ((z^2 + 1)(1 - Phi(z)) - z phi(z)).

    >>> normal_second_loss(0, 0, 1)
    0.25
    """
    z = (level - mean) / within("sd", sd, 0.0, open_low=True)
    return sd**2 / 2 * ((z**2 + 1) * tail(z) - z * density(z))


def by_poisson(h: float, p: float, mean: float) -> Buy:
    """The smallest whole S whose chance of sufficing is at least the critical ratio, for Poisson demand."""
    within("mean", mean, 0.0, open_low=True)
    from scipy.stats import poisson

    level = int(poisson.ppf(critical_ratio(h, p), mean))
    return Buy(level, poisson_cost(level, h, p, mean))


def poisson_cost(level: int, h: float, p: float, mean: float) -> float:
    """Expected cost of any whole level."""
    critical_ratio(h, p)
    return h * (level - mean) + (h + p) * poisson_loss(level, mean)


def poisson_loss(level: int, mean: float) -> float:
    """Units short on average, E[(X - S)+] = (mean - S)(1 - F(S)) + mean f(S); for a level below 0, mean - S.

    >>> round(poisson_loss(2, 1.0), 6)
    0.103638
    """
    if level < 0:
        return mean - level
    from scipy.stats import poisson

    return float((mean - level) * poisson.sf(level, mean) + mean * poisson.pmf(level, mean))


def density(z: float) -> float:
    """The normal density."""
    return math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def tail(z: float) -> float:
    """The chance of more than z."""
    return math.erfc(z / math.sqrt(2)) / 2
