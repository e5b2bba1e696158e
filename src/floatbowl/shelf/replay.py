"""Months that have been, played again under given levels: what would have been filled, and what stood on the shelf.

Every month: what was ordered a lead time ago arrives and fills waiting orders first; each line is ordered up to its
level; the month's demand is filled as far as there is stock, and what is not filled waits.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.orders import Floats, Whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """Of every line: months with demand, those filled whole; units asked, units filled; units on hand on average."""

    lines: Whole
    lines_filled: Whole
    units: Whole
    units_filled: Whole
    on_hand: Floats

    def of(self, chosen: Whole) -> Replay:
        """The same for some of the lines."""
        return Replay(
            lines=self.lines[chosen],
            lines_filled=self.lines_filled[chosen],
            units=self.units[chosen],
            units_filled=self.units_filled[chosen],
            on_hand=self.on_hand[chosen],
        )

    def share_of_lines(self) -> float:
        return float(self.lines_filled.sum() / max(1, self.lines.sum()))

    def share_of_units(self) -> float:
        return float(self.units_filled.sum() / max(1, self.units.sum()))

    def share_of_value(self, price: Floats) -> float:
        return float((price * self.units_filled).sum() / max(1e-300, float((price * self.units).sum())))

    def money(self, price: Floats) -> float:
        return float((price * self.on_hand).sum())


def replay(units: Whole, levels: Whole, first_month: int, lead_months: int, score_from: int) -> Replay:
    """Play months ``first_month`` onwards; ``levels`` has a row for each of them and a column a line.

    The shelf begins full to its first levels; months before ``score_from`` are played but not counted. One month's
    demand of a line is one order line. On hand is the mean of before and after each month's sales.
    """
    lines, months = units.shape
    if levels.shape != (months - first_month, lines):
        raise Refused(f"levels are {levels.shape}; they must be {months - first_month} months by {lines} lines")
    within("lead time", lead_months, 1, 60, "months")
    within("first month counted", score_from, first_month, months - 1)
    return Replay(
        **dict(zip(Replay.__slots__, _replay(units, levels, first_month, lead_months, score_from), strict=True))
    )


@njit(cache=True)
def _replay(units, levels, first, lead, score_from):  # type: ignore[no-untyped-def]
    lines, months = units.shape
    asked, whole = np.zeros(lines, np.int64), np.zeros(lines, np.int64)
    wanted, given, on_hand = np.zeros(lines, np.int64), np.zeros(lines, np.int64), np.zeros(lines)
    for i in range(lines):
        coming = np.zeros(months + lead + 1, np.int64)
        shelf, waiting, on_order = levels[0, i], 0, 0
        for t in range(first, months):
            on_order -= coming[t]
            late = min(coming[t], waiting)
            waiting -= late
            shelf += coming[t] - late
            more = levels[t - first, i] - (shelf - waiting + on_order)
            if more > 0:
                coming[t + lead] += more
                on_order += more
            sold = min(units[i, t], shelf)
            if t >= score_from:
                on_hand[i] += shelf - 0.5 * sold
                wanted[i] += units[i, t]
                given[i] += sold
                if units[i, t] > 0:
                    asked[i] += 1
                    if sold == units[i, t]:
                        whole[i] += 1
            shelf -= sold
            waiting += units[i, t] - sold
    return asked, whole, wanted, given, on_hand / (months - score_from)
