"""Another height or weather, as a calculation."""

from __future__ import annotations

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.work_out.altitude import ALTITUDE
from floatbowl.work_out.calculation import answered


def figures(**told: float) -> dict[str, float]:
    answer, _ = answered(ALTITUDE, told)
    return {figure.name: figure.value for figure in answer.figures}


def test_the_same_place_and_weather_ask_for_nothing() -> None:
    answer, _ = answered(ALTITUDE, {"altitude_m": 100.0})
    assert "as before" in answer.says
    assert figures(altitude_m=100.0)["bore_factor"] == pytest.approx(1)


def test_in_the_standard_atmosphere_it_is_the_library_s_factor() -> None:
    """fluids 1.3.1 (library): bore factor 0.9521 at 2000 m; the standard air there is 2.00 C, at the sea 15 C."""
    standard = {"altitude_m": 2000.0, "temperature_k": 275.15, "humidity": 0.0}
    sea = {"before_altitude_m": 0.0, "before_temperature_k": 288.15, "before_humidity": 0.0}
    assert figures(**standard, **sea)["bore_factor"] == pytest.approx(0.9521, abs=2e-4)


@pytest.mark.parametrize(
    "worse", [{"altitude_m": 2500.0}, {"altitude_m": 1500.0, "temperature_k": 303.15}, {"humidity": 1.0}]
)
def test_higher_hotter_or_damper_runs_richer(worse: dict[str, float]) -> None:
    assert figures(**worse)["richer"] > figures()["richer"] - 1e-12
    assert figures(**worse)["bore_factor"] <= figures()["bore_factor"] + 1e-12


def test_down_in_the_valley_it_runs_leaner_and_says_so() -> None:
    answer, _ = answered(ALTITUDE, {"altitude_m": 0.0, "before_altitude_m": 2000.0})
    assert "leaner" in answer.says


def test_a_jet_told_gives_the_jet_there() -> None:
    answer, _ = answered(ALTITUDE, {"jet_m": 0.0012})
    jet = next(figure for figure in answer.figures if figure.name == "jet")
    assert jet.value == pytest.approx(0.0012 * figures()["bore_factor"])
    assert answer.tables


def test_the_curve_falls_with_height() -> None:
    answer, _ = answered(ALTITUDE, {})
    assert answer.curve is not None
    factors = [factor for _, factor in answer.curve.points]
    assert factors == sorted(factors, reverse=True)


def test_in_the_sky_it_is_refused() -> None:
    with pytest.raises(Refused, match="altitude"):
        answered(ALTITUDE, {"altitude_m": 9000.0})
