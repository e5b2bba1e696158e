"""Croston, SBA and TSB: against a general forecasting library, and what must hold of them for any series."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.classes import intermittence
from floatbowl.shelf.croston import croston, decompose, paths, sba, tsb

#: Values of statsforecast 2.1.1 (Apache-2.0), kept to full precision; the file says how they were made.
KEPT = json.loads((Path(__file__).parent / "croston_values.json").read_text(encoding="utf-8"))["cases"]
SERIES = st.lists(st.integers(0, 30), min_size=2, max_size=40).filter(any)
SMOOTHING = st.floats(0.02, 0.9)


@pytest.mark.parametrize("case", KEPT)
def test_equals_the_kept_values_of_a_general_library(case: dict) -> None:
    series = case["series"]
    assert croston(series) == pytest.approx(case["croston"], rel=1e-9)
    assert sba(series) == pytest.approx(case["sba"], rel=1e-9)
    assert tsb(series, case["alpha"], case["beta"]) == pytest.approx(case["tsb"], rel=1e-9)


def test_equals_a_general_library_where_it_is_installed() -> None:
    library = pytest.importorskip("statsforecast.models", reason="statsforecast (some 350 MB with its own) is not here")
    chance = np.random.default_rng(11)
    for _ in range(60):
        months = int(chance.integers(3, 60))
        series = chance.poisson(chance.gamma(0.7, 0.8), months) * (1 + chance.poisson(2, months))
        series[int(chance.integers(months))] = 1
        alpha, beta = chance.uniform(0.02, 0.5, 2)
        asked = series.astype(float)
        assert croston(series) == pytest.approx(library.CrostonClassic().forecast(asked, 1)["mean"][0], rel=1e-9)
        assert sba(series) == pytest.approx(library.CrostonSBA().forecast(asked, 1)["mean"][0], rel=1e-9)
        assert tsb(series, alpha, beta) == pytest.approx(
            library.TSB(alpha, beta).forecast(asked, 1)["mean"][0], rel=1e-9
        )


@given(SERIES, SMOOTHING)
def test_sba_is_croston_without_its_bias(series: list[int], alpha: float) -> None:
    assert sba(series, alpha) == pytest.approx(croston(series, alpha) * (1 - alpha / 2), rel=1e-12)


@given(SERIES, SMOOTHING, st.integers(1, 12))
def test_croston_stands_still_while_nothing_is_asked_and_tsb_falls(series: list[int], alpha: float, idle: int) -> None:
    longer = series + [0] * idle
    assert croston(longer, alpha) == croston(series, alpha)
    assert tsb(longer, alpha, 0.1) == pytest.approx(tsb(series, alpha, 0.1) * 0.9**idle, rel=1e-9)


@given(SERIES, SMOOTHING, SMOOTHING, st.integers(2, 9))
def test_in_packs_or_in_pieces_is_the_same_forecast(series: list[int], alpha: float, beta: float, pack: int) -> None:
    pieces = [pack * units for units in series]
    assert sba(pieces, alpha) == pytest.approx(pack * sba(series, alpha), rel=1e-9)
    assert tsb(pieces, alpha, beta) == pytest.approx(pack * tsb(series, alpha, beta), rel=1e-9)


@given(st.integers(1, 20), st.integers(2, 30), SMOOTHING, SMOOTHING)
def test_the_same_every_month_is_forecast_as_that(units: int, months: int, alpha: float, beta: float) -> None:
    assert croston([units] * months, alpha) == pytest.approx(units)
    assert tsb([units] * months, alpha, beta) == pytest.approx(units)


@given(SERIES)
def test_a_forecast_before_a_month_knows_only_the_months_before(series: list[int]) -> None:
    for method in ("croston", "sba", "tsb"):
        whole = paths([series], method).forecast[0]
        for month in range(1, len(series)):
            assert whole[month] == paths([series[:month]], method).forecast[0, -1]
        assert whole[0] == 0


def test_square_is_the_mean_of_what_forecasts_missed_by() -> None:
    told = paths([[0, 2, 0, 3]], "sba", 0.1)
    missed = [0 - told.forecast[0, 2], 3 - told.forecast[0, 3]]
    assert told.square[0].tolist() == pytest.approx([0, 0, 0, missed[0] ** 2, (missed[0] ** 2 + missed[1] ** 2) / 2])


@given(SERIES)
def test_sizes_and_gaps_rebuild_the_series(series: list[int]) -> None:
    sizes, gaps = decompose(series)
    rebuilt = np.zeros(len(series), int)
    rebuilt[np.cumsum(gaps) - 1] = sizes
    assert rebuilt.tolist() == series


@pytest.mark.parametrize(
    ("series", "kind"),
    [
        ([2, 2, 2, 2], "smooth"),
        ([1, 9, 1, 1], "erratic"),
        ([0, 2, 0, 0, 2], "intermittent"),
        ([0, 1, 0, 0, 9, 0, 1], "lumpy"),
    ],
)
def test_kinds_of_demand(series: list[int], kind: str) -> None:
    assert intermittence(series).kind == kind


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(Refused, match="no method"):
        paths([[1, 2]], "guess")
    with pytest.raises(Refused, match="alpha"):
        sba([1, 2], 0)
    with pytest.raises(Refused, match="none missing"):
        sba([1, float("nan")])
    with pytest.raises(Refused, match="no demand"):
        intermittence([0, 0])
