"""The main jet: directions that must hold, there and back, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from floatbowl.engine.air import air_from_humidity
from floatbowl.engine.metering import (
    air_fuel_ratio,
    altitude_jet_factor,
    bore_change,
    depression_for_fuel_pa,
    fuel_kg_s,
    jet_area_m2,
    jet_diameter_m,
    least_air_speed_m_s,
    least_depression_pa,
    level_effect,
    mixture_behind_cleaner,
    mixture_in_other_air,
    same_mixture_factor,
    setting_left_turns,
)
from floatbowl.engine.refusal import Refused
from floatbowl.engine.venturi import air_incompressible_kg_s

BORES_M = st.floats(0.0005, 0.003)
DEPRESSIONS_PA = st.floats(200, 20_000)
LIPS_M = st.floats(0, 0.01)
PETROL = {"cd": 0.7, "fuel_kg_m3": 745.0}


@settings(max_examples=40)
@given(st.floats(-400, 6000), st.floats(-400, 6000))
def test_more_altitude_never_asks_for_a_larger_jet(one: float, other: float) -> None:
    low, high = sorted((one, other))
    factor = altitude_jet_factor(high, low)
    assert factor.area <= 1
    assert factor.area == pytest.approx(factor.diameter**2)
    assert altitude_jet_factor(low, high).area == pytest.approx(1 / factor.area)


@settings(max_examples=40)
@given(DEPRESSIONS_PA, BORES_M, LIPS_M)
def test_the_depression_for_the_fuel_of_a_depression_is_that_depression(dp: float, bore: float, lip: float) -> None:
    assume(dp > least_depression_pa(lip, 745) + 1)
    flow = fuel_kg_s(dp, jet_area_m2(bore), lip_m=lip, **PETROL)
    assert depression_for_fuel_pa(flow, jet_area_m2(bore), lip_m=lip, **PETROL) == pytest.approx(dp)
    assert jet_diameter_m(flow, dp, lip_m=lip, **PETROL) == pytest.approx(bore)


@settings(max_examples=40)
@given(LIPS_M, BORES_M)
def test_no_fuel_flows_below_the_depression_that_lifts_it(lip: float, bore: float) -> None:
    least = least_depression_pa(lip, 745)
    assert fuel_kg_s(0.999 * least, jet_area_m2(bore), lip_m=lip, **PETROL) == 0
    assert fuel_kg_s(least + 1, jet_area_m2(bore), lip_m=lip, **PETROL) > 0


@settings(max_examples=40)
@given(DEPRESSIONS_PA, DEPRESSIONS_PA, LIPS_M)
def test_a_plain_jet_richens_as_the_depression_grows(one: float, other: float, lip: float) -> None:
    low, high = sorted((one, other))
    assume(low > least_depression_pa(lip, 745) + 1)
    figures = {"cd_air": 0.82, "cd_fuel": 0.7, "air_kg_m3": 1.2, "fuel_kg_m3": 745, "lip_m": lip}
    assert air_fuel_ratio(high, 4e-4, 1e-6, **figures) <= air_fuel_ratio(low, 4e-4, 1e-6, **figures) * (1 + 1e-12)


@settings(max_examples=40)
@given(DEPRESSIONS_PA, BORES_M)
def test_the_mixture_is_air_flow_over_fuel_flow(dp: float, bore: float) -> None:
    air = air_incompressible_kg_s(dp, 4e-4, cd=0.82, density_kg_m3=1.2)
    fuel = fuel_kg_s(dp, jet_area_m2(bore), **PETROL)
    found = air_fuel_ratio(dp, 4e-4, jet_area_m2(bore), cd_air=0.82, cd_fuel=0.7, air_kg_m3=1.2, fuel_kg_m3=745)
    assert found == pytest.approx(air / fuel)


@settings(max_examples=40)
@given(st.floats(250, 20_000), LIPS_M, LIPS_M)
def test_a_higher_level_never_gives_less_fuel(dp: float, one: float, other: float) -> None:
    high_fuel, low_fuel = sorted((one, other))
    assert level_effect(dp, low_fuel, high_fuel, 745) >= 0
    assert level_effect(dp, high_fuel, low_fuel, 745) <= 0


def test_a_small_change_of_level_follows_the_first_order_rule() -> None:
    dp, lip, rise = 1000.0, 0.005, 0.0002
    rule = 745 * 9.80665 * rise / (2 * (dp - least_depression_pa(lip, 745)))
    assert level_effect(dp, lip, lip - rise, 745) == pytest.approx(rule, rel=0.01)


@settings(max_examples=40)
@given(st.floats(273, 313), st.floats(80_000, 104_000), st.floats(0, 1), st.floats(0, 1))
def test_damper_weather_never_asks_for_a_larger_jet(kelvin: float, pa: float, one: float, other: float) -> None:
    dry, damp = (air_from_humidity(kelvin, pa, humidity) for humidity in sorted((one, other)))
    factor = same_mixture_factor(
        damp.density_kg_m3,
        dry.density_kg_m3,
        dry_kg_m3=damp.dry_density_kg_m3,
        dry_before_kg_m3=dry.dry_density_kg_m3,
    )
    assert factor.area <= 1 + 1e-12


@settings(max_examples=40)
@given(st.floats(0.6, 1.4), st.floats(0.6, 1.4), st.floats(9, 18))
def test_the_jet_factor_undoes_what_other_air_does_to_the_mixture(one: float, other: float, ratio: float) -> None:
    factor = same_mixture_factor(one, other, dry_kg_m3=one, dry_before_kg_m3=other)
    assert mixture_in_other_air(ratio, one, other) / factor.area == pytest.approx(ratio)


@settings(max_examples=40)
@given(st.floats(500, 20_000), st.floats(0, 10_000), st.floats(0, 10_000))
def test_a_dirtier_cleaner_never_leans_an_outside_vented_bowl(throat: float, one: float, other: float) -> None:
    clean, dirty = sorted((one, other))
    assert mixture_behind_cleaner(14, throat, dirty) <= mixture_behind_cleaner(14, throat, clean)
    assert mixture_behind_cleaner(14, throat, 0) == 14


def test_a_jet_drilled_from_110_to_126_passes_about_a_third_more() -> None:
    """Worked by hand: (1.26/1.10)^2 = 1.3121."""
    assert bore_change(1.26e-3, 1.10e-3) == pytest.approx(0.3121, abs=1e-4)


@settings(max_examples=40)
@given(BORES_M, st.floats(-0.01, 0.01))
def test_the_flow_error_is_twice_the_bore_error(bore: float, error: float) -> None:
    assert bore_change(bore * (1 + error), bore) == pytest.approx(2 * error, abs=1.1e-4)


@settings(max_examples=40)
@given(st.floats(0, 0.5), st.floats(0, 0.5), st.floats(0.1, 0.9))
def test_a_larger_drilled_jet_leaves_less_setting(one: float, other: float, share: float) -> None:
    less, more = sorted((one, other))
    left, right = setting_left_turns(less, 1.5, share), setting_left_turns(more, 1.5, share)
    assert right <= left
    assert setting_left_turns(0, 1.5, share) == 1.5


def test_a_setting_that_is_left_gives_the_old_flow_again() -> None:
    """Jet 0.7 and needle 0.3 of the fuel; the jet now passes 31 in 100 more."""
    left = setting_left_turns(0.31, 1.5, 0.3)
    assert 0.7 * 1.31 + 0.3 * left / 1.5 == pytest.approx(1)
    assert setting_left_turns(0.5, 1.5, 0.3) < 0


def test_the_least_air_speed_draws_just_the_depression_that_lifts() -> None:
    speed = least_air_speed_m_s(0.004, 745, 1.2)
    assert 0.5 * 1.2 * speed**2 == pytest.approx(least_depression_pa(0.004, 745))


def test_the_jet_factor_of_an_area_is_its_root_in_diameter() -> None:
    assert altitude_jet_factor(1500).diameter == math.sqrt(altitude_jet_factor(1500).area)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: jet_area_m2(1.3), r"jet bore is 1300 mm; it must be between 0\.2 and 10 mm"),
        (lambda: jet_diameter_m(0.001, 20, lip_m=0.005, **PETROL), "no fuel flows"),
        (lambda: jet_diameter_m(1.0, 1000, lip_m=0.005, **PETROL), "check flow and suction"),
        (lambda: least_depression_pa(-0.002, 745), "floods"),
        (lambda: fuel_kg_s(1000, 1e-6, cd=0.7, fuel_kg_m3=0.745), "fuel density is 0.745"),
        (lambda: level_effect(40, 0.006, 0.003, 745), "no fuel flows"),
        (lambda: altitude_jet_factor(12_000), "altitude is"),
        (lambda: mixture_behind_cleaner(14, 0, 100), "suction of the throat"),
        (
            lambda: same_mixture_factor(1.1, 1.2, dry_kg_m3=1.15, dry_before_kg_m3=1.2),
            "cannot exceed the whole",
        ),
        (lambda: setting_left_turns(0.3, 1.5, 0), "share of the fuel"),
        (lambda: setting_left_turns(0.3, 1.5, 30), "write 30 % as 0.3"),
    ],
)
def test_what_no_jet_does_is_refused_with_the_reason(work, says: str) -> None:
    with pytest.raises(Refused, match=says):
        work()
