"""Which thread is it: chances from a diameter and a pitch with their doubt, and what to measure to tell the rest apart.

Chance ~ how common the family is x N(diameter) x N(pitch) x N(flank angle) x taper. A cut outside thread measures a
little under its basic major diameter, ``D - 0.02 mm - 0.045 P``; an inside thread's bore a little over its basic minor
diameter, ``D1 + 0.02 mm + 0.06 P`` (common tolerances, from memory). Tapers measure anything within some tenths. One
hypothesis stands for threads that are not in the table (specials, worn or crossed ones): any diameter, any pitch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.bench.thread_table import ORIGINS, Origin, Thread, threads
from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.refusal import Refused, within

#: Making and wear, one standard deviation: a constant and a part of the pitch; tapers anywhere along their length.
MADE_SD_M: Final = 0.02e-3
MADE_SD_PITCHES: Final = 0.03
TAPER_SD_M: Final = 0.25e-3
#: A taper is called rightly so often (estimate).
TAPER_SEEN: Final = 0.95
#: Chance before looking that the thread is in no table here (estimate), and the sizes it may then have.
NOT_LISTED: Final = 0.03
SIZES_M: Final = 0.026
PITCHES_M: Final = 0.0033
#: A flank angle is anywhere in this range when nothing is known.
ANGLES_DEG: Final = 40.0
COVER: Final = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was measured: ``diameter`` is the outside of a male thread or the bore of an inside one, in metres."""

    diameter: Doubtful
    pitch: Doubtful
    inside: bool = False
    flank_angle_deg: Doubtful | None = None
    tapered: bool | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread and its chance; ``thread`` is None for one that is not in the table."""

    thread: Thread | None
    chance: float

    @property
    def name(self) -> str:
        """The thread's name."""
        return self.thread.name if self.thread else "not in the table"


def pitch_over(length_m: float, turns: int, length_sd_m: float) -> Doubtful:
    """Pitch from a length over so many turns; its doubt shrinks with them: ``sd_L/n``. Raises ``Refused``.

    >>> pitch = pitch_over(0.0079, 10, 0.0001)
    >>> round(pitch.value * 1000, 3), round(pitch.sd * 1000, 3)
    (0.79, 0.01)
    """
    within("turns", turns, 1, 60, why="count whole turns, crest to crest")
    within("length over the turns", length_m, 0.0003, 0.1, "m")
    within("length's doubt", length_sd_m, 0, 0.002, "m", open_low=True)
    return Doubtful(length_m / turns, length_sd_m / turns)


def which_thread(measured: Measured, origin: Origin = "unknown") -> tuple[Candidate, ...]:
    """Every thread with its chance, the likeliest first; chances sum to 1. Raises ``Refused`` for impossible figures.

    >>> found = which_thread(Measured(diameter=Doubtful(0.00478, 2e-5), pitch=Doubtful(0.0008, 1e-5)))
    >>> [candidate.name for candidate in found[:2]]
    ['UNF #10-32', 'BSF 3/16-32']
    """
    _check(measured, origin)
    table = threads()
    weights = zip(table, _weights(origin), strict=True)
    logs = [math.log(weight) + _log_likelihood(thread, measured) for thread, weight in weights]
    logs.append(math.log(NOT_LISTED) - math.log(SIZES_M * PITCHES_M) - _angle_log(measured))
    chances = np.exp(np.array(logs) - max(logs))
    chances /= chances.sum()
    found = [Candidate(thread, float(chance)) for thread, chance in zip((*table, None), chances, strict=True)]
    return tuple(sorted(found, key=lambda candidate: -candidate.chance))


def shown(candidates: Sequence[Candidate], cover: float = COVER) -> tuple[Candidate, ...]:
    """The shortest head of the list that holds the truth in ``cover`` of cases; always shown whole."""
    total = 0.0
    for count, candidate in enumerate(candidates, start=1):
        total += candidate.chance
        if total >= cover:
            return tuple(candidates[:count])
    return tuple(candidates)


def expected_diameter(thread: Thread, inside: bool) -> Doubtful:
    """What such a thread measures, outside or inside (the module's two rules), and the spread of making and wear."""
    spread = math.hypot(MADE_SD_M, MADE_SD_PITCHES * thread.pitch_m, TAPER_SD_M if thread.family.tapered else 0.0)
    if inside:
        return Doubtful(thread.minor_m + 0.02e-3 + 0.06 * thread.pitch_m, spread)
    return Doubtful(thread.major_m - 0.02e-3 - 0.045 * thread.pitch_m, spread)


def _weights(origin: Origin) -> list[float]:
    table = threads()
    sizes = {thread.family.name: 0 for thread in table}
    for thread in table:
        sizes[thread.family.name] += 1
    each = [thread.family.common[origin] / sizes[thread.family.name] for thread in table]
    return [(1 - NOT_LISTED) * weight / sum(each) for weight in each]


def _log_likelihood(thread: Thread, measured: Measured) -> float:
    made = expected_diameter(thread, measured.inside)
    log = _log_normal(measured.diameter.value, made.value, math.hypot(measured.diameter.sd, made.sd))
    log += _log_normal(measured.pitch.value, thread.pitch_m, measured.pitch.sd)
    if angle := measured.flank_angle_deg:
        log += _log_normal(angle.value, thread.family.angle_deg, angle.sd)
    if measured.tapered is not None:
        log += math.log(TAPER_SEEN if measured.tapered == thread.family.tapered else 1 - TAPER_SEEN)
    return log


def _angle_log(measured: Measured) -> float:
    log = math.log(ANGLES_DEG) if measured.flank_angle_deg else 0.0
    return log + (math.log(2) if measured.tapered is not None else 0.0)


def _log_normal(value: float, middle: float, sd: float) -> float:
    return -0.5 * ((value - middle) / sd) ** 2 - math.log(sd * math.sqrt(2 * math.pi))


def _check(measured: Measured, origin: Origin) -> None:
    within("diameter", measured.diameter.value, 0.001, SIZES_M, "m", "threads up to about 25 mm are known here")
    within("diameter's doubt", measured.diameter.sd, 0, 0.001, "m", open_low=True)
    within("pitch", measured.pitch.value, 0.0002, PITCHES_M, "m")
    within("pitch's doubt", measured.pitch.sd, 0, 0.0005, "m", open_low=True)
    if angle := measured.flank_angle_deg:
        within("flank angle", angle.value, 30, 90, "deg", "the whole angle between the flanks")
        within("flank angle's doubt", angle.sd, 0, 20, "deg", open_low=True)
    if measured.pitch.value > measured.diameter.value / 2:
        raise Refused("the pitch is more than half the diameter: no thread is so coarse; measure again")
    if origin not in ORIGINS:
        raise Refused(f"origin {origin!r} is not one of {', '.join(ORIGINS)}")
