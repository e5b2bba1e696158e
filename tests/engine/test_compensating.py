"""Compensating jets: only directions are held, for the models were not held against measurements."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.compensating import well_fed_kg_s, with_air_bleed, with_well_fed_jet
from floatbowl.engine.metering import fuel_kg_s
from floatbowl.engine.refusal import Refused

PETROL = {"cd": 0.7, "fuel_kg_m3": 745.0}
DEPRESSIONS_PA = st.floats(200, 15_000)
MAIN = 1.3e-6
NOZZLE = 6e-6


@settings(max_examples=40)
@given(DEPRESSIONS_PA, DEPRESSIONS_PA)
def test_a_well_fed_jet_makes_the_sum_richen_less(one: float, other: float) -> None:
    low, high = (with_well_fed_jet(dp, MAIN, 8e-7, 0.02, **PETROL) for dp in sorted((one, other)))
    assert high.fuel_kg_s / low.fuel_kg_s <= high.plain_fuel_kg_s / low.plain_fuel_kg_s + 1e-12
    assert high.change <= low.change + 1e-12


@settings(max_examples=40)
@given(DEPRESSIONS_PA, st.floats(0, 1.5e-6), st.floats(0, 1.5e-6))
def test_more_air_bled_is_leaner(dp: float, one: float, other: float) -> None:
    less, more = (with_air_bleed(dp, MAIN, NOZZLE, bleed, air_kg_m3=1.2, **PETROL) for bleed in sorted((one, other)))
    assert more.fuel_kg_s <= less.fuel_kg_s * (1 + 1e-9)
    assert more.change <= 1e-9


def test_without_bleed_jet_and_nozzle_in_line_pass_what_two_orifices_in_line_do() -> None:
    """Closed form: equal Cd in line act as the area 1/sqrt(1/A1^2 + 1/A2^2)."""
    found = with_air_bleed(3000, MAIN, NOZZLE, 0.0, air_kg_m3=1.2, **PETROL)
    together = (MAIN**-2 + NOZZLE**-2) ** -0.5
    assert found.fuel_kg_s == pytest.approx(fuel_kg_s(3000, together, **PETROL))
    assert found.change == 0


def test_air_bleed_leaves_fuel_and_air_balanced_at_the_nozzle() -> None:
    """Worked backwards from the fuel: the well's pressure, the bleed air, the nozzle's flow must agree."""
    bleed, dp = 4e-7, 3000.0
    fuel = with_air_bleed(dp, MAIN, NOZZLE, bleed, air_kg_m3=1.2, **PETROL).fuel_kg_s
    well_pa = (fuel / (0.7 * MAIN)) ** 2 / (2 * 745)
    air = 0.7 * bleed * (2 * 1.2 * well_pa) ** 0.5
    mixed = (fuel + air) / (fuel / 745 + air / 1.2)
    assert 0.7 * NOZZLE * (2 * mixed * (dp - well_pa)) ** 0.5 == pytest.approx(fuel + air, rel=1e-6)


def test_every_result_says_that_it_is_not_validated() -> None:
    for found in (
        with_air_bleed(3000, MAIN, NOZZLE, 3e-7, air_kg_m3=1.2, **PETROL),
        with_well_fed_jet(3000, MAIN, 8e-7, 0.02, **PETROL),
    ):
        assert not found.validated
        assert "direction and size order only" in found.says


def test_the_well_fed_jet_does_not_know_the_depression() -> None:
    """Torricelli by hand: 0.7 x 1e-6 m2 x 745 kg/m3 x sqrt(2 x 9.80665 x 0.02)."""
    assert well_fed_kg_s(1e-6, 0.02, **PETROL) == pytest.approx(3.2662e-4, rel=1e-4)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: with_air_bleed(10, MAIN, NOZZLE, 0, air_kg_m3=1.2, **PETROL), r"suction is 0\.01 kPa"),
        (lambda: with_air_bleed(60, MAIN, NOZZLE, 0, air_kg_m3=1.2, lip_m=0.01, **PETROL), "the lip asks for"),
        (lambda: with_air_bleed(3000, MAIN, NOZZLE, 2 * NOZZLE, air_kg_m3=1.2, **PETROL), "bleed area"),
        (lambda: with_well_fed_jet(0, MAIN, 8e-7, 0.02, **PETROL), "nothing to compare with"),
        (lambda: well_fed_kg_s(1e-6, 2, **PETROL), "head over the jet"),
    ],
)
def test_what_is_outside_is_refused_with_the_reason(work, says: str) -> None:
    with pytest.raises(Refused, match=says):
        work()
