"""The last-time buy, against the textbook's example and by counting chances."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.last_buy import demand_still_to_come, last_buy


def test_the_textbooks_example() -> None:
    """L. V. Snyder, Z.-J. M. Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., example 4.7: 8 for a mean of 6."""
    assert last_buy(6, 6, short_costs=4, left_costs=1).enough == 8


def test_what_is_had_and_the_pack_count() -> None:
    found = last_buy(6, 6, short_costs=4, left_costs=1, have=3, pack=4)
    assert (found.enough, found.buy) == (8, 8)
    assert found.chance == pytest.approx(math.fsum(math.exp(-6) * 6**n / math.factorial(n) for n in range(12)))
    assert last_buy(6, 6, short_costs=4, left_costs=1, have=9).buy == 0


@settings(max_examples=50, deadline=None)
@given(st.floats(0.1, 60), st.floats(1, 6), st.floats(0.1, 50), st.floats(0.1, 50))
def test_enough_is_the_least_that_is_enough_often_enough(mean: float, ratio: float, short: float, left: float) -> None:
    found = last_buy(mean, mean * ratio, short_costs=short, left_costs=left)
    ratio_wanted = short / (short + left)
    assert found.chance >= ratio_wanted - 1e-9
    if found.enough:
        # With as many on hand as are one too few, nothing bought: their chance is below what is wanted.
        one_less = last_buy(mean, mean * ratio, short_costs=1e-9, left_costs=1.0, have=found.enough - 1)
        assert one_less.chance < ratio_wanted + 1e-9


@settings(max_examples=50, deadline=None)
@given(st.floats(1, 40), st.floats(1.1, 6))
def test_more_spread_never_needs_less_when_a_sale_is_dear(mean: float, ratio: float) -> None:
    dear = {"short_costs": 19.0, "left_costs": 1.0}
    assert last_buy(mean, mean * ratio, **dear).enough >= last_buy(mean, mean, **dear).enough - 1


@settings(max_examples=50, deadline=None)
@given(st.floats(0, 100), st.floats(0, 30), st.floats(0.001, 0.6))
def test_falling_demand_is_the_sum_of_its_moments(per_year: float, years: float, falls: float) -> None:
    steps = 2000
    width = years / steps
    summed = math.fsum(per_year * (1 - falls) ** (width * (n + 0.5)) * width for n in range(steps))
    assert demand_still_to_come(per_year, years, falls) == pytest.approx(summed, rel=1e-4, abs=1e-9)


def test_no_demand_buys_nothing() -> None:
    assert last_buy(0, 0, short_costs=4, left_costs=1).buy == 0


@pytest.mark.parametrize(
    "wrong", [{"mean": -1.0}, {"short_costs": 0.0}, {"left_costs": -1.0}, {"pack": 0}, {"have": -1}]
)
def test_what_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    right: dict[str, float] = {"mean": 6, "variance": 6, "short_costs": 4, "left_costs": 1}
    with pytest.raises(Refused):
        last_buy(**{**right, **wrong})  # type: ignore[arg-type]
