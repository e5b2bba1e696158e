"""Doubt carried through: first order agrees with a library and with simulation, and a refusal beside it is no end."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from floatbowl.engine.doubt import Doubtful, first_order, simulated
from floatbowl.engine.refusal import Refused, within

FIGURES = st.floats(0.5, 20)
SHARES = st.floats(0.001, 0.05)


def _mixture(a: float, b: float, c: float) -> float:
    return a**2 * b / (c + 1)


@given(st.tuples(FIGURES, FIGURES, FIGURES), st.tuples(SHARES, SHARES, SHARES))
def test_it_is_what_the_library_uncertainties_says(figures: tuple[float, ...], shares: tuple[float, ...]) -> None:
    values = dict(zip("abc", figures, strict=True))
    sds = {name: share * values[name] for name, share in zip("abc", shares, strict=True)}
    theirs = _mixture(*(ufloat(values[name], sds[name]) for name in "abc"))
    ours = first_order(_mixture, values, sds)
    assert ours.value == pytest.approx(theirs.n, rel=1e-12)
    assert ours.sd == pytest.approx(theirs.s, rel=1e-5)


def test_simulation_gives_about_the_same() -> None:
    values, sds = {"a": 3.0, "b": 5.0, "c": 2.0}, {"a": 0.03, "b": 0.1, "c": 0.05}
    draws = simulated(_mixture, values, sds, draws=20_000, seed=7)
    ours = first_order(_mixture, values, sds)
    assert np.mean(draws) == pytest.approx(ours.value, abs=0.1 * ours.sd)
    assert np.std(draws) == pytest.approx(ours.sd, rel=0.03)


def test_beside_a_refusal_the_slope_is_one_sided() -> None:
    def root(x: float) -> float:
        return math.sqrt(within("x", x, 1.0, 4.0) + 1)

    assert first_order(root, {"x": 1.0}, {"x": 0.01}).sd == pytest.approx(0.01 / (2 * math.sqrt(2)), rel=1e-3)
    assert first_order(root, {"x": 4.0}, {"x": 0.01}).sd == pytest.approx(0.01 / (2 * math.sqrt(5)), rel=1e-3)
    with pytest.raises(Refused, match="x is 5"):
        first_order(root, {"x": 5.0}, {"x": 0.01})


def test_squeezed_between_two_refusals_it_says_so() -> None:
    with pytest.raises(Refused, match="no doubt can be carried"):
        first_order(lambda x: within("x", x, 1.0, 1.0), {"x": 1.0}, {"x": 0.1})


@given(st.floats(-5, 5), st.floats(0.01, 3), st.floats(-5, 5), st.floats(0, 3))
def test_the_chance_above_a_limit_falls_as_the_limit_rises(value: float, sd: float, limit: float, more: float) -> None:
    figure = Doubtful(value, sd)
    assert 0 <= figure.chance_above(limit + more) <= figure.chance_above(limit) <= 1


def test_nineteen_in_twenty_lie_between_low_and_high() -> None:
    figure = Doubtful(10.0, 2.0)
    assert figure.chance_above(figure.low) - figure.chance_above(figure.high) == pytest.approx(0.95, abs=1e-6)


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (0.0, "above 0 and at most 2 m"),
        (2.5, "above 0 and at most 2 m"),
        (math.nan, "no number"),
        (math.inf, "no number"),
    ],
)
def test_a_refusal_names_figure_and_range(value: float, told: str) -> None:
    with pytest.raises(Refused, match=told):
        within("throat", value, 0, 2, "m", open_low=True)
