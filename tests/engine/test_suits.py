"""A swapped carburettor beside the right one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.air import air_demand_kg_s
from floatbowl.engine.doubt import simulated
from floatbowl.engine.metering import fuel_kg_s
from floatbowl.engine.refusal import Refused
from floatbowl.engine.suits import USUAL_CD, USUAL_CD_SD, Breathing, Throat, band, compare, signal
from floatbowl.engine.venturi import depression_pa

ENGINE = Breathing(air_kg_s=air_demand_kg_s(0.002, 1800, 0.75, 1.225, strokes=4, n_carbs=1), air_kg_m3=1.225)
FUEL = {"lip_m": 0.002, "fuel_kg_m3": 745.0}
THROATS_M = st.floats(0.018, 0.034)


def test_the_same_carburettor_suits() -> None:
    found = compare(ENGINE, Throat(throat_m=0.022), Throat(throat_m=0.022), **FUEL)
    assert found.speed_ratio == 1
    assert found.fuel_change.value == pytest.approx(0)
    assert found.jet_area_factor == pytest.approx(1)


@settings(max_examples=40)
@given(THROATS_M, THROATS_M)
def test_a_smaller_throat_runs_faster_and_richer_with_the_same_jet(one: float, other: float) -> None:
    small, large = sorted((one, other))
    found = compare(ENGINE, Throat(throat_m=small), Throat(throat_m=large), **FUEL)
    assert found.speed_ratio >= 1
    assert found.fuel_change.value >= -1e-12
    assert found.jet_area_factor <= 1 + 1e-12
    assert found.this.depression_pa.value >= found.right.depression_pa.value - 1e-6


@settings(max_examples=40)
@given(THROATS_M, THROATS_M)
def test_the_jet_factor_gives_the_right_fuel_back(one: float, other: float) -> None:
    """By the flows themselves: the corrected jet in this throat passes what the right one passes."""
    found = compare(ENGINE, Throat(throat_m=one), Throat(throat_m=other), **FUEL)
    jet = {"cd": 0.7, "fuel_kg_m3": 745.0, "lip_m": 0.002}
    right = fuel_kg_s(found.right.depression_pa.value, 1e-6, **jet)
    assert fuel_kg_s(found.this.depression_pa.value, 1e-6 * found.jet_area_factor, **jet) == pytest.approx(right)


@settings(max_examples=40)
@given(THROATS_M, st.floats(0.001, 0.006))
def test_a_tube_in_the_throat_counts_as_lost_area(throat: float, tube: float) -> None:
    bare, filled = signal(ENGINE, Throat(throat_m=throat)), signal(ENGINE, Throat(throat_m=throat, tube_m=tube))
    assert filled.speed_m_s > bare.speed_m_s
    assert filled.depression_pa.value > bare.depression_pa.value


def test_the_doubt_of_the_depression_is_that_of_a_simulation() -> None:
    """First order against 4,000 draws of the coefficient of discharge."""
    throat = Throat(throat_m=0.022)

    def depression(cd: float) -> float:
        return depression_pa(ENGINE.air_kg_s, throat.area_m2, cd=cd, pressure_pa=101_325, temperature_k=288.15)

    drawn = simulated(depression, {"cd": USUAL_CD}, {"cd": USUAL_CD_SD}, 4000, seed=3)
    assert signal(ENGINE, throat).depression_pa.sd == pytest.approx(drawn.std(), rel=0.1)


@pytest.mark.parametrize(
    ("speed", "says"),
    [(39.9, "weak"), (50, "low"), (60, "usual"), (110, "usual"), (115, "high"), (120.1, "strangled")],
)
def test_bands_of_speed(speed: float, says: str) -> None:
    """Common practice, from memory: weak below 40, usual 60 to 110, strangled above 120 m/s."""
    assert band(speed) == says


def test_a_throat_that_can_never_pass_the_air_is_refused() -> None:
    big = Breathing(air_kg_s=0.06, air_kg_m3=1.225)
    with pytest.raises(Refused, match="can never pass more than"):
        signal(big, Throat(throat_m=0.018))


def test_a_throat_too_wide_to_lift_fuel_is_refused_by_name() -> None:
    small = Breathing(air_kg_s=0.0005, air_kg_m3=1.225)
    with pytest.raises(Refused, match=r"this carburettor draws .* before any fuel flows"):
        compare(small, Throat(throat_m=0.034), Throat(throat_m=0.012), **FUEL)
