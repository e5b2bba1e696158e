"""Demand of many lines over a time as tables of probabilities: orders by a negative binomial, each of its own size.

The number of orders has the probabilities of a Poisson count whose rate is uncertain by a gamma distribution, which is
a negative binomial; sizes are summed by H. H. Panjer's recursion ("Recursive evaluation of a family of compound
distributions", ASTIN Bulletin 12(1), 1981, 22-26), exact but for the tail past the table, put into its last place.
Orders counted by months, at most one in each, are beta-binomial; their sizes are summed one order after another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf import sums
from floatbowl.shelf.orders import Floats, Whole

#: A table reaches so many standard deviations and so many units past its mean.
_REACH: Final = 12.0
_ROOM: Final = 16
#: More places than this are refused: such a line is counted in packs, not in pieces.
MOST_PLACES: Final = 200_000


@dataclass(frozen=True, slots=True)
class DemandTable:
    """Probabilities of 0, 1, 2... units, line after line: line i's from ``start[i]`` to ``start[i + 1]``."""

    start: Whole
    chance: Floats

    @property
    def lines(self) -> int:
        return len(self.start) - 1

    def of(self, line: int) -> Floats:
        """One line's probabilities."""
        return self.chance[self.start[line] : self.start[line + 1]]

    def mean(self) -> Floats:
        """Units expected of every line."""
        return np.asarray(sums.means(self.start, self.chance), np.float64)

    def quantile(self, share: float) -> Whole:
        """Of every line the smallest number of units whose probability of sufficing is at least ``share``."""
        within("share", share, 0.0, 1.0)
        return np.asarray(sums.quantiles(self.start, self.chance, share), np.int64)

    def at_most(self, units: Whole) -> Floats:
        """Of every line the probability that no more than so many units are asked (none for a number below 0)."""
        return np.asarray(sums.at_most(self.start, self.chance, units), np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Sizes of one order: every line's own counts, and its group's shares as ``weight`` orders more.

    Line i's own sizes are entries ``own_start[i]`` to ``own_start[i + 1]``; group g's shares likewise.
    """

    own_start: Whole
    own_size: Whole
    own_count: Floats
    group: Whole
    group_start: Whole
    group_size: Whole
    group_share: Floats
    weight: Floats

    def moments(self) -> tuple[Floats, Floats]:
        """Mean and mean square of one order's size, of every line."""
        mean, square = sums.size_moments(*self._parts())
        return np.asarray(mean, np.float64), np.asarray(square, np.float64)

    def _parts(self) -> tuple[Whole, Whole, Floats, Whole, Whole, Whole, Floats, Floats]:
        return (
            self.own_start,
            self.own_size,
            self.own_count,
            self.group,
            self.group_start,
            self.group_size,
            self.group_share,
            self.weight,
        )


def compound(shape: Floats, months: Floats, over_months: float, sizes: Sizes, by_month: bool = False) -> DemandTable:
    """Units asked over ``over_months``, where a line's orders a month are gamma(``shape``, rate ``months``).

    With ``by_month`` a month has one order at most: its chance is beta(``shape``, ``months - shape``), the number of
    orders beta-binomial with the same mean; a broken month counts in part.

    Raises ``Refused`` if a line's table would need more than ``MOST_PLACES`` places, or a line has an order in every
    month by its figures (``by_month``).
    """
    if by_month and np.any(shape >= months):
        raise Refused(
            f"line {int(np.argmax(shape / months))} has more than one order a month; count orders, not months"
        )
    within("time", over_months, 0.0, 600.0, "months")
    start = _places(shape, months, over_months, sizes)
    chance = np.zeros(int(start[-1]))
    kernel = sums.compound_by_month if by_month else sums.compound
    kernel(shape, months, over_months, *sizes._parts(), start, chance)
    return DemandTable(start, chance)


def one_order_more(table: DemandTable, sizes: Sizes) -> DemandTable:
    """Units of ``table`` and those of one order on top."""
    chance = np.zeros_like(table.chance)
    sums.one_more(table.start, table.chance, *sizes._parts(), chance)
    return DemandTable(table.start, chance)


def _places(shape: Floats, months: Floats, over_months: float, sizes: Sizes) -> Whole:
    mean_size, square = sizes.moments()
    orders = shape / months * over_months
    spread = np.sqrt(orders * square + shape / months**2 * over_months**2 * mean_size**2)
    # One order more than expected, so that the table also holds the demand with an order on top.
    places = np.ceil(orders * mean_size + _REACH * (spread + np.sqrt(square)) + _ROOM)
    if places.size and places.max() > MOST_PLACES:
        line = int(np.argmax(places))
        raise Refused(
            f"line {line} may be asked for {places[line]:.0f} units; count it in packs, fewer than {MOST_PLACES}"
        )
    return np.concatenate(([0], np.cumsum(places))).astype(np.int64)
