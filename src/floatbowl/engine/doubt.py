"""Doubt carried through a calculation: first order, and the simulation that it is checked against.

First order: ``sd(f)^2 = sum over x of (df/dx * sd(x))^2`` for independent figures (Guide to the Expression of
Uncertainty in Measurement, JCGM 100:2008, equation 10; from memory). Slopes are central differences a small part of
each spread wide; where the figure is refused on one side, one-sided. Holds where the result is about straight over a
few spreads.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.engine.refusal import Refused

#: How far from a figure its slope is taken, as a part of its spread.
STEP: Final = 0.05
#: 95 of 100 of a normal spread lie within so many standard deviations.
COVER_95: Final = 1.959964


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A figure and one standard deviation of it."""

    value: float
    sd: float = 0.0

    @property
    def low(self) -> float:
        """The lower end of the range that holds 95 in 100."""
        return self.value - COVER_95 * self.sd

    @property
    def high(self) -> float:
        """The upper end of the range that holds 95 in 100."""
        return self.value + COVER_95 * self.sd

    def chance_above(self, limit: float) -> float:
        """The chance that the true figure is above ``limit``, the doubt being normal.

        >>> Doubtful(1.0, 0.1).chance_above(1.0), Doubtful(1.0).chance_above(0.9)
        (0.5, 1.0)
        """
        if self.sd <= 0:
            return float(self.value > limit)
        return 0.5 * math.erfc((limit - self.value) / (self.sd * math.sqrt(2)))


def first_order(work: Callable[..., float], values: Mapping[str, float], sds: Mapping[str, float]) -> Doubtful:
    """``work(**values)`` with the doubt that ``sds`` bring; figures without one are exact. Refusals pass through.

    >>> area = first_order(lambda a, b: a * b, {"a": 2.0, "b": 3.0}, {"a": 0.1})
    >>> area.value, round(area.sd, 9)
    (6.0, 0.3)
    """
    value = work(**values)
    shares = [slope(work, values, name, sd) * sd for name, sd in sds.items() if sd > 0]
    return Doubtful(value, math.hypot(*shares))


def slope(work: Callable[..., float], values: Mapping[str, float], name: str, sd: float) -> float:
    """The slope of ``work`` with the figure ``name``, taken over a small part of ``sd``; one-sided beside a refusal."""
    step = STEP * sd
    above, below = _tried(work, values, name, step), _tried(work, values, name, -step)
    if above is None and below is None:
        raise Refused(f"{name} is so near to where the equation stops holding that no doubt can be carried through")
    middle = work(**values)
    if above is None or below is None:
        return (middle - below) / step if below is not None else ((above or 0.0) - middle) / step
    return (above - below) / (2 * step)


def _tried(work: Callable[..., float], values: Mapping[str, float], name: str, step: float) -> float | None:
    try:
        return work(**{**values, name: values[name] + step})
    except Refused:
        return None


def simulated(
    work: Callable[..., float], values: Mapping[str, float], sds: Mapping[str, float], draws: int, seed: int
) -> np.ndarray:
    """Results of ``work`` for so many normal draws of its figures (JCGM 101:2008); refused draws are left out."""
    chance = np.random.default_rng(seed)
    found = []
    for _ in range(draws):
        drawn = {name: value + sds.get(name, 0.0) * chance.standard_normal() for name, value in values.items()}
        try:
            found.append(work(**drawn))
        except Refused:
            continue
    return np.array(found)
