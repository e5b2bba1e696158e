"""A change of fuel, as a calculation."""

from __future__ import annotations

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.work_out.calculation import answered
from floatbowl.work_out.fuel_change import FUEL_CHANGE


def figures(**told: float | str) -> dict[str, float]:
    answer, _ = answered(FUEL_CHANGE, told)
    return {figure.name: figure.value for figure in answer.figures}


def test_petrol_to_e10_is_four_in_a_hundred_of_area() -> None:
    """Computed (library): 1.0392 from 14.64 and 14.047, 745 and 749.4 kg/m3."""
    assert figures()["area_factor"] == pytest.approx(1.0392, abs=0.003)
    answer, _ = answered(FUEL_CHANGE, {})
    assert "4 in 100" in answer.says or "3.9 in 100" in answer.says


def test_the_same_fuel_asks_for_nothing() -> None:
    answer, _ = answered(FUEL_CHANGE, {"after": "petrol"})
    assert "the jet can stay" in answer.says


def test_there_and_back_is_nothing() -> None:
    there, back = figures(after="E85"), figures(before="E85", after="petrol")
    assert there["area_factor"] * back["area_factor"] == pytest.approx(1)


def test_tractor_oil_wants_a_smaller_jet_and_its_thickness_takes_some_of_that_back() -> None:
    plain = figures(after="tractor vaporising oil")
    thick = figures(after="tractor vaporising oil", jet_length_m=0.004)
    assert plain["area_factor"] < thick["area_factor"] < 1.03


def test_ethanol_as_told_goes_before_the_name() -> None:
    weak, strong = figures(after="E85", ethanol_share=0.51), figures(after="E85", ethanol_share=0.83)
    assert figures()["area_factor"] < weak["area_factor"] < strong["area_factor"] < figures(after="E85")["area_factor"]
    with pytest.raises(Refused, match="holds no ethanol"):
        answered(FUEL_CHANGE, {"after": "tractor vaporising oil", "ethanol_share": 0.1})


def test_the_doubt_of_a_batch_is_in_the_factor() -> None:
    answer, _ = answered(FUEL_CHANGE, {})
    factor = next(figure for figure in answer.figures if figure.name == "area_factor")
    assert factor.sd / factor.value == pytest.approx(0.015, rel=0.1)


def test_cold_damp_air_warns_of_ice_and_hot_air_does_not() -> None:
    cold, _ = answered(FUEL_CHANGE, {"after": "E85"})
    hot, _ = answered(FUEL_CHANGE, {"after": "petrol", "air_k": 313.15})
    assert any("Ice may form" in note for note in cold.notes)
    assert not any("Ice may form" in note for note in hot.notes)


def test_it_warns_of_what_the_fuel_attacks_and_names_who_rules() -> None:
    says = " ".join(caution.says for caution in FUEL_CHANGE.cautions)
    for word in ("hoses", "cork", "seals", "Never drill", "no flame"):
        assert word in says
    assert any("no advice on road use" in caution.rule for caution in FUEL_CHANGE.cautions)


def test_a_jet_shorter_than_the_equation_holds_is_refused() -> None:
    with pytest.raises(Refused, match="length over bore"):
        answered(FUEL_CHANGE, {"jet_length_m": 0.001})
