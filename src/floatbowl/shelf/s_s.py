"""(s, S): looked at every period; at or below s, order up to S. What is short waits.

Notation: ``h`` holding a unit over a period, ``p`` a unit short over a period, ``k`` an order, ``mean`` and ``sd`` of
one period's demand; orders come before the period's demand (add lead periods to the demand otherwise).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.stats import poisson

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.newsvendor import by_poisson, poisson_cost


@dataclass(frozen=True, slots=True)
class OrderUpTo:
    """At or below ``point`` order up to ``level``; ``cost`` of a period where the method gives it."""

    point: float
    level: float
    cost: float | None = None


class _PoissonCase:
    """Costs of a period and the renewal function of Poisson demand, each worked out once."""

    def __init__(self, h: float, p: float, k: float, mean: float) -> None:
        for name, value in {"h": h, "p": p, "k": k, "mean": mean}.items():
            within(name, value, 0.0, open_low=True)
        if mean > 5000:
            raise Refused(f"mean is {mean:g} a period; count in packs, or use the power approximation")
        self.h, self.p, self.k, self.mean = h, p, k, mean
        self._none = math.exp(-mean)
        self._renewals = [1.0 / -math.expm1(-mean)]
        self._costs: dict[int, float] = {}

    def period(self, level: int) -> float:
        """G(y): expected cost of a period begun with y."""
        if level not in self._costs:
            self._costs[level] = poisson_cost(level, self.h, self.p, self.mean)
        return self._costs[level]

    def renewals(self, units: int) -> float:
        """m(j): periods begun, on average, with just j units gone: m(0) = 1 / (1 - f0),
        m(j) = (sum over i from 1 to j of f(i) m(j - i)) / (1 - f0)."""
        while len(self._renewals) <= units:
            j = len(self._renewals)
            chances = poisson.pmf(np.arange(1, j + 1), self.mean)
            self._renewals.append(float(chances @ np.array(self._renewals[::-1])) / -math.expm1(-self.mean))
        return self._renewals[units]

    def cost(self, point: int, level: int) -> float:
        """c(s, S) = (k + sum of m(j) G(S - j)) / sum of m(j), j from 0 to S - s - 1."""
        gone = range(level - point)
        periods = [self.renewals(j) for j in gone]
        return (self.k + sum(m * self.period(level - j) for j, m in zip(gone, periods, strict=True))) / sum(periods)


def poisson_cost_of(point: int, level: int, h: float, p: float, k: float, mean: float) -> float:
    """Exact cost of a period of any whole s < S, for Poisson demand. Raises ``Refused`` otherwise."""
    if level <= point:
        raise Refused(f"S is {level} and s {point}; S must be above s")
    return _PoissonCase(h, p, k, mean).cost(point, level)


def poisson_exact(h: float, p: float, k: float, mean: float) -> OrderUpTo:
    """The best s and S for Poisson demand: S is raised while it can pay, s follows it.

    Y.-S. Zheng, A. Federgruen, "Finding optimal (s, S) policies is about as simple as evaluating a single policy",
    Operations Research 39, 1991, 654-665. Exact.
    """
    case = _PoissonCase(h, p, k, mean)
    best_level = int(by_poisson(h, p, mean).level)
    point = best_level - 1
    while case.cost(point, best_level) > case.period(point):
        point -= 1
    cost, level = case.cost(point, best_level), best_level + 1
    while case.period(level) <= cost:
        if case.cost(point, level) < cost:
            best_level = level
            while case.cost(point, level) <= case.period(point + 1):
                point += 1
            cost = case.cost(point, level)
        level += 1
    return OrderUpTo(point, best_level, cost)


def power_approximation(h: float, p: float, k: float, mean: float, sd: float) -> OrderUpTo:
    """The power approximation: formulas fitted to many best policies.

    Q = 1.30 mean^0.494 (k/h)^0.506 (1 + sd^2/mean^2)^0.116, z = sqrt(Q h / (sd p)),
    s = 0.973 mean + sd (0.183/z + 1.063 - 2.192 z), S = s + Q. R. Ehrhardt, C. Mosier, Management Science 30, 1984,
    618-622. For the demand of one period, no lead time; a few per cent dearer than the best where Q is not small.
    """
    for name, value in {"h": h, "p": p, "k": k, "mean": mean, "sd": sd}.items():
        within(name, value, 0.0, open_low=True)
    quantity = 1.30 * mean**0.494 * (k / h) ** 0.506 * (1 + (sd / mean) ** 2) ** 0.116
    z = math.sqrt(quantity * h / (sd * p))
    point = 0.973 * mean + sd * (0.183 / z + 1.063 - 2.192 * z)
    return OrderUpTo(point, point + quantity)
