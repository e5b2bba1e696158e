"""Float and needle against worked figures. Provenance: closed forms, computed apart from the code tested."""

from __future__ import annotations

import pytest

from floatbowl.bench import float_needle


def test_level_rises_with_the_head_of_a_gravity_tank() -> None:
    # Computed: 0.3 m of head against none, 2.5 mm seat, arm ratio 0.25, 12 cm2, 745 kg/m3; 0.307 mm.
    head_pa = float_needle.head_pa(0.3, 745)
    rise_m = float_needle.level_rise_by_pressure_m(head_pa, 0.0025, 0.25, 12e-4, 745)
    assert rise_m * 1e3 == pytest.approx(0.307, abs=0.005)


def test_level_rises_with_solder_on_the_float() -> None:
    # Computed: 3 g at the float's middle, whatever the lever; 3.356 mm.
    assert float_needle.level_rise_by_mass_m(0.003, 12e-4, 745) * 1e3 == pytest.approx(3.356, abs=0.01)


@pytest.mark.parametrize("lift_m", [0.0005, 0.001, 0.003])
def test_open_seat_under_gravity(lift_m: float) -> None:
    # Computed: 2 mm seat, fully open from a lift of d/4 = 0.5 mm, head 0.3 m, Cd 0.62; 17.01 l/h.
    flow = float_needle.seat_flow_m3_s(0.002, lift_m, float_needle.head_pa(0.3, 745), 745, cd=0.62)
    assert flow * 3.6e6 == pytest.approx(17.01, abs=0.05)


def test_fuel_an_engine_burns() -> None:
    # Computed: 25 kW, 0.35 kg/kWh, 745 kg/m3; 11.74 l/h.
    assert float_needle.fuel_demand_m3_s(25_000, 0.35, 745) * 3.6e6 == pytest.approx(11.74, abs=0.01)


@pytest.mark.parametrize(("pressure_pa", "force_n"), [(5_000, 0.04), (5 * 6894.757, 0.28)])
def test_force_on_a_needle(pressure_pa: float, force_n: float) -> None:
    # Worked out in the shop's measuring table: 3.2 mm seat, 5 kPa gravity and 5 psi pump.
    assert float_needle.seat_force_n(0.0032, pressure_pa) == pytest.approx(force_n, abs=0.005)


def test_head_of_petrol() -> None:
    # Worked out in the shop's measuring table: 740 kg/m3; 7.26 kPa, 1.05 psi a metre, 0.32 psi a foot.
    assert float_needle.head_pa(1, 740) == pytest.approx(7260, abs=5)
    assert float_needle.head_pa(1, 740) / 6894.757 == pytest.approx(1.05, abs=0.005)
    assert float_needle.head_pa(0.3048, 740) / 6894.757 == pytest.approx(0.32, abs=0.005)


def test_flow_that_25_horsepower_needs() -> None:
    # Worked out in the shop's measuring table: 25 hp x 0.6 lb/hp h / 6.17 lb a US gallon; 153 ml/min.
    bsfc_kg_kwh = 0.6 * 0.45359237 / 0.745699872
    density = 6.17 * 0.45359237 / 3.785411784e-3
    flow = float_needle.fuel_demand_m3_s(25 * 745.699872, bsfc_kg_kwh, density)
    assert flow * 6e7 == pytest.approx(153, abs=0.5)
