"""How well a weigher foretells what was confirmed, and whether another does better beyond chance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from floatbowl.identify.learning.cases import Case
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Weigher

#: Chances are not counted as smaller than this, so that one blunder does not outweigh all else.
_LEAST_CHANCE: Final = 1e-9
_RESAMPLES: Final = 2000
#: So many of the resamples must show an improvement before it counts as one.
SURE_ENOUGH: Final = 0.9


def log_losses(weigher: Weigher, cases: Sequence[Case]) -> Floats:
    """Minus the natural logarithm of the probability given to what was confirmed, for each case."""
    return -np.log(np.maximum([_chance(weigher, case) for case in cases], _LEAST_CHANCE))


def _chance(weigher: Weigher, case: Case) -> float:
    standing = weigher.weigh(case.enquiry)
    if case.confirmed is None:
        return standing.not_listed
    return float(standing.recorded[weigher.catalogue.at[case.confirmed]])


def improved_in(before: Floats, after: Floats, seed: int) -> float:
    """The share of resamples of the cases in which the mean loss falls.

    The paired bootstrap (B. Efron, R. J. Tibshirani, *An Introduction to the Bootstrap*, 1993, chapter 6).
    """
    gain = before - after
    if not gain.size:
        return 0.0
    drawn = np.random.default_rng(seed).integers(0, gain.size, (_RESAMPLES, gain.size))
    return float((gain[drawn].mean(axis=1) > 0).mean())
