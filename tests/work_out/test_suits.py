"""Does this carburettor suit this engine, as a calculation."""

from __future__ import annotations

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.work_out.calculation import answered
from floatbowl.work_out.suits import SUITS


def figures(**told: float | str) -> dict[str, float]:
    answer, _ = answered(SUITS, told)
    return {figure.name: figure.value for figure in answer.figures}


def test_the_same_carburettor_runs_the_same() -> None:
    answer, _ = answered(SUITS, {})
    assert "about as rich as in the right one" in answer.says
    found = figures()
    assert found["change"] == pytest.approx(0)
    assert found["bore_factor"] == pytest.approx(1)


@pytest.mark.parametrize(("throat_m", "than"), [(0.018, "richer"), (0.028, "leaner")])
def test_a_swapped_one_is_told_in_plain_words(throat_m: float, than: str) -> None:
    answer, _ = answered(SUITS, {"this_throat_m": throat_m})
    assert than in answer.says
    assert (answer.figures[4].value > 0) == (than == "richer")


def test_a_pump_engine_s_small_carburettor_on_a_tractor_is_strangled() -> None:
    """The shop's story: a small carburettor off a pump engine on a larger one is weak under load."""
    answer, _ = answered(SUITS, {"this_throat_m": 0.015, "right_throat_m": 0.021})
    assert "strangled" in answer.says
    assert "richer" in answer.says


def test_a_jet_told_gives_the_jet_here_and_its_drills() -> None:
    answer, _ = answered(SUITS, {"this_throat_m": 0.018, "jet_m": 0.0012})
    jet = next(figure for figure in answer.figures if figure.name == "jet")
    factor = next(figure for figure in answer.figures if figure.name == "bore_factor")
    assert jet.value == pytest.approx(0.0012 * factor.value)
    assert jet.sd > 0
    assert answer.tables


def test_the_doubt_of_both_coefficients_is_in_the_change() -> None:
    answer, _ = answered(SUITS, {})
    change = next(figure for figure in answer.figures if figure.name == "change")
    # Each coefficient's 5.25 parts in 100 move the fuel by about as much: sqrt(2) of it together.
    assert change.sd == pytest.approx(0.0525 * 2**0.5, rel=0.15)


def test_a_throat_too_wide_to_lift_fuel_is_refused() -> None:
    with pytest.raises(Refused, match="before any fuel flows"):
        answered(SUITS, {"this_throat_m": 0.09, "lip_m": 0.01})
