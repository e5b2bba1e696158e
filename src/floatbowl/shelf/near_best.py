"""A good choice of whole numbers when there is no time for the best: the relaxed programme rounded down, then filled.

For programmes that only ever use things up (no row has a number below 0): what is left after rounding down is given to
what was cut off most, then to what brings most for what it uses at the relaxed programme's own prices. Some tries with
the first order shaken find better fillings; the seed is fixed. A rule of thumb; the relaxed optimum is a bound, and
between the two lies all that the solver still has to look at.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from floatbowl.shelf.whole_numbers import Floats, Programme

_TRIES: Final = 20
#: How far the first order is shaken, as a share of one piece (the best of a few tried on invented shops).
_SHAKEN: Final = 0.6
_FORGIVEN: Final = 1e-9


@dataclass(frozen=True, slots=True)
class NearBest:
    """A choice ``x`` within the rows, a ``bound`` that none can cost less than, and the programme made narrower.

    ``narrowed`` leaves out only what no choice as good as ``x`` has: a piece more (or less) of a thing than the relaxed
    programme takes adds at least its reduced cost, and there is no more to add than lies between bound and ``x``.
    """

    x: Floats
    bound: float
    narrowed: Programme


def near_best(programme: Programme, time_limit_s: float) -> NearBest:
    """A choice and its bound; only upper limits on rows, and ``cost`` below 0 where it pays.

    Raises RuntimeError when the relaxed programme fails, which a programme that choosing nothing satisfies never does.
    """
    # Half a second to import: nobody waits for it who works nothing out.
    from scipy.optimize import linprog

    relaxed: Any = linprog(
        programme.cost,
        A_ub=programme.rows if programme.high.size else None,
        b_ub=programme.high if programme.high.size else None,
        bounds=np.column_stack([np.zeros(programme.cost.size), programme.upper]),
        method="highs",
    )
    if relaxed.x is None:
        raise RuntimeError(f"the relaxed programme failed: {relaxed.message}")
    ends = time.perf_counter() + time_limit_s
    filling = _Filling(programme, relaxed.x, -relaxed.ineqlin.marginals if programme.high.size else np.zeros(0))
    shake = np.random.default_rng(0)
    best = filling.filled(np.zeros(programme.cost.size))
    for _ in range(_TRIES):
        if time.perf_counter() > ends:
            break
        tried = filling.filled(_SHAKEN * shake.random(programme.cost.size))
        if programme.cost @ tried < programme.cost @ best:
            best = tried
    return NearBest(best, float(relaxed.fun), _narrowed(programme, float(programme.cost @ best), relaxed))


def _narrowed(programme: Programme, cost: float, relaxed: Any) -> Programme:
    room = (cost - relaxed.fun) * (1 + 1e-6) + 1e-6 * max(1.0, abs(cost))
    with np.errstate(divide="ignore"):
        up = np.floor(room / np.maximum(relaxed.lower.marginals, 0.0) + _FORGIVEN)
        down = np.floor(room / np.maximum(-relaxed.upper.marginals, 0.0) + _FORGIVEN)
    upper = np.minimum(programme.upper, up)
    return replace(programme, upper=upper, lower=np.minimum(upper, np.maximum(0.0, programme.upper - down)))


class _Filling:
    """Rounding down, and filling what is left in one order or another."""

    def __init__(self, programme: Programme, relaxed: Floats, prices: Floats) -> None:
        self.programme = programme
        self.columns = programme.rows.tocsc()
        self.down = np.floor(relaxed + _FORGIVEN)
        self.cut_off = relaxed - self.down
        used = np.maximum(self.columns.T @ prices, _FORGIVEN)
        self.by_worth = np.argsort(programme.cost / used)

    def filled(self, shaken: Floats) -> Floats:
        x = self.down.copy()
        left = self.programme.high - self.columns @ x
        for place in np.argsort(-(self.cut_off + shaken)):
            if self.cut_off[place] > _FORGIVEN:
                self._more(x, left, place, 1)
        for place in self.by_worth:
            if self.programme.cost[place] < 0:
                self._more(x, left, place, self.programme.upper[place])
        return x

    def _more(self, x: Floats, left: Floats, place: int, most: float) -> None:
        """So many more of one thing, or as many as there is room for."""
        start, end = self.columns.indptr[place], self.columns.indptr[place + 1]
        rows, uses = self.columns.indices[start:end], self.columns.data[start:end]
        with np.errstate(invalid="ignore", divide="ignore"):
            # What is used by nothing at all sets no limit: nothing left over nothing used is no number.
            fits = left[rows] / uses
        room = np.floor(np.nanmin(fits) + _FORGIVEN) if rows.size and not np.isnan(fits).all() else most
        count = min(most, self.programme.upper[place] - x[place], room)
        if count > 0:
            x[place] += count
            left[rows] -= uses * count
