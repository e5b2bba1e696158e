"""Which further measure tells the likely threads apart: the largest expected drop in the entropy of the chances.

``gain = H(chances) - E[H(chances after the reading)]`` (mutual information; Cover & Thomas, chapter 2), the
expectation by Gauss-Hermite points over each thread's reading.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.bench.thread_table import Thread
from floatbowl.bench.threads import TAPER_SEEN, Candidate, Measured, expected_diameter

#: Chances below this are left out of the sum; they change it by less than they are.
_NEGLIGIBLE: Final = 1e-5
_POINTS: Final = 21
#: A gauge leaf or a picture tells the flank angle so well (estimate), in degrees.
ANGLE_SD_DEG: Final = 1.5
#: A micrometer on a thread's crests (common practice).
MICROMETER_SD_M: Final = 0.01e-3
#: The same rule over four times the length.
LONGER: Final = 4.0


@dataclass(frozen=True, slots=True)
class FurtherLook:
    """A further measure and how many bits it is expected to tell."""

    key: str
    says: str
    bits: float


def further_looks(candidates: Sequence[Candidate], measured: Measured) -> tuple[FurtherLook, ...]:
    """What is left to measure, the most telling first. Empty if nothing remains in doubt.

    >>> from floatbowl.bench.threads import which_thread
    >>> from floatbowl.engine.doubt import Doubtful
    >>> read = Measured(diameter=Doubtful(0.00474, 4e-5), pitch=Doubtful(0.00079, 5e-6))
    >>> further_looks(which_thread(read), read)[0].says
    'Flank angle, with a thread gauge leaf or a sharp picture from the side'
    """
    likely = [candidate for candidate in candidates if candidate.chance > _NEGLIGIBLE and candidate.thread]
    looks = []
    if measured.flank_angle_deg is None:
        bits = _reading_bits(likely, lambda thread: thread.family.angle_deg, lambda _: ANGLE_SD_DEG)
        looks.append(
            FurtherLook("flank angle", "Flank angle, with a thread gauge leaf or a sharp picture from the side", bits)
        )
    if measured.tapered is None:
        looks.append(FurtherLook("taper", "Taper: the diameter at both ends of the thread", _taper_bits(likely)))
    pitch_sd = measured.pitch.sd / LONGER
    bits = _reading_bits(likely, lambda thread: thread.pitch_m, lambda _: pitch_sd)
    looks.append(FurtherLook("pitch", "Pitch over four times as many turns, or with a pitch gauge", bits))
    if measured.diameter.sd > 2 * MICROMETER_SD_M:
        looks.append(FurtherLook("diameter", "Diameter again, with a micrometer", _diameter_bits(likely, measured)))
    return tuple(sorted((look for look in looks if look.bits > 0.01), key=lambda look: -look.bits))


def entropy_bits(chances: np.ndarray) -> np.ndarray:
    """Entropy of chances along the last axis, in bits.

    >>> float(entropy_bits(np.array([0.5, 0.25, 0.125, 0.125])))
    1.75
    """
    terms = np.where(chances > 0, chances * np.log2(np.maximum(chances, 1e-300)), 0.0)
    return np.asarray(-terms.sum(axis=-1))


def _reading_bits(
    likely: Sequence[Candidate], middle: Callable[[Thread], float], spread: Callable[[Thread], float]
) -> float:
    named = [candidate.thread for candidate in likely if candidate.thread]
    chances = np.array([candidate.chance for candidate in likely])
    if len(named) < 2:
        return 0.0
    chances = chances / chances.sum()
    middles, spreads = np.array([middle(t) for t in named]), np.array([spread(t) for t in named])
    nodes, weights = np.polynomial.hermite_e.hermegauss(_POINTS)
    readings = middles[:, None] + spreads[:, None] * nodes
    logs = -0.5 * ((readings[..., None] - middles) / spreads) ** 2 - np.log(spreads) + np.log(chances)
    after = np.exp(logs - logs.max(axis=-1, keepdims=True))
    after /= after.sum(axis=-1, keepdims=True)
    left = chances @ (entropy_bits(after) @ (weights / weights.sum()))
    return max(0.0, float(entropy_bits(chances) - left))


def _taper_bits(likely: Sequence[Candidate]) -> float:
    chances = np.array([candidate.chance for candidate in likely])
    if not len(chances):
        return 0.0
    chances = chances / chances.sum()
    says_taper = np.array([TAPER_SEEN if c.thread and c.thread.family.tapered else 1 - TAPER_SEEN for c in likely])
    left = 0.0
    for told in (says_taper, 1 - says_taper):
        joint = chances * told
        left += float(joint.sum() * entropy_bits(joint / joint.sum()))
    return max(0.0, float(entropy_bits(chances)) - left)


def _diameter_bits(likely: Sequence[Candidate], measured: Measured) -> float:
    """A second reading is of the same thread: what the first told about its diameter is known already."""
    first = measured.diameter

    def middle(thread: Thread) -> float:
        made = expected_diameter(thread, measured.inside)
        return (made.value / made.sd**2 + first.value / first.sd**2) * left_sd(made.sd) ** 2

    def spread(thread: Thread) -> float:
        return math.hypot(MICROMETER_SD_M, left_sd(expected_diameter(thread, measured.inside).sd))

    def left_sd(made_sd: float) -> float:
        return 1 / math.hypot(1 / made_sd, 1 / first.sd)

    return _reading_bits(likely, middle, spread)
