"""Croston's forecast for demand that comes now and then, and two that mend it (SBA, TSB).

J. D. Croston, Operational Research Quarterly 23, 1972, 289-303; A. A. Syntetos, J. E. Boylan, International Journal of
Forecasting 21, 2005, 303-314 (SBA); R. H. Teunter, A. A. Syntetos, M. Z. Babai, European Journal of Operational
Research 214, 2011, 606-615 (TSB). Smoothing begins at the first value, as general forecasting libraries have it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from numba import njit

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.orders import Floats, Whole

METHODS: Final = ("croston", "sba", "tsb")


@dataclass(frozen=True, slots=True)
class Paths:
    """Forecasts of one month ahead: column t is made before month t, the last column after the end of the record.

    ``square`` is the mean square of what forecasts before that month missed by (0 before there are any).
    """

    forecast: Floats
    square: Floats


def decompose(series: npt.ArrayLike) -> tuple[Whole, Whole]:
    """Sizes of demand and the months from one to the next (the first counted from the start).

    >>> [part.tolist() for part in decompose([0, 2, 0, 0, 1])]
    [[2, 1], [2, 3]]
    """
    units = np.asarray(series)
    at = np.flatnonzero(units > 0)
    return units[at].astype(np.int64), np.diff(at + 1, prepend=0).astype(np.int64)


def croston(series: npt.ArrayLike, alpha: float = 0.1) -> float:
    """Croston's forecast of units a month: smoothed size over smoothed interval, both by ``alpha``.

    Biased upwards by about ``alpha / 2``; never falls while nothing is asked.
    """
    return float(paths(_one(series), "croston", alpha).forecast[0, -1])


def sba(series: npt.ArrayLike, alpha: float = 0.1) -> float:
    """Syntetos and Boylan's: Croston's times 1 - alpha / 2, which takes most of its bias away."""
    return float(paths(_one(series), "sba", alpha).forecast[0, -1])


def tsb(series: npt.ArrayLike, alpha: float = 0.1, beta: float = 0.05) -> float:
    """Teunter, Syntetos and Babai's: smoothed size (``alpha``, when there is demand) times the smoothed chance of
    demand (``beta``, every month), which falls while nothing is asked."""
    return float(paths(_one(series), "tsb", alpha, beta).forecast[0, -1])


def paths(units: npt.ArrayLike, method: str, alpha: float = 0.1, beta: float = 0.05) -> Paths:
    """Forecasts before every month for many lines (a row each). Before the first demand the forecast is 0.

    Raises ``Refused`` for an unknown method, or a smoothing outside 0 to 1.
    """
    if method not in METHODS:
        raise Refused(f"{method!r} is no method known here; use one of {', '.join(METHODS)}")
    within("alpha", alpha, 0.0, 1.0, open_low=True)
    within("beta", beta, 0.0, 1.0, open_low=True)
    table = np.asarray(units, np.float64)
    if table.ndim != 2 or 0 in table.shape:
        raise Refused("demand must be a table with a row for each line and a column for each month")
    if not np.all(np.isfinite(table) & (table >= 0)):
        raise Refused("demand must be numbers of at least 0, none missing")
    if method == "tsb":
        forecast = _tsb(table, alpha, beta)
    else:
        forecast = _croston(table, alpha) * (1 - alpha / 2 if method == "sba" else 1.0)
    return Paths(forecast, _mean_square(table, forecast))


def _one(series: npt.ArrayLike) -> Floats:
    return np.atleast_2d(np.asarray(series, np.float64))


def _mean_square(units: Floats, forecast: Floats) -> Floats:
    """Of the errors from the first demand on."""
    told = np.cumsum(units > 0, axis=1)[:, :-1] > 0
    missed = np.where(told, units[:, 1:] - forecast[:, 1:-1], 0.0)
    number = np.cumsum(told, axis=1)
    mean = np.cumsum(missed**2, axis=1) / np.maximum(number, 1)
    return np.concatenate([np.zeros((len(units), 2)), mean], axis=1)


@njit(cache=True)
def _croston(units, alpha):  # type: ignore[no-untyped-def]
    lines, months = units.shape
    forecast = np.zeros((lines, months + 1))
    for i in range(lines):
        size, interval, since, begun = 0.0, 1.0, 1.0, False
        for t in range(months):
            if units[i, t] > 0:
                size = alpha * units[i, t] + (1 - alpha) * size if begun else units[i, t]
                interval = alpha * since + (1 - alpha) * interval if begun else since
                since, begun = 1.0, True
            else:
                since += 1.0
            forecast[i, t + 1] = size / interval
    return forecast


@njit(cache=True)
def _tsb(units, alpha, beta):  # type: ignore[no-untyped-def]
    lines, months = units.shape
    forecast = np.zeros((lines, months + 1))
    for i in range(lines):
        size, chance, begun = 0.0, 0.0, False
        for t in range(months):
            there = 1.0 if units[i, t] > 0 else 0.0
            chance = beta * there + (1 - beta) * chance if t > 0 else there
            if there:
                size = alpha * units[i, t] + (1 - alpha) * size if begun else units[i, t]
                begun = True
            forecast[i, t + 1] = size * chance
    return forecast
