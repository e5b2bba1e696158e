"""Fuels: what air each needs, how heavy and thin it is, how it cools, and what a change of fuel asks of the jet.

Every figure and its source is a row of ``data/fuels.csv``; blends are worked out from their parents.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from floatbowl.engine.air import LEAST_TEMPERATURE_K, saturation_pa
from floatbowl.engine.metering import JetFactor
from floatbowl.engine.refusal import Refused, within

#: kg/kmol: IUPAC abridged atomic weights.
_CARBON: Final = 12.011
_HYDROGEN: Final = 1.008
_OXYGEN: Final = 15.999
#: Share of oxygen in dry air by volume, and the molar mass of dry air (US Standard Atmosphere 1976).
_OXYGEN_IN_AIR: Final = 0.20946
_AIR_MASS: Final = 28.965
#: J/(kg K), air at constant pressure near room temperature.
_AIR_CP: Final = 1005.0
_FREEZING_K: Final = 273.15
_FORMULA: Final = re.compile(r"C(?P<c>\d*\.?\d*)H(?P<h>\d*\.?\d*)(?:O(?P<o>\d*\.?\d*))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuel:
    """A fuel at about 20 C. ``air_fuel_ratio`` is the stoichiometric one, by mass; the rest None where unknown."""

    name: str
    air_fuel_ratio: float
    density_kg_m3: float
    viscosity_m2_s: float
    latent_heat_j_kg: float
    cp_j_kg_k: float
    boiling_k: float | None = None
    reid_least_pa: float | None = None
    reid_most_pa: float | None = None


def stoichiometric_air_fuel_ratio(formula: str) -> float:
    """Mass of dry air that just burns a mass of fuel, from its formula (``C8H18``, ``C2H6O``, ``CH1.87``).

    ``(c + h/4 - o/2) M_air / (0.20946 M_fuel)``: complete burning to carbon dioxide and water. Fuels of carbon,
    hydrogen and oxygen; raises ``Refused`` for another formula. Two figures of chemicals 1.5.2 are tests.

    >>> round(stoichiometric_air_fuel_ratio("C8H18"), 2), round(stoichiometric_air_fuel_ratio("C2H6O"), 2)
    (15.13, 9.01)
    """
    told = _FORMULA.fullmatch(formula)
    if told is None:
        raise Refused(f"{formula!r} is no formula known here; write one like C8H18, C2H6O or CH1.87")
    try:
        carbon, hydrogen, oxygen = (_atoms(told[letter]) for letter in "cho")
    except ValueError:
        raise Refused(f"{formula!r}: the numbers of atoms are not numbers; write one like C8H18") from None
    needed = carbon + hydrogen / 4 - oxygen / 2
    if carbon == 0 or needed <= 0:
        raise Refused(f"{formula!r} needs no air to burn; it is no fuel")
    fuel_mass = carbon * _CARBON + hydrogen * _HYDROGEN + oxygen * _OXYGEN
    return needed * _AIR_MASS / (_OXYGEN_IN_AIR * fuel_mass)


def _atoms(text: str | None) -> float:
    return 0.0 if text is None else float(text) if text else 1.0


@cache
def fuels() -> MappingProxyType[str, Fuel]:
    """Every fuel of the table by name, blends last."""
    told: dict[str, dict[str, str]] = {}
    for row in source_rows():
        told.setdefault(row["fuel"], {})[row["figure"]] = row["value"]
    pure = {name: _pure(name, figures) for name, figures in told.items() if "formula" in figures}
    shares = {name: float(figures["added_ethanol_volume"]) for name, figures in told.items() if name not in pure}
    blends = {name: blended(pure["petrol"], pure["ethanol"], share, name) for name, share in shares.items()}
    return MappingProxyType({name: (pure | blends)[name] for name in sorted(told, key=lambda name: name in blends)})


def fuel(name: str) -> Fuel:
    """The fuel of this name; raises ``Refused`` that lists those there are."""
    try:
        return fuels()[name]
    except KeyError:
        raise Refused(f"{name!r} is no fuel known here; use one of {', '.join(fuels())}") from None


@cache
def source_rows() -> tuple[dict[str, str], ...]:
    """The table's rows as they stand: fuel, figure, value, unit, source, provenance."""
    text = (resources.files("floatbowl.engine") / "data" / "fuels.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def _pure(name: str, figures: dict[str, str]) -> Fuel:
    numbers = {figure: float(value) for figure, value in figures.items() if figure != "formula"}
    return Fuel(name=name, air_fuel_ratio=stoichiometric_air_fuel_ratio(figures["formula"]), **numbers)


def mass_share(base: Fuel, added: Fuel, added_volume_share: float) -> float:
    """Share by mass of what is added, from its share by volume: ``v rho_2 / (v rho_2 + (1 - v) rho_1)``.

    Volumes taken as adding up (petrol and ethanol swell by less than 0.5 in 100, from memory). Share 0 to 1.
    """
    within("share by volume", added_volume_share, 0, 1, why="write 10 % as 0.1")
    added_mass = added_volume_share * added.density_kg_m3
    return added_mass / (added_mass + (1 - added_volume_share) * base.density_kg_m3)


def blended(base: Fuel, added: Fuel, added_volume_share: float, name: str) -> Fuel:
    """A blend. Air need, latent heat and heat capacity mix by MASS, density by volume, viscosity by its logarithm.

    Mixing the air need by volume would be 0.4 in 100 off for E85. The rule for viscosity is rough (some 20 in 100
    for alcohols). Vapour pressure and boiling are left out: they do not mix simply. Raises ``Refused`` for a share
    outside 0 to 1.
    """
    mass = mass_share(base, added, added_volume_share)
    volume = added_volume_share

    def by_mass(of_base: float, of_added: float) -> float:
        return (1 - mass) * of_base + mass * of_added

    return Fuel(
        name=name,
        air_fuel_ratio=by_mass(base.air_fuel_ratio, added.air_fuel_ratio),
        density_kg_m3=(1 - volume) * base.density_kg_m3 + volume * added.density_kg_m3,
        viscosity_m2_s=math.exp((1 - volume) * math.log(base.viscosity_m2_s) + volume * math.log(added.viscosity_m2_s)),
        latent_heat_j_kg=by_mass(base.latent_heat_j_kg, added.latent_heat_j_kg),
        cp_j_kg_k=by_mass(base.cp_j_kg_k, added.cp_j_kg_k),
    )


def fuel_change_factor(
    air_fuel_before: float, density_before: float, air_fuel_after: float, density_after: float, cd_ratio: float = 1.0
) -> JetFactor:
    """Jet for another fuel at the same share of excess air: ``A2/A1 = (AFR1/AFR2) sqrt(rho1/rho2) Cd1/Cd2``.

    ``air_fuel_...`` stoichiometric, densities in kg/m3, ``cd_ratio`` is Cd before over Cd after (thick fuel flows a
    little less: ``discharge.long_bore_cd``). Lip neglected. Ratios 4 to 20, densities 600 to 1000; raises ``Refused``.

    >>> round(fuel_change_factor(14.64, 745, 14.047, 749.4).area, 4)
    1.0392
    """
    for ratio in (air_fuel_before, air_fuel_after):
        within("air to fuel", ratio, 4, 20)
    for density in (density_before, density_after):
        within("fuel density", density, 600, 1000, "kg/m3")
    within("Cd before over after", cd_ratio, 0.5, 2)
    return JetFactor.of_area(air_fuel_before / air_fuel_after * math.sqrt(density_before / density_after) * cd_ratio)


def evaporation_cooling_k(latent_heat_j_kg: float, air_fuel_ratio: float, cp_j_kg_k: float) -> float:
    """How far the mixture cools when all the fuel turns to vapour with no heat from outside.

    ``dT = h_fg / (AFR cp_air + cp_fuel)``. The most there can be: in truth part of the fuel stays liquid and the
    manifold gives heat. Raises ``Refused`` for figures that no fuel has.

    >>> round(evaporation_cooling_k(350e3, 14.64, 2200))
    21
    """
    within("latent heat", latent_heat_j_kg, 1e5, 1.5e6, "J/kg")
    within("air to fuel", air_fuel_ratio, 4, 30)
    within("heat capacity of the fuel", cp_j_kg_k, 1000, 4000, "J/(kg K)")
    return latent_heat_j_kg / (air_fuel_ratio * _AIR_CP + cp_j_kg_k)


def may_ice(air_k: float, vapour_pa: float, cooling_k: float) -> bool:
    """Whether moist air cooled so far would lay ice in the throat: below 0 C, and colder than its moisture stays air.

    ``vapour_pa`` as in ``air.MoistAir``. A warning, not a forecast: full evaporation is the worst case.
    """
    within("cooling", cooling_k, 0, 150, "C")
    within("vapour pressure", vapour_pa, 0, unit="Pa")
    within("air temperature", air_k - _FREEZING_K, -50, 100, "C")
    cold_k = air_k - cooling_k
    return cold_k < _FREEZING_K and vapour_pa > saturation_pa(max(cold_k, LEAST_TEMPERATURE_K))
