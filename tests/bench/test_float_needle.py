"""Float and needle: what raises the level raises it always, and a float that cannot hold says so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench import float_needle as fn
from floatbowl.bench.float_needle import FloatGear
from floatbowl.engine.refusal import Refused

#: A middling brass float under a lid seat; a made-up case.
GEAR = FloatGear(
    float_kg=0.018,
    needle_kg=0.002,
    float_arm_m=0.040,
    weight_arm_m=0.038,
    needle_arm_m=0.010,
    seat_m=0.0025,
    waterplane_m2=12e-4,
    volume_m3=45e-6,
)
#: The same with a small float and a large seat.
SMALL = replace(GEAR, volume_m3=30e-6, seat_m=0.0045)
PETROL = 740.0


@given(extra=st.floats(0, 0.01), more=st.floats(0, 0.005))
def test_heavier_float_never_lowers_the_level(extra: float, more: float) -> None:
    lighter, heavier = (fn.level_rise_by_mass_m(mass, 12e-4, PETROL) for mass in (extra, extra + more))
    assert 0 <= lighter <= heavier


@given(lighter=st.floats(0.005, 0.02), extra=st.floats(0, 0.01))
def test_heavier_float_sits_deeper_by_its_own_formula(lighter: float, extra: float) -> None:
    light = replace(GEAR, float_kg=lighter, weight_arm_m=GEAR.float_arm_m)
    heavy = replace(light, float_kg=lighter + extra)
    deeper_m3 = fn.submerged_m3(heavy, 4_000, PETROL) - fn.submerged_m3(light, 4_000, PETROL)
    assert deeper_m3 / GEAR.waterplane_m2 == pytest.approx(
        fn.level_rise_by_mass_m(extra, GEAR.waterplane_m2, PETROL), abs=1e-12
    )


@given(pressure=st.floats(0, 10_000), rise=st.floats(0, 10_000))
def test_more_pressure_lifts_the_level_by_its_own_formula(pressure: float, rise: float) -> None:
    deeper_m3 = fn.submerged_m3(GEAR, pressure + rise, PETROL) - fn.submerged_m3(GEAR, pressure, PETROL)
    assert deeper_m3 / GEAR.waterplane_m2 == pytest.approx(
        fn.level_rise_by_pressure_m(rise, GEAR.seat_m, 0.25, GEAR.waterplane_m2, PETROL), abs=1e-12
    )


def test_moments_balance() -> None:
    submerged = fn.submerged_m3(GEAR, 5_000, PETROL)
    buoyant = PETROL * fn.GRAVITY * submerged * GEAR.float_arm_m
    load = fn.seat_force_n(GEAR.seat_m, 5_000) * GEAR.needle_arm_m
    weights = fn.GRAVITY * (GEAR.float_kg * GEAR.weight_arm_m + GEAR.needle_kg * GEAR.needle_arm_m)
    assert buoyant == pytest.approx(load + weights)


def test_needle_that_drops_on_its_seat_helps() -> None:
    down = replace(GEAR, needle_shuts="down")
    assert fn.submerged_m3(down, 5_000, PETROL) < fn.submerged_m3(GEAR, 5_000, PETROL)
    assert fn.hold(down, 5_000, PETROL).most_n > fn.hold(GEAR, 5_000, PETROL).most_n


def test_pump_beats_a_gravity_float() -> None:
    assert fn.hold(SMALL, fn.head_pa(0.6, PETROL), PETROL).holds
    held = fn.hold(SMALL, 34_474, PETROL)
    assert not held.holds
    assert held.reserve < 1


@given(part=st.floats(0.2, 0.99), over=st.floats(1.01, 1.5))
def test_gives_up_just_where_the_whole_float_is_under(part: float, over: float) -> None:
    gives_up = fn.hold(SMALL, 0, PETROL).gives_up_pa
    assert fn.submerged_m3(SMALL, part * gives_up, PETROL) < SMALL.volume_m3
    with pytest.raises(Refused, match="floods"):
        fn.submerged_m3(SMALL, over * gives_up, PETROL)


@given(old=st.floats(0.001, 0.004), more=st.floats(0, 0.003))
def test_larger_seat_lifts_the_level(old: float, more: float) -> None:
    assert fn.level_rise_by_seat_m(old, old + more, 5_000, 0.25, 12e-4, PETROL) >= 0
    back = fn.level_rise_by_seat_m(old + more, old, 5_000, 0.25, 12e-4, PETROL)
    assert back == pytest.approx(-fn.level_rise_by_seat_m(old, old + more, 5_000, 0.25, 12e-4, PETROL))


def test_lighter_fuel_stands_higher() -> None:
    assert fn.level_rise_by_density_m(GEAR, 4_000, 820, 740) > 0
    assert fn.level_rise_by_density_m(GEAR, 4_000, 740, 740) == 0


@given(lift=st.floats(0, 0.002), more=st.floats(0, 0.002))
def test_seat_flow_grows_with_lift_until_the_bore(lift: float, more: float) -> None:
    low, high = (fn.seat_flow_m3_s(0.002, each, 4_000, PETROL) for each in (lift, lift + more))
    assert low <= high <= fn.seat_flow_m3_s(0.002, 0.01, 4_000, PETROL)


def test_half_the_lift_to_the_bore_passes_half() -> None:
    # The ring round the needle is as large as the hole at a lift of a quarter of its diameter.
    whole = fn.seat_flow_m3_s(0.002, 0.0005, 4_000, PETROL)
    assert fn.seat_flow_m3_s(0.002, 0.00025, 4_000, PETROL) == pytest.approx(whole / 2)
    assert fn.seat_flow_m3_s(0.002, 0.0009, 4_000, PETROL) == pytest.approx(whole)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: fn.head_pa(9, PETROL), "head"),
        (lambda: fn.head_pa(1, 1.2), "density"),
        (lambda: fn.seat_force_n(0.05, 1_000), "seat"),
        (lambda: fn.seat_force_n(0.002, 500_000), "fuel pressure"),
        (lambda: fn.level_rise_by_mass_m(0.04, 2e-4, PETROL), "level shift"),
        (lambda: fn.fuel_demand_m3_s(1_000, 3, PETROL), "consumption"),
        (lambda: fn.submerged_m3(replace(GEAR, float_arm_m=-1), 0, PETROL), "float arm"),
        (lambda: fn.level_rise_by_force_m(float("nan"), 0.25, 12e-4, PETROL), "level shift"),
    ],
)
def test_refuses_with_the_reason(work, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Refused, match=says):
        work()
