"""Air speed and suction in a throat, and the throat for a speed, as calculations."""

from __future__ import annotations

import itertools

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.work_out.calculation import answered
from floatbowl.work_out.venturi import CHOKE, ON_AREA, ON_SPEED, THROAT


def figures(**told: float | str) -> dict[str, float]:
    answer, _ = answered(THROAT, told)
    return {figure.name: figure.value for figure in answer.figures}


@pytest.mark.parametrize(
    ("throat_m", "says"),
    [(0.030, "too slow"), (0.022, "slow side"), (0.019, "usual band"), (0.0145, "too fast")],
)
def test_the_sentence_says_how_the_throat_stands(throat_m: float, says: str) -> None:
    answer, _ = answered(THROAT, {"throat_m": throat_m})
    assert says in answer.says


def test_a_smaller_throat_is_faster_and_draws_harder() -> None:
    wide, narrow = figures(throat_m=0.024), figures(throat_m=0.020)
    assert narrow["speed"] / wide["speed"] == pytest.approx(1.44)
    assert narrow["suction"] > 1.44**2 * wide["suction"]
    assert narrow["air"] == wide["air"]


def test_the_curve_passes_through_this_case_and_climbs() -> None:
    answer, _ = answered(THROAT, {})
    curve = answer.curve
    assert curve is not None
    assert curve.here is not None
    assert all(a[0] < b[0] and a[1] < b[1] for a, b in itertools.pairwise(curve.points))
    below = max(point for point in curve.points if point[0] <= curve.here[0])
    above = min(point for point in curve.points if point[0] > curve.here[0])
    assert below[1] <= curve.here[1] <= above[1]
    assert all(low < high for low, high, _ in curve.bands)


def test_the_doubt_of_the_suction_is_mostly_that_of_the_coefficient_and_the_filling() -> None:
    """First order by hand: twice the parts of Cd (0.0433/0.825) and of filling (0.04/0.75), plus a little."""
    answer, _ = answered(THROAT, {})
    suction = next(figure for figure in answer.figures if figure.name == "suction")
    assert suction.sd / suction.value == pytest.approx(2 * (0.0525**2 + 0.0533**2) ** 0.5, rel=0.12)


def test_a_throat_that_cannot_pass_the_air_is_refused_in_words() -> None:
    with pytest.raises(Refused, match="can never pass more than"):
        answered(THROAT, {"throat_m": 0.010})


def test_the_conventions_are_kept_apart() -> None:
    by_area, _ = answered(CHOKE, {"coefficient_is": ON_AREA})
    by_speed, _ = answered(CHOKE, {"coefficient_is": ON_SPEED})
    assert by_area.figures[0].value > 1.05 * by_speed.figures[0].value
    assert "without loss" in by_area.says
    assert "actual" in by_speed.says


def test_the_textbook_s_choke_without_a_tube() -> None:
    """Rajput, example 11.8 (published): 1489 cm3 at 4200 rpm gives 29.61 mm with a tube of 0.4, so 29.61 sqrt(1-0.16)
    without; in this weather within half a percent.
    """
    told = {"displacement_m3": 0.001489, "speed_turns_s": 70.0, "altitude_m": 0.0, "temperature_k": 293.0}
    answer, _ = answered(CHOKE, told)
    assert 1000 * answer.figures[0].value == pytest.approx(29.61 * 0.84**0.5, rel=0.005)
