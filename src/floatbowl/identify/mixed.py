"""Carburettors built from two: one casting from one carburettor, the rest from another."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.castings import TAG, WHOLE
from floatbowl.identify.catalogue import Catalogue
from floatbowl.identify.wear import Floats

_NOT_APART: Final = (TAG, WHOLE)


def mixed_likelihood(
    castings: Mapping[str, Floats], prior: Floats, catalogue: Catalogue, assumptions: Assumptions
) -> float:
    """Log of P(evidence | built from two different carburettors), each casting in turn being the odd one.

    The odd casting's carburettor is mostly of the same maker, since others rarely fit. With evidence about fewer than two
    castings nothing can disagree, and the result is minus infinity.
    """
    apart = [name for name in castings if name not in _NOT_APART]
    if len(apart) < 2:
        return -np.inf
    everything = sum(castings.values(), np.zeros(catalogue.hypotheses))
    found = [_odd_one(everything - castings[odd], castings[odd], prior, catalogue, assumptions) for odd in apart]
    return float(np.logaddexp.reduce(found) - np.log(len(found)))


def _odd_one(rest: Floats, odd: Floats, prior: Floats, catalogue: Catalogue, assumptions: Assumptions) -> float:
    """Sum over all pairs of different carburettors, in logarithms, one pass over each."""
    common = np.concatenate([catalogue.share, np.zeros(catalogue.hypotheses - catalogue.recorded)])
    top_rest, top_odd = float(rest.max()), float(odd.max())
    first = prior * np.exp(rest - top_rest)
    second = common * np.exp(odd - top_odd)
    makers = len(catalogue.makers) + 1
    weight_of = np.bincount(catalogue.maker_of, common, minlength=makers)
    by_maker = np.bincount(catalogue.maker_of, second, minlength=makers)
    own_weight = np.maximum(weight_of[catalogue.maker_of], 1e-300)
    same_maker = (by_maker[catalogue.maker_of] - second) / own_weight
    any_maker = second.sum() - second
    pairs = first @ (assumptions.mixed_same_maker * same_maker + (1 - assumptions.mixed_same_maker) * any_maker)
    return float(np.log(max(pairs, 1e-300))) + top_rest + top_odd
