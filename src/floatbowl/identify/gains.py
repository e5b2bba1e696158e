"""How much an answer would tell about the kit, compiled: dozens of looks are compared for every enquiry."""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(cache=True, error_model="numpy")
def span(place, at, end):  # type: ignore[no-untyped-def]
    """The lowest and the highest place before ``end`` among candidates; both -1 without one."""
    low, high = -1, -1
    for k in range(at.shape[0]):
        here = place[at[k]]
        if here < end:
            low = here if low < 0 else min(low, here)
            high = max(high, here)
    return low, high


@njit(cache=True, error_model="numpy")
def gain_nats(place, row_of_place, at, probability, starts, given, uncertain):  # type: ignore[no-untyped-def]
    """Mutual information in nats between an answer and the group; candidates stand group by group from ``starts`` on.

    ``row_of_place[place[i]]`` is the row of ``given`` (chances of each answer) for hypothesis ``i``; one past its end
    stands for "not recorded": then it is as with the recorded candidates. ``uncertain`` is the entropy of each row less
    that of its sum. The result is the entropy of the answer less that given the group; groups whose members are all
    alike need only their row's.
    """
    rows, answers, count = given.shape[0], given.shape[1], at.shape[0]
    by_row = np.zeros(rows + 1)
    for k in range(count):
        by_row[row_of_place[place[at[k]]]] += probability[k]
    table, entropy = np.empty((rows + 1, answers)), np.empty(rows + 1)
    shown, recorded, kinds = np.zeros(answers), 0.0, 0
    for r in range(rows):
        entropy[r] = uncertain[r]
        if by_row[r] > 0.0:
            recorded += by_row[r]
            kinds += 1
            for a in range(answers):
                table[r, a] = given[r, a]
                shown[a] += by_row[r] * given[r, a]
    if kinds < 1 or kinds + (by_row[rows] > 0.0) < 2:
        return 0.0
    for a in range(answers):
        table[rows, a] = shown[a] / recorded
        shown[a] += by_row[rows] * table[rows, a]
    entropy[rows] = _entropy(table[rows])
    left, vector = 0.0, np.zeros(answers)
    for g in range(starts.shape[0]):
        begin, end = starts[g], starts[g + 1] if g + 1 < starts.shape[0] else count
        first, alike, total = row_of_place[place[at[begin]]], True, 0.0
        for k in range(begin, end):
            total += probability[k]
            alike = alike and row_of_place[place[at[k]]] == first
        if alike:
            left += total * entropy[first]
            continue
        vector[:] = 0.0
        for k in range(begin, end):
            r, p = row_of_place[place[at[k]]], probability[k]
            for a in range(answers):
                vector[a] += p * table[r, a]
        left += _entropy(vector)
    total = shown.sum()
    return max(0.0, (_entropy(shown) - left) / total)


@njit(cache=True, error_model="numpy")
def _entropy(chances):  # type: ignore[no-untyped-def]
    """The entropy of chances less that of their sum: that is their own entropy times their sum."""
    found, total = 0.0, 0.0
    for a in range(chances.shape[0]):
        if chances[a] > 0.0:
            found -= chances[a] * np.log(chances[a])
            total += chances[a]
    return found + total * np.log(total) if total > 0.0 else 0.0
