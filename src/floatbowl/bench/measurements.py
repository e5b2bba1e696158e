"""Everything that is measured on the bench, in bench order: what, how, with which tools, and what can be believed.

The rows are ``data/measurements.toml`` and ``data/bench_parts.csv``, the tools' spreads ``data/bench_tools.csv``; each
row says where it comes from.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, Literal

from floatbowl.quantities import to_si

Stage = Literal["strip sheet", "measure", "after repair", "build", "wet bench"]
STAGES: Final = ("strip sheet", "measure", "after repair", "build", "wet bench")
YES_NO: Final = "yes or no"
COUNT: Final = "count"
#: Facts of one carburettor that decide what applies: a feature, the float's material, the body's metal.
Seen = Mapping[str, str]
Conditions = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind, and whose rule decides."""

    says: str
    rule: str
    only_if: Conditions = field(default_factory=dict)

    def applies(self, seen: Seen) -> bool:
        """Whether it concerns this carburettor."""
        return holds(self.only_if, seen)


@dataclass(frozen=True, slots=True)
class BenchTool:
    """A measuring tool: ``spread`` is one standard deviation of a reading, in SI."""

    tool: str
    kind: str
    spread: float
    source: str


@dataclass(frozen=True, slots=True)
class BenchPart:
    """A part as the bench names it, what is done with it, and the kinds of service part it then needs."""

    part: str
    says: str
    many: str
    leave: str
    repair: str
    replace: str
    refuse: str
    repair_kind: str
    replace_kind: str
    quantity: str
    present: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """One thing measured. ``low``, ``high`` and ``usual`` are in ``unit``; the rest is explained in the table.

    ``taken``: ``each`` place is judged alone, or the ``difference`` of the greatest and the least is. ``does``: what is
    done when a recorded figure is not met. ``found`` is how a reading is told, with ``{value}`` and ``{where}``;
    ``note`` what is said when it may stay but is written down, and ``careful_if`` when even that is made good.
    ``record_only`` rows are written down and never judged.
    """

    key: str
    name: str
    stage: Stage
    part: str
    kind: str
    how: str
    source: str
    unit: str = ""
    places: tuple[str, ...] = ("",)
    repeats: int = 1
    taken: Literal["each", "difference"] = "each"
    tools: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 1.0
    usual: float = 0.0
    slips: tuple[float, ...] = ()
    does: Literal["repair", "replace", "refuse"] = "repair"
    setting: str = ""
    size: tuple[str, ...] = ()
    feature: str = ""
    optional: bool = False
    record_only: bool = False
    question: str = ""
    good: str = ""
    bad_says: str = ""
    only_if: Conditions = field(default_factory=dict)
    not_if: Conditions = field(default_factory=dict)
    found: str = ""
    note: str = ""
    careful_if: Conditions = field(default_factory=dict)
    cautions: tuple[Caution, ...] = ()

    def applies(self, seen: Seen) -> bool:
        """Whether it is measured on a carburettor of which so much is known; what is unknown never drops a row."""
        return holds(self.only_if, seen) and not any(seen.get(name) in words for name, words in self.not_if.items())

    @property
    def si_kind(self) -> str:
        """The kind its units have in ``floatbowl.quantities``; a count and a yes or no are bare numbers."""
        return "number" if self.kind in (YES_NO, COUNT) else self.kind

    def si(self, value: float) -> float:
        """A figure in the row's own unit, in SI.

        >>> round(measurement("float_weight").si(26), 6)
        0.026
        """
        return to_si(value, self.si_kind, self.unit)


def holds(conditions: Conditions, seen: Seen) -> bool:
    """Whether every fact asked for is known and one of the words allowed."""
    return all(seen.get(name) in words for name, words in conditions.items())


@cache
def measurements() -> tuple[Measurement, ...]:
    """All of them, in bench order."""
    told = tomllib.loads(_read("measurements.toml"))
    cautions = {name: Caution(**_tuples(row)) for name, row in told["cautions"].items()}
    names = {f.name for f in fields(Measurement)}
    made = []
    for row in told["measurements"]:
        if unknown := sorted(set(row) - names):
            raise ValueError(f"measurements.toml, {row['key']}: no {', '.join(unknown)} is known; correct the name")
        mind = tuple(cautions[name] for name in row.get("cautions", ()))
        made.append(Measurement(**{**_tuples(row), "cautions": mind}))
    return tuple(sorted(made, key=lambda each: STAGES.index(each.stage)))


def measurement(key: str) -> Measurement:
    """The one of this key; raises KeyError that names it."""
    return {each.key: each for each in measurements()}[key]


@cache
def bench_tools() -> Mapping[str, BenchTool]:
    """The shop's measuring tools by name."""
    return MappingProxyType(
        {
            row["tool"]: BenchTool(
                row["tool"],
                row["kind"],
                to_si(float(row["spread"]), row["kind"], row["unit"]),
                row["source"],
            )
            for row in table("bench_tools.csv")
        }
    )


@cache
def bench_parts() -> Mapping[str, BenchPart]:
    """The parts by name, in bench order."""
    return MappingProxyType({row["part"]: BenchPart(**row) for row in table("bench_parts.csv")})


def table(name: str) -> list[dict[str, str]]:
    """The rows of one of the bench's data tables."""
    return list(csv.DictReader(_read(name).splitlines()))


def _read(name: str) -> str:
    return resources.files("floatbowl.bench").joinpath("data", name).read_text(encoding="utf-8")


def _tuples(row: Mapping[str, Any]) -> dict[str, Any]:
    """The same row with lists as tuples, at any depth."""
    made: dict[str, Any] = {}
    for name, value in row.items():
        if isinstance(value, dict):
            made[name] = MappingProxyType(_tuples(value))
        else:
            made[name] = tuple(value) if isinstance(value, list) else value
    return made
