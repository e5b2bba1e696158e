"""Does this carburettor suit this engine: a swapped one beside the right one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from floatbowl.engine.doubt import Doubtful, first_order
from floatbowl.engine.metering import least_depression_pa
from floatbowl.engine.refusal import Refused
from floatbowl.engine.venturi import depression_pa, mean_speed_m_s, throat_area_m2

Band = Literal["weak", "low", "usual", "high", "strangled"]
#: m/s, mean speed in the throat at the engine's rated speed. Common practice, from memory: below 40 the signal is too
#: weak to meter well, 60 to 110 is usual, above 120 the engine is strangled.
WEAK_BELOW: Final = 40.0
USUAL_FROM: Final = 60.0
USUAL_TO: Final = 110.0
STRANGLED_ABOVE: Final = 120.0
#: Coefficient of discharge of a carburettor's throat: 0.75 to 0.90 (common practice), its middle and the standard
#: deviation of an even spread over that range.
USUAL_CD: Final = 0.825
USUAL_CD_SD: Final = 0.15 / math.sqrt(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Breathing:
    """What the engine draws through one carburettor at rated speed, and the air it draws."""

    air_kg_s: float
    air_kg_m3: float
    pressure_pa: float = 101_325.0
    temperature_k: float = 288.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Throat:
    """A carburettor's throat: choke tube, nozzle or emulsion tube in it, coefficient of discharge with its spread."""

    throat_m: float
    tube_m: float = 0.0
    cd: float = USUAL_CD
    cd_sd: float = USUAL_CD_SD

    @property
    def area_m2(self) -> float:
        """Free area."""
        return throat_area_m2(self.throat_m, self.tube_m)


@dataclass(frozen=True, slots=True)
class Signal:
    """What a throat does on this engine: mean speed, its band, and the depression with its doubt."""

    speed_m_s: float
    band: Band
    depression_pa: Doubtful


@dataclass(frozen=True, slots=True)
class Comparison:
    """A carburettor beside the right one. ``fuel_change`` is fuel of the SAME jet over the right one's, less one:
    above 0 runs richer. ``jet_area_factor`` gives the right one's mixture back.
    """

    this: Signal
    right: Signal
    speed_ratio: float
    fuel_change: Doubtful
    jet_area_factor: float


def band(speed_m_s: float) -> Band:
    """The trade's band for a mean throat speed at rated engine speed (common practice, from memory).

    >>> band(35), band(80), band(130)
    ('weak', 'usual', 'strangled')
    """
    if speed_m_s < WEAK_BELOW:
        return "weak"
    if speed_m_s < USUAL_FROM:
        return "low"
    if speed_m_s <= USUAL_TO:
        return "usual"
    return "high" if speed_m_s <= STRANGLED_ABOVE else "strangled"


def signal(engine: Breathing, throat: Throat) -> Signal:
    """Speed, band and depression of a throat on an engine; raises ``Refused`` when it can never pass the air.

    Mean speed by ``venturi.mean_speed_m_s``, depression by ``venturi.depression_pa``. The doubt of the depression is
    that of Cd alone, to first order (about twice that of Cd).
    """
    speed = mean_speed_m_s(engine.air_kg_s, throat.area_m2, engine.air_kg_m3)
    drawn = first_order(lambda cd: _depression(engine, throat, cd), {"cd": throat.cd}, {"cd": throat.cd_sd})
    return Signal(speed, band(speed), drawn)


def compare(engine: Breathing, this: Throat, right: Throat, *, lip_m: float, fuel_kg_m3: float) -> Comparison:
    """A swapped carburettor beside the right one with the same jet in both.

    The engine draws the same air through either, so the fuel goes with ``sqrt((dp_this - rho g z)/(dp_right - rho g
    z))``. One plain jet: a compensated carburettor changes less. Both Cd are doubted independently; carburettors of
    one make are alike, so the true doubt is smaller. Raises ``Refused`` when either throat lifts no fuel or can never
    pass the air.
    """
    here, there = signal(engine, this), signal(engine, right)
    lift_pa = least_depression_pa(lip_m, fuel_kg_m3)
    for name, found in (("this carburettor", here), ("the right carburettor", there)):
        if found.depression_pa.value <= lift_pa:
            raise Refused(
                f"{name} draws {found.depression_pa.value:.4g} Pa at that speed; the lip asks for {lift_pa:.4g} Pa "
                "before any fuel flows: check throat, lip and engine speed"
            )

    def change(cd_this: float, cd_right: float) -> float:
        drawn = _depression(engine, this, cd_this) - lift_pa
        return math.sqrt(max(0.0, drawn) / (_depression(engine, right, cd_right) - lift_pa)) - 1

    values, sds = {"cd_this": this.cd, "cd_right": right.cd}, {"cd_this": this.cd_sd, "cd_right": right.cd_sd}
    richer = first_order(change, values, sds)
    return Comparison(here, there, here.speed_m_s / there.speed_m_s, richer, 1 / (1 + richer.value))


def _depression(engine: Breathing, throat: Throat, cd: float) -> float:
    return depression_pa(
        engine.air_kg_s, throat.area_m2, cd=cd, pressure_pa=engine.pressure_pa, temperature_k=engine.temperature_k
    )
