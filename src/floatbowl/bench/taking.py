"""Taking a reading as it is written: understood, or asked back with the reason and with what may have been meant."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from floatbowl.bench.limit import shown
from floatbowl.bench.measurements import COUNT, YES_NO, BenchTool, Measurement
from floatbowl.bench.sheet import Row
from floatbowl.engine.drills import number_drill_mm
from floatbowl.quantities import parse_quantity, rounded, show_quantity, unit_named

_DRILL: Final = re.compile(r"#\d{1,2}")
_YES: Final = frozenset({"yes", "y"})
_NO: Final = frozenset({"no", "n"})
_HALVES: Final = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
MOST_SUGGESTED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading, in SI (a yes is 1, a no 0), with one standard deviation of the tool. ``text`` is as written."""

    measure: str
    place: str
    value: float
    sd: float
    tool: str
    text: str

    @property
    def yes(self) -> bool:
        """The answer to a yes or no."""
        return self.value >= 0.5


@dataclass(frozen=True, slots=True)
class AskBack:
    """Why a reading was not taken, and texts that would be taken, likeliest first."""

    reason: str
    did_you_mean: tuple[str, ...] = ()


def take(text: str, row: Row, *, tool: str = "", unit: str = "", place: str = "") -> Taken | AskBack:
    """A reading from what was written: ``5/32``, ``.156``, ``4 mm``, ``3 thou``, ``1 1/2 turns``, ``yes``.

    ``unit`` is the tool's, for a bare number; without it the row's. Without a ``tool`` the roughest of the row's is
    taken, which never promises too much. A reading that cannot be (negative, 40 mm of play) is asked back, with what a
    slip of the unit or of the point would make of it. Raises ValueError for a tool, place or unit that the row does
    not have: a fault of the caller's.
    """
    used = _tool(row, tool)
    spot = _place(row, place)
    measure = row.measure
    if measure.kind == YES_NO:
        return _answer(text, measure, spot)
    assumed = _unit(measure, unit)
    try:
        value = parse_quantity(_plain(text), measure.si_kind, assumed)
    except ValueError as wrong:
        return AskBack(f"{measure.name}: {wrong}.")
    if reason := _impossible(value, measure):
        return AskBack(reason, _meant(value, row))
    spread = used.spread if used else 0.0
    name = used.tool if used else ""
    return Taken(measure=measure.key, place=spot, value=value, sd=spread, tool=name, text=text)


def written(value: float, measure: Measurement) -> str:
    """A reading's text that is taken back as the same reading (to 9 figures), in the row's unit.

    >>> from floatbowl.bench.measurements import measurement
    >>> written(0.00025, measurement("shaft_play"))
    '0.25 mm'
    """
    if measure.kind == YES_NO:
        return "yes" if value >= 0.5 else "no"
    named = unit_named(measure.si_kind, measure.unit)
    return f"{rounded((value - named.offset) / named.factor, 9)} {measure.unit}".rstrip()


def _short(value: float, measure: Measurement) -> str:
    """A reading to five figures: what somebody would have written."""
    named = unit_named(measure.si_kind, measure.unit)
    return f"{rounded((value - named.offset) / named.factor, 5)} {measure.unit}".rstrip()


def _plain(text: str) -> str:
    if _DRILL.fullmatch(text.strip()):
        return f"{number_drill_mm(text.strip()):g} mm"
    for sign, fraction in _HALVES.items():
        text = text.replace(sign, f" {fraction}")
    return text.replace("\u2044", "/").strip()


def _tool(row: Row, name: str) -> BenchTool | None:
    if not name:
        return max(row.tools, key=lambda each: each.spread, default=None)
    found = next((each for each in row.tools if each.tool == name), None)
    if found is None:
        raise ValueError(f"{row.measure.name}: no tool {name!r}; use one of {', '.join(row.measure.tools) or 'none'}")
    return found


def _place(row: Row, name: str) -> str:
    places = row.measure.places
    if name in places:
        return name
    if not name and len(places) == 1:
        return places[0]
    raise ValueError(f"{row.measure.name}: no place {name!r}; say which of {', '.join(places)}")


def _unit(measure: Measurement, unit: str) -> str:
    return unit_named(measure.si_kind, unit).unit if unit else measure.unit


def _answer(text: str, measure: Measurement, place: str) -> Taken | AskBack:
    word = text.strip().lower()
    if word not in _YES | _NO:
        return AskBack(f"{measure.question} Answer yes or no.", ("yes", "no"))
    value = float(word in _YES)
    return Taken(measure=measure.key, place=place, value=value, sd=0.0, tool="", text=text)


def _impossible(value: float, measure: Measurement) -> str:
    """Why a reading cannot be; empty when it can."""
    low, high = measure.si(measure.low), measure.si(measure.high)
    told = show_quantity(value, measure.si_kind, measure.unit)
    if measure.kind == COUNT and value != round(value):
        return f"{measure.name}: {told} is not a whole number; count again."
    if value < 0 <= low:
        return f"{measure.name}: {told} is below nothing; it cannot be. Measure again."
    if low - _slack(low) <= value <= high + _slack(high):
        return ""
    way = "more" if value > high else "less"
    bound = shown(high if value > high else low, measure)
    return f"{measure.name}: {told} cannot be, it is {way} than {bound}; look at the unit and the point."


def _slack(bound: float) -> float:
    """Written bounds are kept to the rounding of their unit's factor."""
    return 1e-9 * abs(bound)


def _meant(value: float, row: Row) -> tuple[str, ...]:
    """Readings that a usual slip of unit or point would have made of a possible one, likeliest first."""
    measure = row.measure
    low, high = measure.si(measure.low), measure.si(measure.high)
    usual = row.record if row.record else measure.si(measure.usual)
    found = {_short(value * factor, measure): value * factor for factor in measure.slips}
    possible = {text: v for text, v in found.items() if low <= v <= high and v > 0}
    return tuple(sorted(possible, key=lambda text: abs(math.log(possible[text] / usual))))[:MOST_SUGGESTED]
