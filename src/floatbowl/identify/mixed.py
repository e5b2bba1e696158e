"""Carburettors built from two: some castings from one carburettor, the rest from another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.castings import TAG, WHOLE
from floatbowl.identify.catalogue import Catalogue
from floatbowl.identify.compiled import Numbers
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
    always = [WHOLE] if WHOLE in castings else []
    logs = {name: castings[name][recorded] for name in (*always, *apart)}
    tops = {name: float(values.max()) for name, values in logs.items()}
    # Each casting's likelihoods are worked out once; a division multiplies those of its castings.
    factors = {name: np.exp(values - tops[name]) for name, values in logs.items()}
    maker_of = catalogue.maker_of[: catalogue.recorded]
    share_of = np.maximum(np.bincount(maker_of, catalogue.share, minlength=len(catalogue.makers) + 1), 1e-300)
    found = []
    for one, other in divisions:
        first = _product(prior[recorded], [factors[name] for name in (*always, *one)])
        second = _product(catalogue.share, [factors[name] for name in other])
        found.append(_pairs(first, second, maker_of, share_of, assumptions))
    return float(np.log(max(sum(found) / len(found), 1e-300))) + sum(tops.values())


def _product(start: Floats, factors: list[Floats]) -> Floats:
    found = start * factors[0]
    for factor in factors[1:]:
        found *= factor
    return found


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


def _pairs(first: Floats, second: Floats, maker_of: Numbers, share_of: Floats, assumptions: Assumptions) -> float:
    """Sum over all pairs of different carburettors; a second one of the same maker is as likely as it is common there.

    All pairs less those of a carburettor with itself, maker by maker.
    """
    ones, others, itself = (
        np.bincount(maker_of, values, minlength=share_of.size) for values in (first, second, first * second)
    )
    same_maker = float(((ones * others - itself) / share_of).sum())
    any_maker = float(ones.sum() * others.sum() - itself.sum())
    pairs = assumptions.mixed_same_maker * same_maker + (1 - assumptions.mixed_same_maker) * any_maker
    return max(0.0, pairs)
