"""Compiled sums over tables of probabilities, all lines one after another (see ``floatbowl.shelf.compound``)."""

from __future__ import annotations

import numpy as np
from numba import njit


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
def compound(  # type: ignore[no-untyped-def]
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
def compound_by_month(  # type: ignore[no-untyped-def]
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
def one_more(  # type: ignore[no-untyped-def]
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
def size_moments(own_start, own_size, own_count, group, group_start, group_size, group_share, weight):  # type: ignore[no-untyped-def]
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
def means(start, chance):  # type: ignore[no-untyped-def]
    mean = np.zeros(len(start) - 1)
    for i in range(len(mean)):
        for s in range(start[i], start[i + 1]):
            mean[i] += chance[s] * (s - start[i])
    return mean


@njit(cache=True)
def quantiles(start, chance, share):  # type: ignore[no-untyped-def]
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
def at_most(start, chance, units):  # type: ignore[no-untyped-def]
    found = np.zeros(len(start) - 1)
    for i in range(len(found)):
        for s in range(start[i], min(start[i + 1], start[i] + units[i] + 1)):
            found[i] += chance[s]
    return found
