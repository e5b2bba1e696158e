"""Compensating devices: a well-fed jet, and air bled into the main jet's well.

UNVALIDATED: none of this was held against a flow bench. Results give the direction and the size order only, and say so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from floatbowl.engine.metering import GRAVITY, fuel_kg_s
from floatbowl.engine.refusal import Refused, within

UNVALIDATED: Final = "not held against measurements: direction and size order only"


@dataclass(frozen=True, slots=True)
class Direction:
    """Fuel of an unvalidated model against that of the plain jet; never more than a direction and a size order."""

    fuel_kg_s: float
    plain_fuel_kg_s: float
    validated: bool = False
    says: str = UNVALIDATED

    @property
    def change(self) -> float:
        """Fuel over that of the plain jet, less one: below 0 is leaner."""
        return self.fuel_kg_s / self.plain_fuel_kg_s - 1


def well_fed_kg_s(jet_area: float, head_m: float, *, cd: float, fuel_kg_m3: float) -> float:
    """Fuel from the bowl into an open well: ``Cd A rho_f sqrt(2 g h)``, whatever the throat draws.

    ``jet_area`` in m2; head 1 to 100 mm; raises ``Refused`` outside. Torricelli's law.
    """
    within("coefficient of discharge", cd, 0.3, 1)
    within("head over the jet", 1000 * head_m, 1, 100, "mm")
    within("jet area", jet_area, 0, unit="m2", open_low=True)
    within("fuel density", fuel_kg_m3, 600, 1000, "kg/m3")
    return cd * jet_area * fuel_kg_m3 * math.sqrt(2 * GRAVITY * head_m)


def with_well_fed_jet(
    depression_pa: float, main_area: float, well_area: float, head_m: float, *, cd: float, fuel_kg_m3: float
) -> Direction:
    """A main jet and a well-fed jet together, against the main jet alone (no lip). UNVALIDATED.

    The well-fed part stays the same as the depression grows, so the sum richens less than the main jet does. Ranges
    of ``metering.fuel_kg_s`` and ``well_fed_kg_s``.
    """
    main = fuel_kg_s(depression_pa, main_area, cd=cd, fuel_kg_m3=fuel_kg_m3)
    if main == 0:
        raise Refused("there is no suction, so the main jet passes no fuel and there is nothing to compare with")
    return Direction(main + well_fed_kg_s(well_area, head_m, cd=cd, fuel_kg_m3=fuel_kg_m3), main)


def with_air_bleed(
    depression_pa: float,
    main_area: float,
    nozzle_area: float,
    bleed_area: float,
    *,
    cd: float,
    fuel_kg_m3: float,
    air_kg_m3: float,
    lip_m: float = 0.0,
) -> Direction:
    """A main jet, a nozzle in line with it, and air bled between them, against the same without the bleed. UNVALIDATED.

    The pressure ``p`` below the outside air in the well is that at which fuel ``Cd A_j sqrt(2 rho_f p)`` and air
    ``Cd A_b sqrt(2 rho_a p)`` together leave through the nozzle as one even mixture of density ``rho_m``:
    ``Cd A_n sqrt(2 rho_m (dp - p - rho_m g z))`` (Brent's method). Bubbles slip and the nozzle's flow is not even, so
    take only the direction. Areas in m2. Depression 50 Pa to 50 kPa; raises ``Refused`` outside.
    """
    within("suction", depression_pa / 1000, 0.05, 50, "kPa")
    within("coefficient of discharge", cd, 0.3, 1)
    within("fuel density", fuel_kg_m3, 600, 1000, "kg/m3")
    within("air density", air_kg_m3, 0.4, 2.0, "kg/m3")
    within("lip over fuel", 1000 * lip_m, 0, 50, "mm")
    within("nozzle area", nozzle_area, 0, unit="m2", open_low=True)
    within("bleed area", bleed_area, 0, nozzle_area, "m2")

    def fuel_with(bleed: float) -> float:
        return _bled_fuel_kg_s(depression_pa, main_area, nozzle_area, bleed, cd, fuel_kg_m3, air_kg_m3, lip_m)

    return Direction(fuel_with(bleed_area), fuel_with(0.0))


def _bled_fuel_kg_s(
    depression_pa: float,
    main_area: float,
    nozzle_area: float,
    bleed_area: float,
    cd: float,
    fuel_kg_m3: float,
    air_kg_m3: float,
    lip_m: float,
) -> float:
    def drawn(well_pa: float) -> tuple[float, float]:
        fuel = fuel_kg_s(well_pa, main_area, cd=cd, fuel_kg_m3=fuel_kg_m3)
        return fuel, cd * bleed_area * math.sqrt(2 * air_kg_m3 * well_pa)

    # Fuel and air are drawn in a fixed proportion, so the mixture's density does not depend on the well's pressure.
    fuel, air = drawn(1.0)
    mixed = (fuel + air) / (fuel / fuel_kg_m3 + air / air_kg_m3)
    lift_pa = mixed * GRAVITY * lip_m
    if lift_pa >= depression_pa:
        raise Refused(f"suction is {depression_pa:.4g} Pa; the lip asks for {lift_pa:.4g} Pa before fuel flows")

    def too_much(well_pa: float) -> float:
        leaves = cd * nozzle_area * math.sqrt(2 * mixed * max(0.0, depression_pa - well_pa - lift_pa))
        return sum(drawn(well_pa)) - leaves

    # Half a second to import: nobody waits for it who works nothing out.
    from scipy.optimize import brentq

    return drawn(float(brentq(too_much, 0.0, depression_pa - lift_pa, xtol=1e-9)))[0]
