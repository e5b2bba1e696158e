"""The air an engine draws, as a calculation."""

from __future__ import annotations

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.work_out.air import AIR
from floatbowl.work_out.calculation import answered

#: Rajput, A Textbook of Internal Combustion Engines, example 11.1, in air near enough to the book's 1.2 kg/m3.
RAJPUT = {"bore_m": 0.1, "stroke_m": 0.12, "cylinders": 4.0, "speed_turns_s": 30.0, "filled": 0.75}


def figures(**told: float | str) -> dict[str, float]:
    answer, _ = answered(AIR, told)
    return {figure.name: figure.value for figure in answer.figures}


def test_it_gives_the_textbook_s_air_for_the_textbook_s_engine() -> None:
    """0.050894 kg/s in air of 1.2 kg/m3 (published example); here scaled by the density that the weather gives."""
    found = figures(**RAJPUT)
    assert found["air"] / found["density"] == pytest.approx(0.050894 / 1.2, rel=1e-4)
    assert found["displacement"] == pytest.approx(0.0037699, rel=1e-4)


def test_twin_carburettors_pass_half_each_and_the_sentence_says_each() -> None:
    answer, _ = answered(AIR, RAJPUT | {"carburettors": 2.0})
    assert answer.figures[0].value == pytest.approx(figures(**RAJPUT)["air"] / 2)
    assert "each carburettor" in answer.says


def test_height_heat_and_damp_take_air_away() -> None:
    base = figures(**RAJPUT)
    for worse in ({"altitude_m": 2000.0}, {"temperature_k": 308.15}, {"humidity": 1.0}):
        found = figures(**RAJPUT, **worse)
        assert found["dry"] < base["dry"]
        assert found["air"] < base["air"]


def test_every_figure_in_doubt_carries_its_doubt() -> None:
    answer, _ = answered(AIR, {})
    assert all(figure.sd > 0 for figure in answer.figures)
    # How full the strokes are is by far the most doubtful: 0.04 of 0.75.
    air = answer.figures[0]
    assert air.sd / air.value == pytest.approx(0.04 / 0.75, rel=0.1)


def test_half_a_carburettor_is_refused() -> None:
    with pytest.raises(Refused, match="whole number"):
        answered(AIR, {"carburettors": 1.5})


def test_it_warns_of_a_running_engine() -> None:
    assert any("carbon monoxide" in caution.says and caution.rule for caution in AIR.cautions)
