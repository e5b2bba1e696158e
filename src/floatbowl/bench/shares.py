"""Shares in words people use: a fifth, a tenth to a third."""

from __future__ import annotations

import math
from typing import Final

#: Shares that have a plain name. Those between are given the nearest by ratio.
NAMED: Final = (
    (0.01, "a hundredth"),
    (0.02, "a fiftieth"),
    (0.05, "a twentieth"),
    (0.1, "a tenth"),
    (0.125, "an eighth"),
    (0.2, "a fifth"),
    (0.25, "a quarter"),
    (1 / 3, "a third"),
    (0.4, "two fifths"),
    (0.5, "half"),
    (0.6, "three fifths"),
    (2 / 3, "two thirds"),
    (0.75, "three quarters"),
    (0.9, "nine tenths"),
    (1.0, "all"),
)
LEAST: Final = 0.007
MOST: Final = 1.1


def share_in_words(share: float) -> str:
    """The nearest named share, by ratio. Raises ValueError below nothing or for no number.

    >>> share_in_words(0.22), share_in_words(0.004), share_in_words(1.6)
    ('a fifth', 'hardly any', 'more than all')
    """
    if not (math.isfinite(share) and share >= 0):
        raise ValueError(f"{share} is no share; it is nothing or more")
    if share < LEAST:
        return "hardly any"
    if share > MOST:
        return "more than all"
    return min(NAMED, key=lambda named: abs(math.log(named[0] / share)))[1]


def about(share: float, low: float, high: float) -> str:
    """A share with its range: ``roughly a fifth (a tenth to a third)``; no range where its ends have one name.

    >>> about(0.22, 0.11, 0.35)
    'roughly a fifth (a tenth to a third)'
    """
    said = share_in_words(share)
    lead = said if said in ("hardly any", "more than all") else f"roughly {said}"
    ends = share_in_words(max(low, 0.0)), share_in_words(high)
    return lead if ends[0] == ends[1] else f"{lead} ({ends[0]} to {ends[1]})"
