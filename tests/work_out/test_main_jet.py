"""The main jet for a mixture, as a calculation."""

from __future__ import annotations

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.quantities import parse_quantity
from floatbowl.work_out.calculation import answered
from floatbowl.work_out.main_jet import MAIN_JET, drill_table


def figures(**told: float | str) -> dict[str, float]:
    answer, _ = answered(MAIN_JET, told)
    return {figure.name: figure.value for figure in answer.figures}


def test_a_leaner_mixture_asks_for_a_smaller_jet_as_the_root() -> None:
    rich, lean = figures(air_share=0.8), figures(air_share=1.0)
    assert lean["bore"] / rich["bore"] == pytest.approx(0.8**0.5)
    assert lean["mixture"] / rich["mixture"] == pytest.approx(1.25)


def test_the_textbook_s_main_jet() -> None:
    """Rajput, example 11.8 (published): 1.68 mm at 13 to 1, 85 m/s without loss, Cd 0.65 and 0.82, lip 6 mm."""
    told = {
        "displacement_m3": 0.001489,
        "speed_turns_s": 70.0,
        "altitude_m": 0.0,
        "temperature_k": 293.0,
        "humidity": 0.0,
        "throat_m": 0.02961 * 0.84**0.5,
        "cd": 0.82,
        "cd_fuel": 0.65,
        "lip_m": 0.006,
        "air_share": 13 / 14.6037,
    }
    assert 1000 * figures(**told)["bore"] == pytest.approx(1.68, abs=0.01)


def test_ethanol_asks_for_a_larger_jet_than_petrol() -> None:
    assert figures(fuel_name="ethanol")["bore"] > 1.2 * figures(fuel_name="petrol")["bore"]


def test_the_curve_falls_through_this_case() -> None:
    answer, _ = answered(MAIN_JET, {})
    curve = answer.curve
    assert curve is not None
    assert curve.here is not None
    bores = [bore for _, bore in curve.points]
    assert bores == sorted(bores, reverse=True)
    assert curve.here[1] == pytest.approx(1000 * answer.figures[0].value)


def test_the_drill_table_names_each_size_with_its_error() -> None:
    table = drill_table(0.0013)
    assert len(table.rows) == 3
    for size, across, _, error in table.rows:
        bore_m = parse_quantity(across.partition(" (")[0], "length", "mm")
        assert size.startswith("#") or size.endswith("mm")
        assert float(error.partition(" ")[0]) == pytest.approx(100 * ((bore_m / 0.0013) ** 2 - 1), abs=0.8)


def test_a_throat_that_lifts_no_fuel_is_refused() -> None:
    with pytest.raises(Refused, match="no fuel flows"):
        answered(MAIN_JET, {"throat_m": 0.06, "speed_turns_s": 5.0, "lip_m": 0.02})


@pytest.mark.parametrize("share", [0.0, -0.5, 88.0])
def test_a_mixture_that_does_not_burn_is_refused(share: float) -> None:
    with pytest.raises(Refused, match="do not burn"):
        answered(MAIN_JET, {"air_share": share})


def test_the_curve_is_the_sum_at_other_mixtures() -> None:
    answer, _ = answered(MAIN_JET, {})
    assert answer.curve is not None
    across, bore_mm = answer.curve.points[-1]
    assert 1000 * figures(air_share=across / 14.603669)["bore"] == pytest.approx(bore_mm, rel=1e-6)


def test_it_says_never_to_drill_a_jet_that_is_kept() -> None:
    says = " ".join(caution.says for caution in MAIN_JET.cautions)
    assert "Never drill" in says
    assert "no flame" in says
    assert all(caution.rule for caution in MAIN_JET.cautions)
