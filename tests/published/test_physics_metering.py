"""Published and computed figures for jets, mixture and fuels, each with its source, its provenance and its tolerance.

``published``: the number, or its inputs and formula, was read in the named source. ``library``: computed with the named
library or a closed form. ``memory``: from memory, no page read; a better source is wanted.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import pint
import pytest

from floatbowl.engine.air import air_demand_kg_s, dry_density_kg_m3
from floatbowl.engine.discharge import ideal_reynolds, long_bore_cd
from floatbowl.engine.fuels import fuel, fuel_change_factor, stoichiometric_air_fuel_ratio
from floatbowl.engine.metering import (
    air_fuel_ratio,
    altitude_jet_factor,
    depression_for_fuel_pa,
    jet_area_m2,
    jet_diameter_m,
    least_air_speed_m_s,
    level_effect,
    mixture_behind_cleaner,
    mixture_in_other_air,
)
from floatbowl.engine.venturi import depression_incompressible_pa, expanded, throat_area_m2

RAJPUT = "Rajput, A Textbook of Internal Combustion Engines, ch. 11, example {} (inputs and printed output read)"
AFDC = "US DOE Alternative Fuels Data Center, fuel property comparison table"


@dataclass(frozen=True)
class Row:
    quantity: str
    source: str
    provenance: str
    value: float
    tolerance: float
    worked: Callable[[], float]


def jet_of_example_11_3_mm() -> float:
    """7.2 kg/h of fuel, 15 to 1, choke 24 mm, lip 4.2 mm, Cd 0.8 for air and 0.7 for fuel, incompressible."""
    density = 101_300 / (287 * 300)
    air = 7.2 * 15 / 3600
    dp = depression_incompressible_pa(air, throat_area_m2(0.024), cd=0.8, density_kg_m3=density)
    return 1000 * jet_diameter_m(7.2 / 3600, dp, cd=0.7, fuel_kg_m3=750, lip_m=0.0042)


def jet_of_example_11_8_mm() -> float:
    """1489 cm3 at 4200 rpm, volumetric efficiency 0.75, 13 to 1, 85 m/s, Cd 0.65, 740 kg/m3, lip 6 mm."""
    density = dry_density_kg_m3(101_300, 293)
    fuel_flow = air_demand_kg_s(0.001489, 4200, 0.75, density, strokes=4, n_carbs=1) / 13
    dp = 101_300 - expanded(85, 101_300, 293)[1]
    return 1000 * jet_diameter_m(fuel_flow, dp, cd=0.65, fuel_kg_m3=740, lip_m=0.006)


def mixture_mm(throat_mm: float, jet_mm: float, **figures: float) -> float:
    throat, jet = throat_area_m2(throat_mm / 1000), jet_area_m2(jet_mm / 1000)
    dp = figures.pop("depression_pa")
    return air_fuel_ratio(dp, throat, jet, air_kg_m3=1.2, fuel_kg_m3=750, cd_air=0.82, **figures)


def mixture_of_example_11_11() -> float:
    """14 to 1 at 25 C; at 4500 m the book's own air: 0.0064 K/m, p = p0 / 10^(h/19300)."""
    low = dry_density_kg_m3(101_325, 298)
    high = dry_density_kg_m3(101_325 / 10 ** (4500 / 19_300), 298 - 0.0064 * 4500)
    return mixture_in_other_air(14, high, low)


ROWS = (
    Row(
        "depression for 5 kg/h through 2 mm2, lip 5 mm, Pa (0.8 for both coefficients, as the printed solution)",
        RAJPUT.format("11.2"),
        "published",
        539.13,
        0.5,
        lambda: depression_for_fuel_pa(5 / 3600, 2e-6, cd=0.8, fuel_kg_m3=750, lip_m=0.005),
    ),
    Row("fuel jet diameter, mm", RAJPUT.format("11.3"), "published", 1.32, 0.01, jet_of_example_11_3_mm),
    Row(
        "air to fuel behind a clogging cleaner, bowl vented outside, 30 mmHg",
        RAJPUT.format("11.5"),
        "published",
        13.69,
        0.01,
        lambda: mixture_behind_cleaner(15, 20_000, 30 * 133.322387415),
    ),
    Row("main jet diameter, mm", RAJPUT.format("11.8"), "published", 1.68, 0.01, jet_of_example_11_8_mm),
    Row(
        "air to fuel, lip neglected, 18 mm throat, 1.2 mm jet",
        RAJPUT.format("11.9"),
        "published",
        11.35,
        0.01,
        lambda: mixture_mm(18, 1.2, cd_fuel=0.65, depression_pa=6500),
    ),
    Row(
        "least air speed that starts the fuel, lip 6 mm, m/s",
        RAJPUT.format("11.9"),
        "published",
        8.58,
        0.01,
        lambda: least_air_speed_m_s(0.006, 750, 1.2),
    ),
    Row(
        "air to fuel with a lip of 4 mm, 22 mm throat, 1.2 mm jet",
        "Scilab textbook companion, carburettor example (inputs and formula read; number evaluated)",
        "published",
        15.78,
        0.01,
        lambda: mixture_mm(22, 1.2, cd_fuel=0.7, depression_pa=7500, lip_m=0.004),
    ),
    Row(
        "air to fuel at 4500 m, as the root of density",
        RAJPUT.format("11.11"),
        "published",
        11.26,
        0.01,
        mixture_of_example_11_11,
    ),
    Row(
        "factor on the main jet's DIAMETER at 2000 m",
        "computed with fluids 1.3.1 (US Standard Atmosphere 1976)",
        "library",
        0.9521,
        0.001,
        lambda: altitude_jet_factor(2000).diameter,
    ),
    Row(
        "stoichiometric air to fuel, iso-octane C8H18, air of 20.946 % oxygen",
        "computed with chemicals.combustion_stoichiometry 1.5.2",
        "library",
        15.13,
        0.05,
        lambda: stoichiometric_air_fuel_ratio("C8H18"),
    ),
    Row(
        "stoichiometric air to fuel, ethanol C2H6O, air of 20.946 % oxygen",
        "computed with chemicals.combustion_stoichiometry 1.5.2",
        "library",
        9.01,
        0.05,
        lambda: stoichiometric_air_fuel_ratio("C2H6O"),
    ),
    Row("stoichiometric air to fuel, ethanol", AFDC, "published", 9.0, 0.1, lambda: fuel("ethanol").air_fuel_ratio),
    Row("stoichiometric air to fuel, gasoline", AFDC, "published", 14.7, 0.1, lambda: fuel("petrol").air_fuel_ratio),
    Row(
        "factor on jet area, petrol to E10, same lambda",
        "computed from air to fuel 14.64 and 14.047, 745 and 749.4 kg/m3",
        "library",
        1.0392,
        0.003,
        lambda: fuel_change_factor(14.64, 745, 14.047, 749.4).area,
    ),
    Row(
        "the same from this table's own petrol and E10",
        "as above",
        "library",
        1.0392,
        0.003,
        lambda: (
            fuel_change_factor(
                fuel("petrol").air_fuel_ratio,
                fuel("petrol").density_kg_m3,
                fuel("E10").air_fuel_ratio,
                fuel("E10").density_kg_m3,
            ).area
        ),
    ),
    Row(
        "change of fuel flow in 100 when the level rises from 6 to 3 mm under the lip, 200 Pa, 745 kg/m3",
        "computed from the jet's equation",
        "library",
        6.79,
        0.02,
        lambda: 100 * level_effect(200, 0.006, 0.003, 745),
    ),
    Row(
        "coefficient of discharge of a jet 1.3 mm wide and 4 mm long, 4 kPa, 745 kg/m3, 6e-7 m2/s",
        "Lichtarowicz, Duggins, Markland 1965, equation FROM MEMORY, evaluated (the title confirmed by a search)",
        "memory",
        0.792,
        0.02,
        lambda: long_bore_cd(ideal_reynolds(0.0013, 4000, 745, 6e-7), 4.0 / 1.3),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_figure(row: Row) -> None:
    assert row.worked() == pytest.approx(row.value, abs=row.tolerance), f"{row.source} ({row.provenance})"


def test_ethanol_boils_evaporates_and_presses_as_the_department_of_energy_says() -> None:
    """AFDC (published): ethanol 172 F, Reid pressure 2.3 psi, 396 Btu/lb; gasoline 8 to 15 psi, about 150 Btu/lb.

    pint converts, so that the table's own conversions are held against it.
    """
    unit = pint.UnitRegistry()
    ethanol, petrol = fuel("ethanol"), fuel("petrol")
    assert ethanol.boiling_k == pytest.approx(unit.Quantity(172, "degF").to("kelvin").magnitude, abs=0.01)
    assert ethanol.reid_least_pa == pytest.approx(unit("2.3 psi").to("Pa").magnitude, abs=1)
    assert ethanol.latent_heat_j_kg == pytest.approx(unit("396 Btu/lb").to("J/kg").magnitude, rel=1e-4)
    assert petrol.reid_least_pa == pytest.approx(unit("8 psi").to("Pa").magnitude, abs=1)
    assert petrol.reid_most_pa == pytest.approx(unit("15 psi").to("Pa").magnitude, abs=1)
    assert petrol.latent_heat_j_kg == pytest.approx(unit("150 Btu/lb").to("J/kg").magnitude, rel=0.01)


def test_long_bores_stay_within_the_range_measured_for_small_round_orifices() -> None:
    """W. F. Joachim, NACA technical report (abstract read, published): 0.62 to 0.88 for small round orifices in liquid
    injection at 1000 to 8000 psi; the equation's fully turbulent end must lie inside.
    """
    found = [long_bore_cd(20_000, ratio) for ratio in (2, 3, 5, 8, 10)]
    assert all(0.62 < cd < 0.88 for cd in found)
    assert found == sorted(found, reverse=True)


@pytest.mark.parametrize("formula", ["CH4", "C7H16", "C8H18", "C6H6", "C2H6O", "CH4O", "C4H10O"])
def test_the_air_need_is_that_of_the_library(formula: str) -> None:
    """Closed form: complete burning to CO2 and H2O; air 20.946 % oxygen of 28.965 kg/kmol."""
    atoms = {"C": 0, "H": 0, "O": 0}
    for letter, count in _counted(formula):
        atoms[letter] += count
    oxygen = atoms["C"] + atoms["H"] / 4 - atoms["O"] / 2
    mass = 12.011 * atoms["C"] + 1.008 * atoms["H"] + 15.999 * atoms["O"]
    assert stoichiometric_air_fuel_ratio(formula) == pytest.approx(oxygen / 0.20946 * 28.965 / mass, rel=1e-9)


def _counted(formula: str) -> list[tuple[str, int]]:
    found: list[tuple[str, int]] = []
    rest = formula
    while rest:
        digits = len(rest[1:]) - len(rest[1:].lstrip("0123456789"))
        found.append((rest[0], int(rest[1 : 1 + digits] or 1)))
        rest = rest[1 + digits :]
    return found


def test_one_fiftieth_of_a_millimetre_on_a_jet_is_three_in_a_hundred_of_the_mixture() -> None:
    """Closed form: d ln(AFR) = -2 d ln(d); 0.02 mm on 1.30 mm is 3.1 in 100."""
    mixtures = [mixture_mm(24, bore, cd_fuel=0.7, depression_pa=5000) for bore in (1.30, 1.32)]
    assert 100 * math.log(mixtures[0] / mixtures[1]) == pytest.approx(3.05, abs=0.05)
