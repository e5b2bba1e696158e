"""The steps of a job on the bench: what each asks for and what it cautions against, read from ``steps.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final, Literal

Kind = Literal["tick", "yes or no", "text", "choice", "number", "photographs", "person"]

#: What a ticked entry holds.
TICKED: Final = "yes"


@dataclass(frozen=True, slots=True)
class StepCaution:
    """What to mind at a step, and whose rule decides."""

    says: str
    rule: str


@dataclass(frozen=True, slots=True)
class When:
    """Asked only when another entry holds one of these values."""

    entry: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing written down at a step. ``low`` and ``high`` bound a number, in ``unit`` (a temperature: in kelvin);
    ``least`` is how many signs a text must have to say anything.
    """

    step: str
    key: str
    kind: Kind
    says: str
    how: str = ""
    missing: str = ""
    needed: bool = True
    choices: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    quantity: str = ""
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    at_least: int = 0
    least: int = 0
    when: tuple[When, ...] = ()
    refuse: tuple[str, ...] = ()
    refusal: str = ""
    timer_min: int = 0

    @property
    def name(self) -> str:
        """The entry among those of all steps."""
        return f"{self.step}.{self.key}"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the job."""

    key: str
    title: str
    does: str
    entries: tuple[Entry, ...]
    cautions: tuple[StepCaution, ...]


@cache
def steps() -> tuple[Step, ...]:
    """All steps in order.

    >>> [step.title for step in steps()][:3], steps()[-1].title
    (['Booked in', 'Strip sheet', 'Wash'], 'Write-down')
    """
    text = (resources.files(__package__) / "data" / "steps.toml").read_text(encoding="utf-8")
    return tuple(map(_step, tomllib.loads(text)["step"]))


def step_named(key: str) -> Step:
    """The step of this key; raises KeyError."""
    return {step.key: step for step in steps()}[key]


def entry_named(name: str) -> Entry:
    """The entry called ``step.key``; raises KeyError."""
    return {entry.name: entry for step in steps() for entry in step.entries}[name]


def place_of(key: str) -> int:
    """Where a step stands in the order, from 0; raises KeyError.

    >>> place_of("wash") - place_of("strip-sheet")
    1
    """
    return _places()[key]


@cache
def _places() -> dict[str, int]:
    return {step.key: place for place, step in enumerate(steps())}


def after(key: str) -> Step | None:
    """The step after this one; none after the last."""
    place = place_of(key) + 1
    return steps()[place] if place < len(steps()) else None


def _step(row: dict[str, Any]) -> Step:
    entries = tuple(_entry(row["key"], entry) for entry in row.get("entry", ()))
    cautions = tuple(StepCaution(**caution) for caution in row.get("caution", ()))
    return Step(row["key"], row["title"], row["does"], entries, cautions)


def _entry(step: str, row: dict[str, Any]) -> Entry:
    lists: dict[str, Any] = {name: tuple(row[name]) for name in ("choices", "words", "refuse") if name in row}
    return Entry(step=step, **(row | lists | {"when": _when(row.get("when", ""))}))


def _when(text: str) -> tuple[When, ...]:
    """``a.b=x|y|c.d=z``: entry a.b holds x or y, or entry c.d holds z."""
    found: list[When] = []
    for part in filter(None, text.split("|")):
        entry, named, value = part.partition("=")
        if named:
            found.append(When(entry, (value,)))
        else:
            found[-1] = When(found[-1].entry, (*found[-1].values, part))
    return tuple(found)
