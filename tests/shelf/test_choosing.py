"""Each shelf's own past decides which forecast it gets."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_orders import RECORDS, shelf

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.choosing import (
    POOLED,
    by_bootstrap,
    by_smoothing,
    choose,
    methods,
    ranked_probability_score,
)
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.orders import Orders, orders_from_months


@settings(max_examples=30, deadline=None)
@given(RECORDS, st.integers(1, 6))
def test_every_method_gives_chances_that_sum_to_one(record: Orders, months: int) -> None:
    for name, method in methods().items():
        table = method(record, months)
        assert table.chance.min() >= 0, name
        assert np.allclose([table.of(line).sum() for line in range(table.lines)], 1, atol=1e-9), name


@settings(max_examples=30, deadline=None)
@given(RECORDS, st.integers(1, 6))
def test_means_are_those_of_the_forecasts(record: Orders, months: int) -> None:
    units = record.monthly()
    assert np.allclose(by_bootstrap(record, months).mean(), months * units.mean(axis=1))
    smoothed = by_smoothing(record, months, "croston").mean()
    assert np.all((smoothed > 0) == (units.sum(axis=1) > 0))


def test_bootstrap_against_drawing() -> None:
    record = orders_from_months([[0, 0, 3, 1, 0, 0, 2, 0]])
    drawn = np.random.default_rng(1).choice([0, 0, 3, 1, 0, 0, 2, 0], (100_000, 3)).sum(axis=1)
    table = by_bootstrap(record, 3)
    assert table.of(0)[:10] == pytest.approx(np.bincount(drawn, minlength=10)[:10] / len(drawn), abs=0.006)


def test_score_by_hand() -> None:
    # Even chances of 0, 1, 2 and 1 came: (1/3)^2 + (2/3 - 1)^2 + 0. Past the table each unit more is one unit missed.
    table = DemandTable(np.array([0, 3]), np.full(3, 1 / 3))
    assert ranked_probability_score(table, np.array([1])) == pytest.approx([2 / 9])
    assert ranked_probability_score(table, np.array([5])) == pytest.approx([1 / 9 + 4 / 9 + 1 + 2])


@settings(max_examples=20, deadline=None)
@given(st.lists(st.floats(0.01, 1), min_size=2, max_size=8), st.lists(st.floats(0.01, 1), min_size=2, max_size=8))
def test_true_chances_score_best_on_average(true: list[float], other: list[float]) -> None:
    places = max(len(true), len(other))
    right = np.array(true + [0.0] * (places - len(true))) / sum(true)
    wrong = np.array(other + [0.0] * (places - len(other))) / sum(other)

    def score(chances: np.ndarray) -> float:
        table = DemandTable(np.array([0, places]), chances)
        return sum(right[c] * float(ranked_probability_score(table, np.array([c]))[0]) for c in range(places))

    assert score(right) <= score(wrong) + 1e-12


def test_many_slow_lines_are_told_best_together() -> None:
    choice = choose(shelf(400, 40, seed=20, shape=3.0, a_month=0.15), 4)
    assert choice.method.startswith(POOLED)
    assert choice.scores[POOLED] < choice.scores["bootstrap"]
    assert choice.scores[POOLED] < choice.scores["sba"]


def test_lines_with_habits_of_their_own_are_left_to_their_own_past() -> None:
    # Four or nothing, by turns of chance, lines very unlike one another and many months alike: bootstrap knows best.
    chance = np.random.default_rng(21)
    rows = chance.binomial(1, np.tile([0.95, 0.5, 0.05], 60)[:, None], (180, 90)) * np.tile([40, 3, 7], 60)[:, None]
    assert choose(orders_from_months(rows), 3).method == "bootstrap"


def test_a_forecast_never_sees_what_came_after() -> None:
    record = shelf(60, 40, seed=22)
    changed = record.monthly()
    changed[:, 36:] = 0
    other = orders_from_months(changed)
    for method in methods().values():
        one, two = method(orders_from_months(record.monthly()).until(36), 4), method(other.until(36), 4)
        assert np.array_equal(one.chance, two.chance)


def test_too_short_a_record_gets_the_pooled_forecast_and_says_so() -> None:
    choice = choose(shelf(50, 12, seed=23), 4)
    assert choice.method == POOLED
    assert not choice.scores
    assert "22 with orders early on are needed" in choice.why
    with pytest.raises(Refused, match="months"):
        choose(shelf(5, 12, seed=23), 0)
