"""Which forecast has told this shelf's own past best: pooled (with a shorter or longer memory), TSB, SBA or bootstrap.

Each is asked, as at several past months, for the chances of 0, 1, 2... units over lead time plus review, and is judged
by what came: the ranked probability score, the sum over s of (P(demand at most s) - [it was])^2 (E. S. Epstein, Journal
of Applied Meteorology 8, 1969, 985-987; from memory), which is least on average for the true chances and is in units.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numba import njit

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.counts import Pooling
from floatbowl.shelf.croston import paths
from floatbowl.shelf.demand import demand_over, expect
from floatbowl.shelf.orders import Floats, Orders, Whole

POOLED: Final = "pooled"
LONG_MEMORY: Final = "pooled, long memory"
BOOTSTRAP: Final = "bootstrap"
#: How the past counts in the pooled methods.
POOLINGS: Final = {POOLED: Pooling(), LONG_MEMORY: Pooling(discount=0.99, size_discount=1.0)}
#: A record needs so many months before the first forecast that is judged (estimate).
LEAST_BEFORE: Final = 18
#: Another method is taken only if it was better than pooled by so many standard errors (common practice).
CLEARLY: Final = 2.0

Method = Callable[[Orders, int], DemandTable]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The method taken and why. ``scores`` are mean ranked probability scores (less is better), none when the record
    is too short; ``origins`` are the months at whose start forecasts were made."""

    method: str
    scores: Mapping[str, float]
    origins: tuple[int, ...]
    why: str


def choose(orders: Orders, months: int, times: int = 6, group: Whole | None = None) -> Choice:
    """Judge all methods on ``times`` past forecasts of ``months`` each, as late as the record allows.

    Nothing after an origin is seen by a forecast made there. Raises ``Refused`` for a time outside 1 to 60 months.
    """
    within("months", months, 1, 60)
    within("times", times, 1, 60)
    last = orders.months - months
    origins = tuple(range(last, LEAST_BEFORE - 1, -max(1, months // 2)))[times - 1 :: -1]
    if not origins or not any((orders.month < at).any() for at in origins[:1]):
        why = (
            f"the record has {orders.months} months; {LEAST_BEFORE + months} with orders early on are needed to compare"
        )
        return Choice(method=POOLED, scores=MappingProxyType({}), origins=(), why=why)
    units = orders.monthly()
    found = {name: _judged(method, orders, units, months, origins) for name, method in methods(group).items()}
    return _decided(found, origins)


def methods(group: Whole | None = None, pooling: Pooling | None = None) -> dict[str, Method]:
    """Every method by its name: from a record and a number of months, the chances of 0, 1, 2... units."""
    return {
        POOLED: lambda orders, months: demand_over(expect(orders, pooling, group), months),
        LONG_MEMORY: lambda orders, months: demand_over(expect(orders, POOLINGS[LONG_MEMORY], group), months),
        "tsb": lambda orders, months: by_smoothing(orders, months, "tsb"),
        "sba": lambda orders, months: by_smoothing(orders, months, "sba"),
        BOOTSTRAP: by_bootstrap,
    }


def by_smoothing(orders: Orders, months: int, method: str, alpha: float = 0.1, beta: float = 0.05) -> DemandTable:
    """A smoothed forecast made into chances: a negative binomial of its mean and mean square error, times months."""
    told = paths(orders.monthly(), method, alpha, beta)
    mean = months * told.forecast[:, -1]
    return _by_moments(mean, np.maximum(months * told.square[:, -1], mean * 1.001))


def by_bootstrap(orders: Orders, months: int) -> DemandTable:
    """Chances when each month to come is drawn from a line's own past months, all alike, with none else in sight.

    The exact result of drawing without end, by summing the months' shares (no random numbers).
    """
    units = orders.monthly()
    known = np.minimum(orders.known_from, orders.months - 1)
    most = units.max(axis=1, initial=0) * months + 1
    start = np.concatenate(([0], np.cumsum(most))).astype(np.int64)
    chance = np.zeros(int(start[-1]))
    _drawn(units, known, months, start, chance)
    return DemandTable(start, chance)


def ranked_probability_score(table: DemandTable, came: Whole) -> Floats:
    """Of every line the score of its chances against what came, in units; 0 is a sure and right forecast."""
    if came.shape != (table.lines,):
        raise Refused(f"there are {table.lines} lines of chances and {len(came)} outcomes")
    return np.asarray(_ranked(table.start, table.chance, came), np.float64)


def _judged(method: Method, orders: Orders, units: Whole, months: int, origins: tuple[int, ...]) -> Floats:
    """Mean over origins of every line's score."""
    total = np.zeros(orders.lines)
    for at in origins:
        total += ranked_probability_score(method(orders.until(at), months), units[:, at : at + months].sum(axis=1))
    return total / len(origins)


def _decided(found: dict[str, Floats], origins: tuple[int, ...]) -> Choice:
    scores = MappingProxyType({name: float(score.mean()) for name, score in found.items()})
    best = min(scores, key=lambda name: scores[name])
    if best != POOLED:
        better = found[POOLED] - found[best]
        doubt = float(better.std() / np.sqrt(len(better)))
        if better.mean() < CLEARLY * doubt:
            why = f"{best} was better than {POOLED}, but by no more than chance would have it"
            return Choice(method=POOLED, scores=scores, origins=origins, why=why)
    why = f"{best} told {len(origins)} past times best: {scores[best]:.3f} units beside " + ", ".join(
        f"{name} {score:.3f}" for name, score in scores.items() if name != best
    )
    return Choice(method=best, scores=scores, origins=origins, why=why)


def _by_moments(mean: Floats, variance: Floats) -> DemandTable:
    places = np.ceil(mean + 12 * np.sqrt(variance) + 16)
    start = np.concatenate(([0], np.cumsum(places))).astype(np.int64)
    chance = np.zeros(int(start[-1]))
    _negative_binomials(mean, variance, start, chance)
    return DemandTable(start, chance)


@njit(cache=True)
def _negative_binomials(mean, variance, start, out):  # type: ignore[no-untyped-def]
    """p(s) = p(s - 1) (r + s - 1) / s (1 - q), summed to one: the start cancels."""
    for i in range(len(mean)):
        one = out[start[i] : start[i + 1]]
        one[0] = 1.0
        if mean[i] > 0:
            keep = mean[i] / variance[i]
            shape = mean[i] * keep / (1.0 - keep)
            for s in range(1, len(one)):
                one[s] = one[s - 1] * (shape + s - 1.0) / s * (1.0 - keep)
                if one[s] > 1e200:
                    one[: s + 1] *= 1e-300
        one /= one.sum()


@njit(cache=True)
def _drawn(units, known, months, start, out):  # type: ignore[no-untyped-def]
    for i in range(len(units)):
        most = 0
        for t in range(known[i], units.shape[1]):
            most = max(most, units[i, t])
        share = np.zeros(most + 1)
        for t in range(known[i], units.shape[1]):
            share[units[i, t]] += 1.0 / (units.shape[1] - known[i])
        sums = np.ones(1)
        for _ in range(months):
            sums = np.convolve(sums, share)
        out[start[i] : start[i] + len(sums)] = sums


@njit(cache=True)
def _ranked(start, chance, came):  # type: ignore[no-untyped-def]
    score = np.zeros(len(came))
    for i in range(len(came)):
        below = 0.0
        for s in range(start[i], start[i + 1]):
            below += chance[s]
            was = 1.0 if s - start[i] >= came[i] else 0.0
            score[i] += (below - was) ** 2
        score[i] += max(0, came[i] - (start[i + 1] - start[i]))
    return score
