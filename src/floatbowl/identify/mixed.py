"""Carburettors built from two: some castings from one carburettor, the rest from another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.castings import TAG, WHOLE
from floatbowl.identify.catalogue import Catalogue
from floatbowl.identify.wear import Floats

#: More castings than these are not told apart: the ways to divide them double with each.
_MOST_CASTINGS: Final = 6


def mixed_likelihood(
    castings: Mapping[str, Floats], prior: Floats, catalogue: Catalogue, assumptions: Assumptions
) -> float:
    """Log of P(evidence | built from two different recorded carburettors), summed over all ways to divide the castings.

    The second carburettor is mostly of the first one's maker, since others rarely fit. The tag goes with either, but
    a tag that stands alone makes no second carburettor: tags are moved. With evidence about fewer than two castings
    nothing can disagree, and the result is minus infinity.
    """
    apart = [name for name in castings if name != WHOLE]
    divisions = list(_divisions(apart))
    if not divisions:
        return -np.inf
    recorded = slice(0, catalogue.recorded)
    nothing = np.zeros(catalogue.recorded)
    first = np.log(np.maximum(prior[recorded], 1e-300)) + castings.get(WHOLE, np.zeros(catalogue.hypotheses))[recorded]
    found = [
        _pairs(
            first + sum((castings[name][recorded] for name in one), nothing),
            sum((castings[name][recorded] for name in other), nothing),
            catalogue,
            assumptions,
        )
        for one, other in divisions
    ]
    return float(np.logaddexp.reduce(found) - np.log(len(found)))


def _divisions(names: list[str]) -> Iterator[tuple[list[str], list[str]]]:
    """Every way to give castings to two carburettors, each holding a real casting; both ways round.

    >>> [sorted(one) for one, _ in _divisions(["bowl", "lid", "tag"])]
    [['bowl'], ['lid'], ['bowl', 'tag'], ['lid', 'tag']]
    """
    names = sorted(names, key=lambda name: name == TAG)[: _MOST_CASTINGS + 1]
    for chosen in range(1, 2 ** len(names) - 1):
        one = [name for bit, name in enumerate(names) if chosen >> bit & 1]
        other = [name for bit, name in enumerate(names) if not chosen >> bit & 1]
        if one != [TAG] and other != [TAG]:
            yield one, other


def _pairs(first: Floats, second: Floats, catalogue: Catalogue, assumptions: Assumptions) -> float:
    """Log of the sum over all pairs of different carburettors, one pass over each: ``first`` holds the prior."""
    top_first, top_second = float(first.max()), float(second.max())
    one = np.exp(first - top_first)
    other = catalogue.share * np.exp(second - top_second)
    maker_of = catalogue.maker_of[: catalogue.recorded]
    makers = len(catalogue.makers) + 1
    share_of = np.maximum(np.bincount(maker_of, catalogue.share, minlength=makers), 1e-300)
    same_maker = (np.bincount(maker_of, other, minlength=makers)[maker_of] - other) / share_of[maker_of]
    any_maker = other.sum() - other
    pairs = one @ (assumptions.mixed_same_maker * same_maker + (1 - assumptions.mixed_same_maker) * any_maker)
    return float(np.log(max(float(pairs), 1e-300))) + top_first + top_second
