"""Demand of many lines over a time as tables of probabilities: orders by a negative binomial, each of its own size.

The number of orders has the probabilities of a Poisson count whose rate is uncertain by a gamma distribution, which is
a negative binomial; sizes are summed by H. H. Panjer's recursion ("Recursive evaluation of a family of compound
distributions", ASTIN Bulletin 12(1), 1981, 22-26), exact but for the tail past the table, put into its last place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numba import njit

from floatbowl.engine.refusal import Refused, within
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
        return np.asarray(_means(self.start, self.chance), np.float64)

    def quantile(self, share: float) -> Whole:
        """Of every line the smallest number of units whose probability of sufficing is at least ``share``."""
        within("share", share, 0.0, 1.0)
        return np.asarray(_quantiles(self.start, self.chance, share), np.int64)

    def at_most(self, units: Whole) -> Floats:
        """Of every line the probability that no more than so many units are asked (none for a number below 0)."""
        return np.asarray(_at_most(self.start, self.chance, units), np.float64)


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
        mean, square = _size_moments(*self._parts())
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
    kernel = _compound_by_month if by_month else _compound
    kernel(shape, months, over_months, *sizes._parts(), start, chance)
    return DemandTable(start, chance)


def one_order_more(table: DemandTable, sizes: Sizes) -> DemandTable:
    """Units of ``table`` and those of one order on top."""
    chance = np.zeros_like(table.chance)
    _one_more(table.start, table.chance, *sizes._parts(), chance)
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


@njit(cache=True)
def _merged(i, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, size, share):  # type: ignore[no-untyped-def]
    """One line's sizes and shares into ``size`` and ``share``; how many. The same size may come twice."""
    g = group[i]
    total = weight[g]
    for k in range(own_start[i], own_start[i + 1]):
        total += own_count[k]
    count = 0
    for k in range(own_start[i], own_start[i + 1]):
        size[count], share[count] = own_size[k], own_count[k] / total
        count += 1
    for k in range(group_start[g], group_start[g + 1]):
        size[count], share[count] = group_size[k], group_share[k] * weight[g] / total
        count += 1
    return count


@njit(cache=True)
def _room(own_start, group_start):  # type: ignore[no-untyped-def]
    most = 0
    for i in range(len(own_start) - 1):
        most = max(most, own_start[i + 1] - own_start[i])
    least = 0
    for g in range(len(group_start) - 1):
        least = max(least, group_start[g + 1] - group_start[g])
    return most + least


@njit(cache=True)
def _compound(  # type: ignore[no-untyped-def]
    shape, months, over, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, start, out
):
    room = _room(own_start, group_start)
    size, share = np.zeros(room, np.int64), np.zeros(room)
    for i in range(len(shape)):
        count = _merged(
            i, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, size, share
        )
        _panjer(shape[i], months[i] / (months[i] + over), size[:count], share[:count], out[start[i] : start[i + 1]])


@njit(cache=True)
def _panjer(shape, keep, size, share, out):  # type: ignore[no-untyped-def]
    """Panjer's recursion for a negative binomial count: p0 = keep^shape, a = 1 - keep, b = (shape - 1)(1 - keep)."""
    a = 1.0 - keep
    b = (shape - 1.0) * a
    log_none = shape * np.log(keep)
    scaled = log_none < -500.0
    # Where "none at all" is too small a number, the sums are carried on another scale and made one at the end.
    out[0] = 1e-200 if scaled else np.exp(log_none)
    for s in range(1, len(out)):
        total = 0.0
        for j in range(len(size)):
            if size[j] <= s:
                total += (a + b * size[j] / s) * share[j] * out[s - size[j]]
        out[s] = total
        if total > 1e200:
            out[: s + 1] *= 1e-300
    if scaled:
        out /= out.sum()
    else:
        out[-1] += max(0.0, 1.0 - out.sum())


@njit(cache=True)
def _compound_by_month(  # type: ignore[no-untyped-def]
    shape, months, over, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, start, out
):
    room = _room(own_start, group_start)
    size, share = np.zeros(room, np.int64), np.zeros(room)
    whole = int(np.floor(over))
    number, more = np.zeros(whole + 2), np.zeros(whole + 2)
    for i in range(len(shape)):
        count = _merged(
            i, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, size, share
        )
        _beta_binomial(whole, shape[i], months[i] - shape[i], number)
        _beta_binomial(whole + 1, shape[i], months[i] - shape[i], more)
        number += (over - whole) * (more - number)
        _summed(number, size[:count], share[:count], out[start[i] : start[i + 1]])


@njit(cache=True)
def _beta_binomial(trials, alpha, beta, out):  # type: ignore[no-untyped-def]
    """Chances of 0 to ``trials`` months with an order, by the ratio of each to the one before."""
    out[:] = 0.0
    out[0] = 1.0
    for k in range(trials):
        out[0] *= (beta + k) / (alpha + beta + k)
    for k in range(trials):
        out[k + 1] = out[k] * (trials - k) / (k + 1.0) * (alpha + k) / (beta + trials - k - 1.0)


@njit(cache=True)
def _summed(number, size, share, out):  # type: ignore[no-untyped-def]
    """Units of so many orders: ((n2 g + n1) g + n0) for the number's chances n and the size's g."""
    last = len(out) - 1
    next_out = np.zeros(len(out))
    for k in range(len(number) - 1, -1, -1):
        next_out[:] = 0.0
        for s in range(last + 1):
            if out[s] > 0:
                for j in range(len(size)):
                    next_out[min(s + size[j], last)] += out[s] * share[j]
        out[:] = next_out
        out[0] += number[k]


@njit(cache=True)
def _one_more(  # type: ignore[no-untyped-def]
    start, chance, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, out
):
    room = _room(own_start, group_start)
    size, share = np.zeros(room, np.int64), np.zeros(room)
    for i in range(len(start) - 1):
        count = _merged(
            i, own_start, own_size, own_count, group, group_start, group_size, group_share, weight, size, share
        )
        before, after = chance[start[i] : start[i + 1]], out[start[i] : start[i + 1]]
        last = len(before) - 1
        for s in range(last + 1):
            for j in range(count):
                after[min(s + size[j], last)] += before[s] * share[j]


@njit(cache=True)
def _size_moments(own_start, own_size, own_count, group, group_start, group_size, group_share, weight):  # type: ignore[no-untyped-def]
    groups, lines = len(group_start) - 1, len(own_start) - 1
    first, second = np.zeros(groups), np.zeros(groups)
    for g in range(groups):
        for k in range(group_start[g], group_start[g + 1]):
            first[g] += group_share[k] * group_size[k]
            second[g] += group_share[k] * group_size[k] ** 2
    mean, square = np.zeros(lines), np.zeros(lines)
    for i in range(lines):
        total = weight[group[i]]
        mean[i], square[i] = total * first[group[i]], total * second[group[i]]
        for k in range(own_start[i], own_start[i + 1]):
            total += own_count[k]
            mean[i] += own_count[k] * own_size[k]
            square[i] += own_count[k] * own_size[k] ** 2
        mean[i] /= total
        square[i] /= total
    return mean, square


@njit(cache=True)
def _means(start, chance):  # type: ignore[no-untyped-def]
    mean = np.zeros(len(start) - 1)
    for i in range(len(mean)):
        for s in range(start[i], start[i + 1]):
            mean[i] += chance[s] * (s - start[i])
    return mean


@njit(cache=True)
def _quantiles(start, chance, share):  # type: ignore[no-untyped-def]
    found = np.zeros(len(start) - 1, np.int64)
    for i in range(len(found)):
        below = 0.0
        for s in range(start[i], start[i + 1]):
            below += chance[s]
            found[i] = s - start[i]
            if below >= share:
                break
    return found


@njit(cache=True)
def _at_most(start, chance, units):  # type: ignore[no-untyped-def]
    found = np.zeros(len(start) - 1)
    for i in range(len(found)):
        for s in range(start[i], min(start[i + 1], start[i] + units[i] + 1)):
            found[i] += chance[s]
    return found
