"""The choke tube: there and back, more flow more depression, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.engine.venturi import (
    CRITICAL_RATIO,
    air_incompressible_kg_s,
    air_kg_s,
    choke_for_actual_speed_m,
    choke_for_theoretical_speed_m,
    depression_incompressible_pa,
    depression_pa,
    expanded,
    mean_speed_m_s,
    most_air_kg_s,
    throat_area_m2,
    throat_for_area_m,
)

THROATS_M = st.floats(0.012, 0.05)
CDS = st.floats(0.7, 0.95)
OUTSIDE = {"pressure_pa": 101_325.0, "temperature_k": 288.15}
PART_OF_ALL = st.floats(0.01, 0.98)


@settings(max_examples=40)
@given(THROATS_M, CDS, PART_OF_ALL, st.floats(60_000, 105_000), st.floats(250, 320), st.floats(0, 0.75))
def test_the_flow_for_the_depression_for_a_flow_is_that_flow(
    throat: float, cd: float, part: float, pressure: float, kelvin: float, beta: float
) -> None:
    area = throat_area_m2(throat)
    air = {"cd": cd, "pressure_pa": pressure, "temperature_k": kelvin, "beta": beta}
    flow = part * most_air_kg_s(area, **air)
    assert air_kg_s(depression_pa(flow, area, **air), area, **air) == pytest.approx(flow, rel=1e-8)


@settings(max_examples=40)
@given(THROATS_M, CDS, PART_OF_ALL, PART_OF_ALL)
def test_more_flow_makes_more_depression(throat: float, cd: float, one: float, other: float) -> None:
    area = throat_area_m2(throat)
    most = most_air_kg_s(area, cd=cd, **OUTSIDE)
    less, more = sorted((one * most, other * most))
    assert depression_pa(less, area, cd=cd, **OUTSIDE) <= depression_pa(more, area, cd=cd, **OUTSIDE) + 1e-6


@settings(max_examples=40)
@given(THROATS_M, THROATS_M, CDS)
def test_a_wider_throat_makes_less_depression(one: float, other: float, cd: float) -> None:
    small, large = throat_area_m2(min(one, other)), throat_area_m2(max(one, other))
    flow = 0.5 * most_air_kg_s(small, cd=cd, **OUTSIDE)
    assert depression_pa(flow, large, cd=cd, **OUTSIDE) <= depression_pa(flow, small, cd=cd, **OUTSIDE) + 1e-6


@settings(max_examples=40)
@given(THROATS_M, CDS, st.floats(1, 20_000))
def test_the_incompressible_flow_is_always_the_larger(throat: float, cd: float, drop: float) -> None:
    area, density = throat_area_m2(throat), 101_325 / (287.042 * 288.15)
    simple = air_incompressible_kg_s(drop, area, cd=cd, density_kg_m3=density)
    assert air_kg_s(drop, area, cd=cd, **OUTSIDE) <= simple
    assert depression_incompressible_pa(simple, area, cd=cd, density_kg_m3=density) == pytest.approx(drop)


def test_no_flow_draws_nothing() -> None:
    assert depression_pa(0, throat_area_m2(0.02), cd=0.8, **OUTSIDE) == pytest.approx(0, abs=1e-6)


def test_the_flow_of_sound_speed_is_the_textbook_s() -> None:
    """``m = A p0 sqrt(g/(R T0)) (2/(g+1))^((g+1)/(2(g-1)))``, any gas dynamics textbook; another form of the same."""
    area = throat_area_m2(0.02)
    expected = area * 101_325 * math.sqrt(1.4 / (287.042 * 288.15)) * (2 / 2.4) ** 3
    assert most_air_kg_s(area, cd=1.0, **OUTSIDE) == pytest.approx(expected, rel=1e-12)


@settings(max_examples=40)
@given(THROATS_M, st.floats(0, 0.9))
def test_a_throat_for_an_area_leaves_that_area_beside_its_tube(throat: float, ratio: float) -> None:
    area = throat_area_m2(throat, 0.999999 * ratio * throat)
    assert throat_for_area_m(area, 0.999999 * ratio) == pytest.approx(throat)


@settings(max_examples=40)
@given(st.floats(0.005, 0.1), st.floats(40, 110), st.floats(0.6, 1))
def test_a_choke_by_the_speed_coefficient_carries_the_flow_at_the_actual_speed(
    flow: float, speed: float, coefficient: float
) -> None:
    choke = choke_for_actual_speed_m(flow, speed, coefficient, **OUTSIDE)
    density, _ = expanded(speed / coefficient, **OUTSIDE)
    assert density * speed * math.pi / 4 * choke**2 == pytest.approx(flow)


@settings(max_examples=40)
@given(st.floats(0.005, 0.1), st.floats(40, 110), st.floats(0.6, 1))
def test_a_choke_by_the_discharge_coefficient_draws_the_depression_of_its_speed(
    flow: float, speed: float, cd: float
) -> None:
    choke = choke_for_theoretical_speed_m(flow, speed, cd, **OUTSIDE)
    drop = 101_325 - expanded(speed, **OUTSIDE)[1]
    assert air_kg_s(drop, math.pi / 4 * choke**2, cd=cd, **OUTSIDE) == pytest.approx(flow, rel=1e-6)


def test_the_two_conventions_meet_when_the_coefficient_is_one() -> None:
    by_speed = choke_for_actual_speed_m(0.05, 90, 1, **OUTSIDE)
    assert by_speed == pytest.approx(choke_for_theoretical_speed_m(0.05, 90, 1, **OUTSIDE))


def test_mean_speed_is_volume_flow_over_area() -> None:
    assert mean_speed_m_s(0.012, 0.0001, 1.2) == pytest.approx(100)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: throat_area_m2(25), "throat is 2.5e[+]04 mm"),
        (lambda: throat_area_m2(0.02, 0.019), "tube in the throat"),
        (lambda: depression_pa(0.01, throat_area_m2(0.02), cd=1.2, **OUTSIDE), r"0\.75 to 0\.90 is usual"),
        (lambda: depression_pa(-0.01, throat_area_m2(0.02), cd=0.8, **OUTSIDE), "air flow is -0.01"),
        (
            lambda: air_kg_s(101_325 * (1 - CRITICAL_RATIO) + 1, 1e-4, cd=0.8, **OUTSIDE),
            "runs at the speed of sound",
        ),
        (lambda: air_incompressible_kg_s(25_000, 1e-4, cd=0.8, density_kg_m3=1.2), "use the compressible flow"),
        (lambda: depression_incompressible_pa(0.05, 1e-4, cd=0.8, density_kg_m3=1.2), "use the compressible flow"),
        (lambda: choke_for_theoretical_speed_m(0.05, 0, 0.8, **OUTSIDE), "air speed is 0 m/s"),
        (lambda: choke_for_actual_speed_m(0.05, 220, 0.8, **OUTSIDE), "near the speed of sound"),
        (lambda: air_kg_s(1000, 1e-4, cd=0.8, pressure_pa=101.3, temperature_k=288), "air pressure is 0.1013 kPa"),
    ],
)
def test_what_no_throat_does_is_refused_with_the_reason(work, says: str) -> None:
    with pytest.raises(Refused, match=says):
        work()
