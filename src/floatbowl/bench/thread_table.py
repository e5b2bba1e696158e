"""The threads met on old carburettors: basic sizes, form, and how common each family is by where it was made."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final, Literal

from floatbowl.engine.refusal import Refused

Origin = Literal["american", "british", "continental", "unknown"]
ORIGINS: Final[tuple[Origin, ...]] = ("american", "british", "continental", "unknown")


@dataclass(frozen=True, slots=True)
class Family:
    """A family of threads. ``common`` are weights by origin (estimates, to be replaced by counts), not chances.

    ``depth_over_pitch`` is how much smaller an inside thread's bore is than the major diameter, in pitches.
    """

    name: str
    says: str
    angle_deg: float
    depth_over_pitch: float
    tapered: bool
    common: MappingProxyType[str, float]


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread's basic sizes in metres, and where they come from."""

    name: str
    family: Family
    major_m: float
    pitch_m: float
    source: str

    @property
    def minor_m(self) -> float:
        """The basic bore of its inside thread."""
        return self.major_m - self.family.depth_over_pitch * self.pitch_m

    @property
    def turns_per_inch(self) -> float:
        """Threads in an inch."""
        return 0.0254 / self.pitch_m


def _rows(table: str) -> list[dict[str, str]]:
    text = (resources.files("floatbowl.bench") / "data" / table).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def families() -> MappingProxyType[str, Family]:
    """Every family, by its name."""
    return MappingProxyType({row["family"]: _family(row) for row in _rows("thread_families.csv")})


def _family(row: dict[str, str]) -> Family:
    return Family(
        name=row["family"],
        says=row["says"],
        angle_deg=float(row["angle_deg"]),
        depth_over_pitch=float(row["depth_over_pitch"]),
        tapered=row["tapered"] == "yes",
        common=MappingProxyType({origin: float(row[origin]) for origin in ORIGINS}),
    )


@cache
def threads() -> tuple[Thread, ...]:
    """Every thread in the table, up to about 25 mm."""
    return tuple(
        Thread(
            row["thread"],
            families()[row["family"]],
            float(row["major_mm"]) / 1000,
            float(row["pitch_mm"]) / 1000,
            row["source"],
        )
        for row in _rows("threads.csv")
    )


def thread_named(name: str) -> Thread:
    """One thread by its name; raises ``Refused``.

    >>> round(thread_named("UNF #10-32").major_m * 1000, 3), thread_named("2BA").family.angle_deg
    (4.826, 47.5)
    """
    for thread in threads():
        if thread.name.lower() == name.strip().lower():
            return thread
    raise Refused(f"{name!r} is no thread known here; names are written like UNF #10-32, BSF 3/16-32, 2BA or M6x0.75")
