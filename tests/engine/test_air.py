"""Air: held against psychrolib and CoolProp, and what must be true of any air."""

from __future__ import annotations

import importlib.util
import sys
from types import ModuleType

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.air import (
    air_demand_kg_s,
    air_from_dew_point,
    air_from_humidity,
    displacement_m3,
    dry_density_kg_m3,
    saturation_pa,
    standard_atmosphere,
)
from floatbowl.engine.refusal import Refused

TEMPERATURES_K = st.floats(253.15, 323.15)
PRESSURES_PA = st.floats(70_000, 105_000)


@pytest.fixture(scope="module")
def psychrolib() -> ModuleType:
    """psychrolib in plain Python: left to itself it compiles every function with numba, which takes seconds."""
    spec = importlib.util.find_spec("psychrolib")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "numba", None)
        spec.loader.exec_module(module)
    module.SetUnitSystem(module.SI)
    return module


@pytest.mark.parametrize("celsius", [-20.0, -1.0, 0.5, 10.0, 20.0, 35.0, 45.0])
@pytest.mark.parametrize("humidity", [0.0, 0.3, 0.5, 1.0])
@pytest.mark.parametrize("pressure_pa", [75_000.0, 101_325.0])
def test_moist_air_is_that_of_psychrolib(
    psychrolib: ModuleType, celsius: float, humidity: float, pressure_pa: float
) -> None:
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, pressure_pa)
    found = air_from_humidity(celsius + 273.15, pressure_pa, humidity)
    # psychrolib keeps the humidity ratio above 1e-7, so that dry air is not quite dry there.
    assert found.density_kg_m3 == pytest.approx(psychrolib.GetMoistAirDensity(celsius, ratio, pressure_pa), rel=2e-5)
    assert found.dry_density_kg_m3 == pytest.approx(found.density_kg_m3 / (1 + ratio), rel=2e-5)


def test_a_dew_point_gives_the_air_of_psychrolib(psychrolib: ModuleType) -> None:
    ratio = psychrolib.GetHumRatioFromTDewPoint(10.0, 101_325.0)
    found = air_from_dew_point(293.15, 101_325, 283.15)
    assert found.density_kg_m3 == pytest.approx(psychrolib.GetMoistAirDensity(20.0, ratio, 101_325.0), rel=2e-5)


@pytest.mark.parametrize(
    ("celsius", "humidity", "pressure_pa", "density"),
    [
        (-10.0, 0.2, 80_000, 1.05947),
        (-10.0, 0.9, 101_325, 1.341254),
        (0.5, 0.9, 80_000, 1.01621),
        (0.5, 0.2, 101_325, 1.290115),
        (20.0, 0.2, 80_000, 0.948905),
        (20.0, 0.9, 101_325, 1.195177),
        (40.0, 0.2, 101_325, 1.121268),
        (40.0, 0.9, 80_000, 0.862337),
    ],
)
def test_moist_air_is_within_eight_in_ten_thousand_of_the_real_gas(
    celsius: float, humidity: float, pressure_pa: float, density: float
) -> None:
    """1/HAPropsSI("Vha", "T", t, "R", humidity, "P", p) of CoolProp 8.0.0 (library), a real-gas mixture: run once and
    written down here, for the library takes seconds to load.
    """
    found = air_from_humidity(celsius + 273.15, pressure_pa, humidity)
    assert found.density_kg_m3 == pytest.approx(density, rel=8e-4)


def test_vapour_pressure_over_ice_and_water_meet_at_freezing() -> None:
    assert saturation_pa(273.149) == pytest.approx(saturation_pa(273.151), rel=5e-4)
    assert saturation_pa(273.15) == pytest.approx(611.2, abs=0.5)  # handbook value, from memory


@settings(max_examples=40)
@given(TEMPERATURES_K, PRESSURES_PA, st.floats(0, 1), st.floats(0, 1))
def test_damper_air_is_lighter_and_burns_less(kelvin: float, pressure_pa: float, one: float, other: float) -> None:
    dry, damp = sorted((one, other))
    less, more = air_from_humidity(kelvin, pressure_pa, dry), air_from_humidity(kelvin, pressure_pa, damp)
    assert more.density_kg_m3 <= less.density_kg_m3
    assert more.dry_density_kg_m3 <= less.dry_density_kg_m3
    assert more.dry_density_kg_m3 <= more.density_kg_m3


@settings(max_examples=40)
@given(TEMPERATURES_K, PRESSURES_PA)
def test_air_without_vapour_is_dry_air(kelvin: float, pressure_pa: float) -> None:
    found = air_from_humidity(kelvin, pressure_pa, 0)
    assert found.density_kg_m3 == found.dry_density_kg_m3 == dry_density_kg_m3(pressure_pa, kelvin)


@settings(max_examples=40)
@given(TEMPERATURES_K, PRESSURES_PA)
def test_a_dew_point_at_the_air_s_own_temperature_is_full_humidity(kelvin: float, pressure_pa: float) -> None:
    full = air_from_humidity(kelvin, pressure_pa, 1)
    assert air_from_dew_point(kelvin, pressure_pa, kelvin) == full


@settings(max_examples=40)
@given(st.floats(-400, 6000), st.floats(-400, 6000))
def test_higher_air_is_thinner(one: float, other: float) -> None:
    low, high = sorted((one, other))
    below, above = standard_atmosphere(low), standard_atmosphere(high)
    assert above.density_kg_m3 <= below.density_kg_m3
    assert above.pressure_pa <= below.pressure_pa


@settings(max_examples=40)
@given(st.floats(100, 5000), st.floats(0.2, 1.1), st.integers(1, 6))
def test_carburettors_share_the_air_and_a_two_stroke_draws_twice(rpm: float, filled: float, carbs: int) -> None:
    one = air_demand_kg_s(0.002, rpm, filled, 1.2, strokes=4, n_carbs=1)
    assert air_demand_kg_s(0.002, rpm, filled, 1.2, strokes=4, n_carbs=carbs) * carbs == pytest.approx(one)
    assert air_demand_kg_s(0.002, rpm, filled, 1.2, strokes=2, n_carbs=1) == pytest.approx(2 * one)


def test_units_agree_with_pint() -> None:
    """122 cubic inches at 2000 rpm, three quarters filled with air of 0.0765 lb/ft3, in pounds an hour by pint."""
    unit = pint.UnitRegistry()
    volume, density = unit("122 in**3"), unit.Quantity(0.0765, "lb/ft**3")
    flow = volume * unit.Quantity(1000, "1/min") * 0.75 * density
    found = air_demand_kg_s(
        volume.to("m**3").magnitude, 2000, 0.75, density.to("kg/m**3").magnitude, strokes=4, n_carbs=1
    )
    assert unit.Quantity(found, "kg/s").to("lb/hour").magnitude == pytest.approx(flow.to("lb/hour").magnitude)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: standard_atmosphere(9000), "altitude is 9000 m"),
        (lambda: air_from_humidity(293.15, 101_325, 50), "write 50 % as 0.5"),
        (lambda: air_from_humidity(20, 101_325, 0.5), "temperature is -253"),
        (lambda: air_from_humidity(293.15, 101.325, 0.5), "air pressure is 0.1013 kPa"),
        (lambda: air_from_dew_point(283.15, 101_325, 293.15), "dew point is 20 C"),
        (lambda: air_from_humidity(370, 101_325, 0.9), "more than half"),
        (lambda: air_demand_kg_s(0.002, 2000, 0.75, 1.2, strokes=3, n_carbs=1), "two or four strokes"),
        (lambda: air_demand_kg_s(0.002, 2000, 75, 1.2, strokes=4, n_carbs=1), "write 80 % as 0.8"),
        (lambda: air_demand_kg_s(2000, 2000, 0.75, 1.2, strokes=4, n_carbs=1), "swept volume is"),
        (lambda: air_demand_kg_s(0.002, 2000, 0.75, 1.2, strokes=4, n_carbs=0), "number of carburettors"),
        (lambda: displacement_m3(100, 0.12, 4), "bore is 1e[+]05 mm"),
        (lambda: displacement_m3(0.1, 0.12, 2.5), "whole number"),
        (lambda: dry_density_kg_m3(float("nan"), 288), "no number"),
    ],
)
def test_what_no_engine_breathes_is_refused_with_the_reason(work, says: str) -> None:
    with pytest.raises(Refused, match=says):
        work()
