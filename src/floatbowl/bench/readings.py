"""Several readings of one place as one figure with its doubt; readings that contradict one another are not averaged.

Independent readings, weighted by their tools: ``x = sum(x_i/s_i^2) / sum(1/s_i^2)``, ``sd = 1/sqrt(sum(1/s_i^2))``.
Two or more differ more than the tool explains when their widest difference, in units of one reading's spread, exceeds
what 95 in 100 sets of as many readings would show: ISO 5725-6:1994, critical range factors 2.8, 3.3, 3.6, 3.9 ... (from
memory; they are the 95 % points of the studentised range with a known spread).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from floatbowl.bench.limit import shown
from floatbowl.bench.measurements import Measurement
from floatbowl.bench.taking import Taken
from floatbowl.engine.doubt import Doubtful

#: 95 % critical range of 2, 3, ... readings, in spreads of one reading.
CRITICAL_RANGE: Final = (2.77, 3.31, 3.63, 3.86, 4.03, 4.17, 4.29, 4.39, 4.47)


@dataclass(frozen=True, slots=True, kw_only=True)
class Combined:
    """What one place measures. ``contradict`` says why its readings cannot be taken together, or is empty."""

    place: str
    figure: Doubtful
    readings: int
    tools: tuple[str, ...]
    contradict: str = ""


def combined(measure: Measurement, taken: Iterable[Taken]) -> tuple[Combined, ...]:
    """Each place that was read, in the sheet's order; the order of the readings does not matter.

    Of a ``difference`` the only figure is the greatest place's less the least's, once at least two were read.
    """
    mine = [each for each in taken if each.measure == measure.key]
    places = [_of_place(measure, place, [t for t in mine if t.place == place]) for place in measure.places]
    found = [each for each in places if each is not None]
    if measure.taken == "difference":
        return _difference(found) if len(found) > 1 else ()
    return tuple(found)


def unread_places(measure: Measurement, taken: Iterable[Taken]) -> tuple[str, ...]:
    """Places of a measurement that have fewer readings than wanted."""
    counts = [t.place for t in taken if t.measure == measure.key]
    return tuple(place for place in measure.places if counts.count(place) < measure.repeats)


def _of_place(measure: Measurement, place: str, taken: list[Taken]) -> Combined | None:
    if not taken:
        return None
    figure = _weighed([(each.value, each.sd) for each in taken])
    tools = tuple(sorted({each.tool for each in taken if each.tool}))
    why = _contradiction(measure, place, taken)
    return Combined(place=place, figure=figure, readings=len(taken), tools=tools, contradict=why)


def _weighed(readings: Sequence[tuple[float, float]]) -> Doubtful:
    exact = sorted(value for value, sd in readings if sd <= 0)
    if exact:
        return Doubtful(math.fsum(exact) / len(exact))
    ordered = sorted(readings)
    weight = math.fsum(1 / sd**2 for _, sd in ordered)
    return Doubtful(math.fsum(value / sd**2 for value, sd in ordered) / weight, 1 / math.sqrt(weight))


def _contradiction(measure: Measurement, place: str, taken: list[Taken]) -> str:
    if len(taken) < 2:
        return ""
    critical = CRITICAL_RANGE[min(len(taken) - 2, len(CRITICAL_RANGE) - 1)]
    for one, other in combinations(sorted(taken, key=lambda each: (each.value, each.sd)), 2):
        spread = math.hypot(one.sd, other.sd) / math.sqrt(2)
        if abs(one.value - other.value) > critical * spread + 1e-12:
            where = f" ({place})" if place else ""
            told = f"{shown(one.value, measure)} and {shown(other.value, measure)}"
            return f"{measure.name}{where}: {told} differ by more than the tool explains"
    return ""


def _difference(found: Sequence[Combined]) -> tuple[Combined, ...]:
    most, least = (pick(found, key=lambda each: each.figure.value) for pick in (max, min))
    sd = math.hypot(most.figure.sd, least.figure.sd)
    tools = tuple(sorted({tool for each in found for tool in each.tools}))
    why = next((each.contradict for each in found if each.contradict), "")
    figure = Doubtful(most.figure.value - least.figure.value, sd)
    readings = min(each.readings for each in found)
    return (Combined(place="", figure=figure, readings=readings, tools=tools, contradict=why),)
