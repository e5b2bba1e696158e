"""Fuel through the main jet, and what changes its mixture: level, altitude, weather, air cleaner, a drilled bore.

The bowl is at the outside air's pressure and the nozzle stands in the throat, its lip a little above the fuel. All
equations are for one plain jet: a compensated carburettor changes less (see ``compensating``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from floatbowl.engine.air import standard_atmosphere
from floatbowl.engine.refusal import Refused, within

#: m/s2, standard gravity (by definition; BIPM SI brochure).
GRAVITY: Final = 9.80665
#: No nozzle stands higher over its fuel; 1.5 to 3 mm is usual (common practice).
MOST_LIP_MM: Final = 50.0


@dataclass(frozen=True, slots=True)
class JetFactor:
    """What to multiply a jet by. ``area`` is the square of ``diameter``."""

    area: float
    diameter: float

    @classmethod
    def of_area(cls, area: float) -> JetFactor:
        """The factor of this area."""
        return cls(area, math.sqrt(area))


def jet_area_m2(diameter_m: float) -> float:
    """Area of a round bore, ``pi/4 d^2``; jets of 0.2 to 10 mm, raises ``Refused`` outside."""
    within("jet bore", 1000 * diameter_m, 0.2, 10, "mm")
    return math.pi / 4 * diameter_m**2


def least_depression_pa(lip_m: float, fuel_kg_m3: float) -> float:
    """Depression below which no fuel flows, ``rho_f g z``: that which lifts fuel to the nozzle's lip.

    ``lip_m`` is the lip's height over the fuel, 0 to 50 mm; fuels of 600 to 1000 kg/m3. Raises ``Refused`` outside.

    >>> round(least_depression_pa(0.005, 750), 1)
    36.8
    """
    within("lip over fuel", 1000 * lip_m, 0, MOST_LIP_MM, "mm", "a lip below the fuel level floods")
    return _fuel(fuel_kg_m3) * GRAVITY * lip_m


def least_air_speed_m_s(lip_m: float, fuel_kg_m3: float, air_kg_m3: float) -> float:
    """Air speed in the throat at which fuel begins to flow: ``sqrt(2 rho_f g z / rho_a)``, no loss in the throat.

    Rajput, A Textbook of Internal Combustion Engines, example 11.9 (inputs and result read in a public companion).

    >>> round(least_air_speed_m_s(0.006, 750, 1.2), 2)
    8.58
    """
    return math.sqrt(2 * least_depression_pa(lip_m, fuel_kg_m3) / _air(air_kg_m3))


def fuel_kg_s(depression_pa: float, jet_area: float, *, cd: float, fuel_kg_m3: float, lip_m: float = 0.0) -> float:
    """Fuel through a jet: ``m = Cd A sqrt(2 rho_f (dp - rho_f g z))``; none below the depression that lifts it.

    ``jet_area`` in m2. Cd 0.3 to 1, depression to 60 kPa; raises ``Refused`` outside. Cd itself changes with the
    jet's length and the fuel's viscosity: see ``discharge``.
    """
    _cd(cd)
    within("suction", depression_pa / 1000, 0, 60, "kPa")
    within("jet area", jet_area, 0, unit="m2", open_low=True)
    left_pa = depression_pa - least_depression_pa(lip_m, fuel_kg_m3)
    return cd * jet_area * math.sqrt(2 * fuel_kg_m3 * left_pa) if left_pa > 0 else 0.0


def depression_for_fuel_pa(flow_kg_s: float, jet_area: float, *, cd: float, fuel_kg_m3: float, lip_m: float) -> float:
    """Depression that draws this much fuel: ``(m/(Cd A))^2 / (2 rho_f) + rho_f g z``. Range of ``fuel_kg_s``.

    Rajput, example 11.2 (inputs and result read in a public companion): 5 kg/h, 2 mm2, Cd 0.8, lip 5 mm.

    >>> round(depression_for_fuel_pa(5 / 3600, 2e-6, cd=0.8, fuel_kg_m3=750, lip_m=0.005))
    539
    """
    _cd(cd)
    within("fuel flow", flow_kg_s, 0, unit="kg/s")
    within("jet area", jet_area, 0, unit="m2", open_low=True)
    found = (flow_kg_s / (cd * jet_area)) ** 2 / (2 * _fuel(fuel_kg_m3)) + least_depression_pa(lip_m, fuel_kg_m3)
    within("suction", found / 1000, 0, 60, "kPa", "no carburettor throat draws more")
    return found


def jet_diameter_m(flow_kg_s: float, depression_pa: float, *, cd: float, fuel_kg_m3: float, lip_m: float) -> float:
    """Bore of the jet that passes this much fuel: ``A = m / (Cd sqrt(2 rho_f (dp - rho_f g z)))``.

    Divide the air by the wanted mixture to get the fuel. Raises ``Refused`` when the depression does not lift fuel,
    and for a bore outside 0.2 to 10 mm.
    """
    within("fuel flow", flow_kg_s, 0, unit="kg/s", open_low=True)
    per_area = fuel_kg_s(depression_pa, 1.0, cd=cd, fuel_kg_m3=fuel_kg_m3, lip_m=lip_m)
    if per_area == 0:
        raise _does_not_lift(depression_pa, lip_m, fuel_kg_m3)
    found = math.sqrt(4 * flow_kg_s / per_area / math.pi)
    within("jet bore", 1000 * found, 0.2, 10, "mm", "check flow and suction")
    return found


def air_fuel_ratio(
    depression_pa: float,
    throat_area: float,
    jet_area: float,
    *,
    cd_air: float,
    cd_fuel: float,
    air_kg_m3: float,
    fuel_kg_m3: float,
    lip_m: float = 0.0,
    expansibility: float = 1.0,
) -> float:
    """Mass of air to mass of fuel of a plain jet and throat (areas in m2).

    ``AFR = Y Cd_a A_a / (Cd_f A_j) sqrt(rho_a/rho_f) sqrt(dp/(dp - rho_f g z))``; ``Y`` is the expansibility, 1 for
    air taken as incompressible. An error of 1 in 100 of the bore is one of 2 in 100 of the mixture. Falls (richens)
    as the depression grows. Raises ``Refused`` when no fuel is lifted and outside the ranges of ``fuel_kg_s``.

    Rajput, example 11.9 (inputs and result read in a public companion):

    >>> round(air_fuel_ratio(6500, jet_area_m2(0.0012) * 225, jet_area_m2(0.0012), cd_air=0.82, cd_fuel=0.65,
    ...                      air_kg_m3=1.2, fuel_kg_m3=750), 2)
    11.35
    """
    _cd(cd_air)
    within("expansibility", expansibility, 0.5, 1)
    within("throat area", throat_area, 0, unit="m2", open_low=True)
    fuel = fuel_kg_s(depression_pa, jet_area, cd=cd_fuel, fuel_kg_m3=fuel_kg_m3, lip_m=lip_m)
    if fuel == 0:
        raise _does_not_lift(depression_pa, lip_m, fuel_kg_m3)
    return expansibility * cd_air * throat_area * math.sqrt(2 * _air(air_kg_m3) * depression_pa) / fuel


def level_effect(depression_pa: float, lip_before_m: float, lip_after_m: float, fuel_kg_m3: float) -> float:
    """Fuel flow after a change of level over that before, less one.

    ``sqrt((dp - rho_f g z2)/(dp - rho_f g z1)) - 1``; for a small rise ``dz`` about ``rho_f g dz / (2 (dp - rho_f g
    z))``. Raises ``Refused`` when the depression lifts no fuel at one of the levels.

    >>> round(100 * level_effect(200, 0.006, 0.003, 745), 2)
    6.79
    """
    within("suction", depression_pa / 1000, 0, 60, "kPa")
    before = depression_pa - least_depression_pa(lip_before_m, fuel_kg_m3)
    after = depression_pa - least_depression_pa(lip_after_m, fuel_kg_m3)
    if min(before, after) <= 0:
        raise _does_not_lift(depression_pa, max(lip_before_m, lip_after_m), fuel_kg_m3)
    return math.sqrt(after / before) - 1


def same_mixture_factor(
    air_kg_m3: float, air_before_kg_m3: float, *, dry_kg_m3: float, dry_before_kg_m3: float
) -> JetFactor:
    """Jet that keeps the mixture when the air changes (altitude, heat, damp), the engine breathing the same volume.

    ``area = (rho_dry/rho_dry0) / sqrt(rho/rho0)``: the depression goes with all of the air, the fuel needed with its
    dry part. Densities 0.4 to 2 kg/m3. From ``dp ~ rho`` at a given volume flow; the lip is neglected. Raises
    ``Refused`` outside, and when the dry part is more than all of it.
    """
    for dry, air in ((dry_kg_m3, air_kg_m3), (dry_before_kg_m3, air_before_kg_m3)):
        within("dry part of the air", dry, 0.4, _air(air) * (1 + 1e-9), "kg/m3", "it cannot exceed the whole")
    return JetFactor.of_area(dry_kg_m3 / dry_before_kg_m3 / math.sqrt(air_kg_m3 / air_before_kg_m3))


def altitude_jet_factor(altitude_m: float, altitude_before_m: float = 0.0) -> JetFactor:
    """Jet that keeps the mixture at another altitude of the standard atmosphere (dry): ``area = sqrt(rho/rho0)``.

    Range of ``air.standard_atmosphere``. Higher never asks for a larger jet.

    >>> round(altitude_jet_factor(2000).diameter, 4)
    0.9521
    """
    air = standard_atmosphere(altitude_m).density_kg_m3
    before = standard_atmosphere(altitude_before_m).density_kg_m3
    return same_mixture_factor(air, before, dry_kg_m3=air, dry_before_kg_m3=before)


def mixture_in_other_air(air_fuel_ratio_before: float, air_kg_m3: float, air_before_kg_m3: float) -> float:
    """Mixture of the SAME jet in other dry air: ``AFR = AFR0 sqrt(rho/rho0)``; thin air runs rich.

    Same assumptions as ``same_mixture_factor``. Rajput, example 11.11 (inputs and result read in a public companion).
    """
    return _mixture(air_fuel_ratio_before) * math.sqrt(_air(air_kg_m3) / _air(air_before_kg_m3))


def mixture_behind_cleaner(air_fuel_ratio_before: float, throat_pa: float, cleaner_pa: float) -> float:
    """Mixture when the air cleaner clogs and the bowl is vented to the OUTSIDE air, the air flow being the same.

    The clogged cleaner's loss ``cleaner_pa`` adds to the throat's ``throat_pa`` as the jet sees it:
    ``AFR = AFR0 sqrt(dp / (dp + dp_cleaner))``. A bowl vented behind the cleaner does not change at all. Lip and
    density neglected. Rajput, example 11.5 (inputs and result read in a public companion). To 60 kPa in all; raises
    ``Refused`` outside.

    >>> round(mixture_behind_cleaner(15, 20_000, 30 * 133.322), 2)
    13.69
    """
    within("suction of the throat", throat_pa / 1000, 0, 60, "kPa", open_low=True)
    within("loss of the air cleaner", cleaner_pa / 1000, 0, 60 - throat_pa / 1000, "kPa")
    return _mixture(air_fuel_ratio_before) * math.sqrt(throat_pa / (throat_pa + cleaner_pa))


def bore_change(measured_m: float, recorded_m: float) -> float:
    """Flow of a jet as measured over that as recorded, less one: ``(d/d0)^2 - 1`` at the same Cd.

    Twice the error in bore, near enough. Bores of 0.2 to 10 mm; raises ``Refused`` outside. A drilled jet is scored
    and its edge broken, so its Cd is often higher still: this is the least change.

    >>> round(bore_change(1.26e-3, 1.10e-3), 2)
    0.31
    """
    return jet_area_m2(measured_m) / jet_area_m2(recorded_m) - 1


def setting_left_turns(flow_change: float, usual_turns: float, needle_share: float) -> float:
    """Turns out of a main adjusting needle that give the old flow again beside a jet that now passes more.

    For a needle that feeds BESIDE the fixed jet and passes ``needle_share`` of the fuel at its usual setting, flow in
    proportion to turns: ``t = t0 (1 - change (1 - share)/share)``. Nothing or less: the jet alone passes too much and
    no setting is left. UNVALIDATED: direction and size order only (a needle's flow is not quite proportional, and one
    in line with the jet behaves otherwise). Share above 0 to 1; raises ``Refused`` outside.

    >>> round(setting_left_turns(0.31, 1.5, 0.3), 2)
    0.41
    """
    within("share of the fuel through the needle", needle_share, 0, 1, open_low=True, why="write 30 % as 0.3")
    within("usual setting", usual_turns, 0, 10, "turns", open_low=True)
    within("change of flow", flow_change, -0.9, 9)
    return usual_turns * (1 - flow_change * (1 - needle_share) / needle_share)


def _does_not_lift(depression_pa: float, lip_m: float, fuel_kg_m3: float) -> Refused:
    needed = least_depression_pa(lip_m, fuel_kg_m3)
    return Refused(
        f"suction is {depression_pa:.4g} Pa; fuel is lifted over a lip of {lip_m * 1000:.3g} mm only above "
        f"{needed:.4g} Pa: no fuel flows"
    )


def _cd(cd: float) -> float:
    return within("coefficient of discharge", cd, 0.3, 1, why="0.6 to 0.85 is usual for a jet")


def _fuel(fuel_kg_m3: float) -> float:
    return within("fuel density", fuel_kg_m3, 600, 1000, "kg/m3")


def _air(air_kg_m3: float) -> float:
    return within("air density", air_kg_m3, 0.4, 2.0, "kg/m3")


def _mixture(air_fuel_ratio: float) -> float:
    return within("air to fuel", air_fuel_ratio, 4, 30)
