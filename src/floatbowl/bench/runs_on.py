"""The engine a carburettor runs on, as far as the bench's consequences need it, and one typical engine by name."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from floatbowl.reference.facts import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class RunsOn:
    """SI; ``None`` is not known. ``idle_manifold_pa`` is absolute. ``carburettors``: how many share the engine.

    ``head_pa`` is the fuel's pressure at the needle seat, tank or pump; ``level_below_lip_m`` and
    ``small_depression_pa`` say at which nozzle and suction a wrong level is judged.
    """

    name: str
    displacement_m3: float | None = None
    idle_rpm: float | None = None
    idle_manifold_pa: float | None = None
    strokes: int = 4
    carburettors: int = 1
    head_pa: float | None = None
    fuel_kg_m3: float = 745.0
    level_below_lip_m: float | None = None
    small_depression_pa: float | None = None
    needle_over_float_arm: float | None = None
    #: Which figures, in plain words, are a typical engine's and not this one's.
    assumed: tuple[str, ...] = ()


_SAYS: Final = {
    "displacement_m3": "the engine's displacement",
    "idle_rpm": "its idle speed",
    "idle_manifold_pa": "the manifold's suction at idle",
    "head_pa": "the fuel's head",
    "level_below_lip_m": "the nozzle's height over the fuel",
    "small_depression_pa": "the suction at the nozzle",
    "needle_over_float_arm": "the needle's arm over the float's",
}

#: Not any real engine: middling figures, from memory but where said. Idle of 400 to 500 rpm and the lip's height are
#: common practice, 45 kPa is 17 inHg of suction (vacuum pages for automobiles), the head is 0.75 m of petrol.
TYPICAL: Final = RunsOn(
    name="a typical farm engine (2.5 litres, four-stroke, 500 rpm idle)",
    displacement_m3=0.0025,
    idle_rpm=500,
    idle_manifold_pa=45_000,
    head_pa=5_400,
    level_below_lip_m=0.006,
    small_depression_pa=200,
    needle_over_float_arm=0.25,
    assumed=tuple(_SAYS.values()),
)


def runs_on(machine: Machine) -> RunsOn:
    """What the records hold of a machine's engine: its displacement only; the rest must be told."""
    displacement = machine.displacement_cm3
    return RunsOn(
        name=f"{machine.make} {machine.model}".strip(),
        displacement_m3=displacement * 1e-6 if displacement is not None else None,
    )


def filled_up(engine: RunsOn, typical: RunsOn = TYPICAL) -> RunsOn:
    """The engine with a typical one's figure for each that is not known, and the filled ones named.

    >>> filled_up(RunsOn(name="Lowfold", displacement_m3=0.00208)).assumed[0]
    'its idle speed'
    """
    gaps = missing(engine, *_SAYS)
    filled = {name: getattr(typical, name) for name in _SAYS if getattr(engine, name) is None}
    return replace(engine, **filled, assumed=(*engine.assumed, *gaps))


def taken_as_typical(engine: RunsOn, *names: str) -> tuple[str, ...]:
    """Which of these figures are a typical engine's, in plain words."""
    return tuple(_SAYS[name] for name in names if _SAYS[name] in engine.assumed)


def whose(engine: RunsOn, *names: str) -> str:
    """Of which engine a consequence is told that needs these figures.

    >>> whose(TYPICAL, "idle_rpm")
    'a typical farm engine (2.5 litres, four-stroke, 500 rpm idle)'
    >>> whose(filled_up(RunsOn(name="Lowfold", displacement_m3=0.002)), "displacement_m3", "idle_rpm")
    'this engine (its idle speed taken as on a typical one)'
    """
    typical = taken_as_typical(engine, *names)
    if len(typical) == len(names):
        return TYPICAL.name
    return f"this engine ({' and '.join(typical)} taken as on a typical one)" if typical else "this engine"


def missing(engine: RunsOn | None, *names: str) -> tuple[str, ...]:
    """What is not known, in plain words.

    >>> missing(RunsOn(name="x", displacement_m3=0.002), "displacement_m3", "idle_rpm")
    ('its idle speed',)
    """
    return tuple(_SAYS[name] for name in names if engine is None or getattr(engine, name) is None)
