"""Published and computed figures for air and choke tubes, each with its source, its provenance and its tolerance.

``published``: the number, or its inputs and formula, was read in the named source. ``library``: computed with the named
library or a closed form. The textbook examples were read in a public companion (FOSSEE Python notebooks).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from fluids import P_critical_flow
from fluids.flow_meter import nozzle_expansibility

from floatbowl.engine.air import (
    air_demand_kg_s,
    air_from_dew_point,
    air_from_humidity,
    displacement_m3,
    dry_density_kg_m3,
    standard_atmosphere,
)
from floatbowl.engine.refusal import Refused
from floatbowl.engine.venturi import (
    CRITICAL_RATIO,
    air_incompressible_kg_s,
    air_kg_s,
    choke_for_actual_speed_m,
    choke_for_theoretical_speed_m,
    depression_incompressible_pa,
    depression_pa,
    most_air_kg_s,
    throat_area_m2,
)

STANDARD = "US Standard Atmosphere 1976, Table I (value from memory, equal to fluids 1.3.1 ATMOSPHERE_1976)"
RAJPUT = "Rajput, A Textbook of Internal Combustion Engines, ch. 11, example {} (inputs and printed output read)"


@dataclass(frozen=True)
class Row:
    quantity: str
    source: str
    provenance: str
    value: float
    tolerance: float
    worked: Callable[[], float]


def rajput_air_kg_s() -> float:
    """Four cylinders 100 x 120 mm, four-stroke, 1800 rpm, volumetric efficiency 0.75, air of 1.2 kg/m3."""
    return air_demand_kg_s(displacement_m3(0.1, 0.12, 4), 1800, 0.75, 1.2, strokes=4, n_carbs=1)


def rajput_choke_mm() -> float:
    """1489 cm3 at 4200 rpm, volumetric efficiency 0.75, 85 m/s theoretical, Cd 0.82, tube 0.4 of the choke."""
    density = dry_density_kg_m3(101_300, 293)
    flow = air_demand_kg_s(0.001489, 4200, 0.75, density, strokes=4, n_carbs=1)
    return 1000 * choke_for_theoretical_speed_m(flow, 85, 0.82, pressure_pa=101_300, temperature_k=293, tube_ratio=0.4)


def expansibility_of_a_nozzle() -> float:
    """Compressible over incompressible flow at 5 kPa, drawn from rest."""
    area, density = throat_area_m2(0.03), dry_density_kg_m3(101_325, 288.15)
    real = air_kg_s(5000, area, cd=0.8, pressure_pa=101_325, temperature_k=288.15)
    return real / air_incompressible_kg_s(5000, area, cd=0.8, density_kg_m3=density)


ROWS = (
    Row(
        "air density, standard atmosphere, 0 m, kg/m3",
        STANDARD,
        "library",
        1.225,
        0.001225,
        lambda: standard_atmosphere(0).density_kg_m3,
    ),
    Row(
        "air density, standard atmosphere, 1000 m, kg/m3",
        STANDARD,
        "library",
        1.1117,
        0.0011117,
        lambda: standard_atmosphere(1000).density_kg_m3,
    ),
    Row(
        "air density, standard atmosphere, 3000 m, kg/m3",
        STANDARD,
        "library",
        0.90925,
        0.00090925,
        lambda: standard_atmosphere(3000).density_kg_m3,
    ),
    Row(
        "moist air density, 20 C, half saturated, 101325 Pa, kg/m3",
        "computed with CoolProp HAPropsSI 8.0.0 (psychrolib 2.5.0: 1.1989)",
        "library",
        1.1994,
        0.001,
        lambda: air_from_humidity(293.15, 101_325, 0.5).density_kg_m3,
    ),
    Row(
        "moist air density, 20 C, dew point 10 C, 760 mmHg, kg/m3",
        "handbook table 'Density of moist air', read on constructionwork.com",
        "published",
        1.199,
        0.002,
        lambda: air_from_dew_point(293.15, 760 * 133.322387415, 283.15).density_kg_m3,
    ),
    Row(
        "depression of a 28 mm throat, Cd 0.8, incompressible, Pa",
        RAJPUT.format("11.1"),
        "published",
        4447.61,
        1,
        lambda: depression_incompressible_pa(rajput_air_kg_s(), throat_area_m2(0.028), cd=0.8, density_kg_m3=1.2),
    ),
    Row("air of a four-stroke engine, kg/s", RAJPUT.format("11.1"), "published", 0.050894, 1e-5, rajput_air_kg_s),
    Row(
        "choke for 5 kg/min and an ACTUAL 90 m/s, coefficient 0.8 on the speed, mm",
        "Mathur and Sharma, Internal Combustion Engine, ch. 11, example 11.1 (inputs and printed output read)",
        "published",
        32.5,
        0.1,
        lambda: 1000 * choke_for_actual_speed_m(5 / 60, 90, 0.8, pressure_pa=101_300, temperature_k=300),
    ),
    Row(
        "choke with an emulsion tube 0.4 of its diameter, mm",
        RAJPUT.format("11.8"),
        "published",
        29.61,
        0.05,
        rajput_choke_mm,
    ),
    Row(
        "critical pressure ratio, g = 1.4",
        "fluids.P_critical_flow 1.3.1; closed form",
        "library",
        0.528282,
        1e-5,
        lambda: CRITICAL_RATIO,
    ),
    Row(
        "expansibility of a nozzle, 5 kPa of 101325 Pa, beta 0",
        "fluids.flow_meter.nozzle_expansibility 1.3.1 (ISO 5167)",
        "library",
        0.97321,
        1e-4,
        expansibility_of_a_nozzle,
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_figure(row: Row) -> None:
    assert row.worked() == pytest.approx(row.value, abs=row.tolerance), f"{row.source} ({row.provenance})"


def test_a_flow_that_a_throat_can_never_pass_is_refused_with_the_most_it_can() -> None:
    """Closed form (library): 0.2 kg/s through 24 mm at Cd 0.85, 101325 Pa, 298.15 K; the most is 0.0912 kg/s."""
    area = throat_area_m2(0.024)
    most = most_air_kg_s(area, cd=0.85, pressure_pa=101_325, temperature_k=298.15)
    assert most == pytest.approx(0.0912, abs=5e-5)
    with pytest.raises(Refused, match=r"never pass more than 0\.0912 kg/s"):
        depression_pa(0.2, area, cd=0.85, pressure_pa=101_325, temperature_k=298.15)


def test_the_two_textbook_conventions_differ_for_the_same_inputs() -> None:
    """The 0.8 on the speed gives 32.5 mm where the 0.8 on the area gives about 36: never mix them up."""
    on_speed = choke_for_actual_speed_m(5 / 60, 90, 0.8, pressure_pa=101_300, temperature_k=300)
    on_area = choke_for_theoretical_speed_m(5 / 60, 90, 0.8, pressure_pa=101_300, temperature_k=300)
    assert on_area - on_speed > 0.003


@pytest.mark.parametrize("drop_pa", [100, 1000, 5000, 20_000, 40_000])
@pytest.mark.parametrize("beta", [0.0, 0.5, 0.7])
def test_compressible_flow_is_the_incompressible_times_the_expansibility_of_iso_5167(
    drop_pa: float, beta: float
) -> None:
    """Library: fluids 1.3.1, an independent route, to 1e-8."""
    area, density = throat_area_m2(0.025), 101_325 / (287.042 * 290)
    approach = (1 - beta**4) ** -0.5
    swelling = nozzle_expansibility(D=0.025 / beta if beta else 1e6, Do=0.025, P1=101_325, P2=101_325 - drop_pa, k=1.4)
    expected = swelling * 0.8 * area * (2 * density * drop_pa) ** 0.5 * approach
    found = air_kg_s(drop_pa, area, cd=0.8, pressure_pa=101_325, temperature_k=290, beta=beta)
    assert found == pytest.approx(expected, rel=1e-8)


def test_the_critical_ratio_is_that_of_fluids() -> None:
    assert P_critical_flow(1.0, 1.4) == pytest.approx(CRITICAL_RATIO, abs=1e-12)


@pytest.mark.parametrize(
    ("depression", "percent"),
    [(1000, 0.5), (5000, 2.8), (20_000, 12.6)],
)
def test_the_stated_error_of_the_incompressible_flow(depression: float, percent: float) -> None:
    """Computed (library, closed form): incompressible flow too high by 0.5, 2.8 and 12.6 in 100."""
    area, density = throat_area_m2(0.03), dry_density_kg_m3(101_325, 288.15)
    real = air_kg_s(depression, area, cd=0.8, pressure_pa=101_325, temperature_k=288.15)
    simple = air_incompressible_kg_s(depression, area, cd=0.8, density_kg_m3=density)
    assert 100 * (simple / real - 1) == pytest.approx(percent, abs=0.06)
