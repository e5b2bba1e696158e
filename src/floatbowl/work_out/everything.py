"""Everything that can be worked out, in groups of the job."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from floatbowl.work_out.calculation import Calculation

#: Group to the modules of this package whose calculations belong to it.
MODULES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "Air and fuel": (
            "air",
            "venturi",
            "suits",
            "main_jet",
            "drilled_jet",
            "jet_flow",
            "altitude",
            "fuel_change",
            "air_bleed",
        ),
        "Float and needle": ("float_level", "seat"),
        "Shaft and fits": ("shaft_leak", "bush"),
        "Threads and faces": ("thread", "flatness"),
        "Units": ("conversion",),
    }
)


@dataclass(frozen=True, slots=True)
class Group:
    """Calculations that belong to one part of the job."""

    title: str
    calculations: tuple[Calculation, ...]


@cache
def groups() -> tuple[Group, ...]:
    """All groups in the order of the job. Raises ValueError where two calculations have one key."""
    found = tuple(Group(title, _of(modules)) for title, modules in MODULES.items())
    keys = [one.key for group in found for one in group.calculations]
    if twice := sorted({key for key in keys if keys.count(key) > 1}):
        raise ValueError(f"two calculations are called {', '.join(twice)}; give one of them another key")
    return tuple(group for group in found if group.calculations)


def _of(modules: tuple[str, ...]) -> tuple[Calculation, ...]:
    found: list[Calculation] = []
    for name in modules:
        found += importlib.import_module(f"{__package__}.{name}").CALCULATIONS
    return tuple(found)


@cache
def calculations() -> Mapping[str, Calculation]:
    """Every calculation by its key."""
    return MappingProxyType({one.key: one for group in groups() for one in group.calculations})
