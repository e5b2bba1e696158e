"""Drills near a wanted bore, with the error in area of each: for making a NEW jet, and for reading old tables.

Never for a jet that is to be kept: a drill is not a gauge, and drilling or wiring a jet spoils it.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from floatbowl.engine.refusal import Refused, within
from floatbowl.units import MM_PER_INCH

#: Steps of metric sets (common practice; sizes in 0.01 mm are reamers or pin gauges rather than drills).
METRIC_STEPS_MM: Final = MappingProxyType({"metric 0.05": 0.05, "metric 0.01": 0.01})
LEAST_MM: Final = 0.2
MOST_MM: Final = 10.0


@dataclass(frozen=True, slots=True)
class DrillChoice:
    """One drill for a wanted bore. ``area_error`` is its hole's area over the wanted one, less one."""

    name: str
    series: str
    diameter_m: float
    area_error: float


@cache
def number_drills_mm() -> MappingProxyType[str, float]:
    """Diameter in millimetres of every number drill, #1 to #80, largest first.

    Source: ASME B94.11M from memory, cross-read; each row of ``data/number_drills.csv`` says where.
    """
    text = (resources.files("floatbowl.engine") / "data" / "number_drills.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return MappingProxyType({row["drill"]: float(row["diameter_in"]) * MM_PER_INCH for row in rows})


def number_drill_mm(name: str) -> float:
    """Diameter of one number drill in millimetres; ``name`` as written on the drill box: ``#54``, ``54``, ``No. 54``.

    Raises ``Refused`` for a name outside #1 to #80.

    >>> number_drill_mm("#54") == 0.055 * 25.4
    True
    """
    digits = name.strip().lower().removeprefix("number").removeprefix("no").lstrip(".# ").strip()
    number = digits.lstrip("0") if digits.isdecimal() else digits
    try:
        return number_drills_mm()[f"#{number}"]
    except KeyError:
        raise Refused(f"{name!r} is no number drill known here; they run from #1 to #80") from None


def area_error(drill_m: float, wanted_m: float) -> float:
    """Area of a hole over the wanted area, less one: ``(d / d_wanted)^2 - 1``. Exact geometry; both above 0.

    >>> round(area_error(1.15, 1.10), 3)
    0.093
    """
    within("drill", 1000 * drill_m, 0, unit="mm", open_low=True)
    within("wanted bore", 1000 * wanted_m, 0, unit="mm", open_low=True)
    return (drill_m / wanted_m) ** 2 - 1


def nearest_drills(wanted_m: float) -> tuple[DrillChoice, ...]:
    """The number drill nearest in area and the nearest metric sizes in steps of 0.05 and 0.01 mm, best first.

    A number drill may be off by 10 in 100 in the jet range, so each choice carries its area error. Holds for 0.2 to
    10 mm; number drills are offered only from #80 to #1. Raises ``Refused`` outside. Geometry; a drilled hole comes
    out larger than its drill by a little that is not counted here.
    """
    within("wanted bore", 1000 * wanted_m, LEAST_MM, MOST_MM, "mm", "no jet is made outside this range")
    found = [_metric(wanted_m, series, step) for series, step in METRIC_STEPS_MM.items()]
    if number := _number(wanted_m):
        found.append(number)
    return tuple(sorted(found, key=lambda choice: abs(choice.area_error)))


def drills_beside(wanted_m: float) -> tuple[DrillChoice | None, DrillChoice | None]:
    """The next number drill at or below a bore and the next above; None where the series ends."""
    within("wanted bore", 1000 * wanted_m, LEAST_MM, MOST_MM, "mm", "no jet is made outside this range")
    by_size = sorted((mm / 1000, name) for name, mm in number_drills_mm().items())
    below = [pair for pair in by_size if pair[0] <= wanted_m]
    above = [pair for pair in by_size if pair[0] > wanted_m]
    return (_of(*below[-1], wanted_m) if below else None, _of(*above[0], wanted_m) if above else None)


def _of(diameter_m: float, name: str, wanted_m: float) -> DrillChoice:
    return DrillChoice(name, "number", diameter_m, area_error(diameter_m, wanted_m))


def _number(wanted_m: float) -> DrillChoice | None:
    sizes = number_drills_mm()
    if not min(sizes.values()) <= wanted_m * 1000 <= max(sizes.values()):
        return None
    choices = (_of(mm / 1000, name, wanted_m) for name, mm in sizes.items())
    return min(choices, key=lambda choice: abs(choice.area_error))


def _metric(wanted_m: float, series: str, step_mm: float) -> DrillChoice:
    steps = math.floor(wanted_m * 1000 / step_mm)
    sizes = [n * step_mm / 1000 for n in (steps, steps + 1) if n > 0]
    size_m = min(sizes, key=lambda size: abs(area_error(size, wanted_m)))
    return DrillChoice(f"{size_m * 1000:.2f} mm", series, size_m, area_error(size_m, wanted_m))
