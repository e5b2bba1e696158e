"""Sums over everything recorded that one reading may be of, compiled: each goes through its rows once."""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(cache=True, error_model="numpy")
def by_carburettor(hypothesis, mark, share, kind, weight_of_kind, by_mark, recorded):  # type: ignore[no-untyped-def]
    """For each recorded carburettor, the sum over its rows of the row's weight times its mark's likelihood.

    A row's weight is its ``share`` times ``weight_of_kind`` of its ``kind``. The arrays may be slices of all rows'.
    """
    found = np.zeros(recorded)
    for row in range(mark.shape[0]):
        found[hypothesis[row]] += share[row] * weight_of_kind[kind[row]] * by_mark[mark[row]]
    return found


@njit(cache=True, error_model="numpy")
def of_siblings(mark, same, number, pattern, letter, letter_of, density, room, open_, letters, by_mark):  # type: ignore[no-untyped-def]
    """P(reading | the number of an unlisted sibling) beside each recorded number; see ``siblings.SiblingNumbers``.

    At a pattern's open place stands any of its characters (``open_`` is their mean, ``room`` the sum of their weights)
    less what is recorded there. The last of ``letters`` is the factor without a check letter.
    """
    found, recorded, gaps = np.zeros(mark.shape[0]), np.zeros(density.shape[0]), np.zeros(density.shape[0])
    for pair in range(pattern.shape[0]):
        recorded[pattern[pair]] += letter[pair] * by_mark[mark[number[pair]]]
    for p in range(density.shape[0]):
        missing = room[p] * open_[p] - recorded[p]
        gaps[p] = density[p] * max(missing, 0.0) * letters[letter_of[p]]
    for pair in range(pattern.shape[0]):
        found[number[pair]] += gaps[pattern[pair]]
    for n in range(mark.shape[0]):
        found[n] = (1.0 - same[n]) * found[n] + same[n] * by_mark[mark[n]]
    return found
