"""How likely the text that was read is right: calibrated on renders that nobody scores (``data/fusion.json``)."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import Final

import numpy as np

from floatbowl.photo.ctc import Floats
from floatbowl.photo.lattice import CharacterLattice

#: What is looked at, in order of the coefficients.
SIGNS: Final = ("one", "odds", "own odds", "weakest view", "length", "torches")
_MOST: Final = 9.0


def confidence(lattice: CharacterLattice) -> float:
    """The probability that the lattice's text is right, character by character."""
    return float(1.0 / (1.0 + np.exp(-signs(lattice) @ coefficients())))


def signs(lattice: CharacterLattice) -> Floats:
    """How far the best text is ahead of the rest: under everything, under our own views, under the least sure of these;
    its length; whether there were torch pictures."""
    own = [s for s in lattice.sources if s.name.startswith("own")]
    texts = lattice.texts[:40]
    views = np.array([source.log_sums(texts) for source in own])
    alone = [_log_odds(np.exp(view - np.logaddexp.reduce(view))[0]) for view in views]
    together = views.mean(axis=0)
    top = float(np.exp(together - np.logaddexp.reduce(together))[0])
    torches = any(s.name == "relief" for s in lattice.sources)
    overall = _log_odds(float(lattice.probabilities[0]))
    return np.array([1.0, overall, _log_odds(top), min(alone), len(lattice.text) / 10, float(torches)])


def _log_odds(chance: float) -> float:
    chance = min(max(chance, 1e-9), 1 - 1e-9)
    return float(np.clip(np.log(chance / (1 - chance)), -_MOST, _MOST))


@cache
def coefficients() -> Floats:
    """Of the logistic curve, one for each of ``SIGNS``."""
    stored = json.loads(resources.files("floatbowl.photo").joinpath("data", "fusion.json").read_text(encoding="utf-8"))
    return np.array([stored["confidence"][sign] for sign in SIGNS])
