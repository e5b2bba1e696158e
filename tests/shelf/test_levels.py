"""Levels: what they promise is what comes, and more is never less."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_orders import RECORDS, shelf

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.compound import Sizes
from floatbowl.shelf.counts import Pooling
from floatbowl.shelf.demand import Demand, expect
from floatbowl.shelf.levels import (
    Gains,
    Timing,
    gains,
    levels_at,
    levels_for_budget,
    levels_for_target,
    next_unit,
    suggested,
)
from floatbowl.shelf.orders import Orders
from floatbowl.shelf.replay import replay

TIMING = Timing(lead_months=3, review_months=1)
PLAIN = Pooling(discount=1.0, size_discount=1.0, correct=False)


def _gains(record: Orders, seed: int = 0) -> Gains:
    price = np.exp(np.random.default_rng(seed).normal(1, 1, record.lines))
    return gains(expect(record, PLAIN), price, TIMING)


@settings(max_examples=20, deadline=None)
@given(RECORDS, st.floats(0.05, 0.9), st.floats(0.0, 0.08), st.floats(0, 1), st.integers(0, 5))
def test_a_higher_target_never_stocks_less(record: Orders, low: float, more: float, weight: float, seed: int) -> None:
    gain = _gains(record, seed)
    lower = levels_for_target(gain, low, value_weight=weight)
    higher = levels_for_target(gain, low + more, value_weight=weight)
    assert np.all(higher.level >= lower.level)
    assert higher.money >= lower.money - 1e-9
    assert lower.lines_filled >= low


@settings(max_examples=30, deadline=None)
@given(RECORDS, st.floats(0.1, 500), st.floats(1, 20), st.floats(0, 1))
def test_more_worth_never_lowers_a_level(record: Orders, worth: float, times: float, weight: float) -> None:
    gain = _gains(record)
    assert np.all(levels_at(gain, worth * times, weight).level >= levels_at(gain, worth, weight).level)


@settings(max_examples=30, deadline=None)
@given(RECORDS, st.floats(0.3, 0.95), st.floats(0.3, 0.95))
def test_the_guard_of_value_holds_and_leaves_alone_what_holds_it(record: Orders, target: float, value: float) -> None:
    gain = _gains(record)
    guarded = levels_for_target(gain, target, least_value_filled=value)
    assert guarded.lines_filled >= target
    assert guarded.value_filled >= value
    plain = levels_for_target(gain, target)
    if plain.value_filled >= value:
        assert guarded.level.tolist() == plain.level.tolist()


def test_on_a_shelf_of_many_lines_the_guard_costs_money_and_the_less_the_lower_it_is() -> None:
    gain = _gains(shelf(400, 40, seed=14))
    plain = levels_for_target(gain, 0.9)
    money = [levels_for_target(gain, 0.9, least_value_filled=least).money for least in (0.86, 0.9, 0.93)]
    assert plain.value_filled < 0.86
    assert plain.money < money[0] < money[1] < money[2]
    assert money[0] < levels_for_target(gain, 0.9, value_weight=1.0).money


@settings(max_examples=30, deadline=None)
@given(RECORDS, st.floats(0, 1000), st.floats(0, 200))
def test_a_budget_is_kept_and_more_money_fills_more(record: Orders, money: float, more: float) -> None:
    gain = _gains(record)
    small, large = levels_for_budget(gain, money), levels_for_budget(gain, money + more)
    assert small.money <= money
    assert large.lines_filled >= small.lines_filled - 1e-12
    assert np.all(large.level >= small.level)


def _one_line(orders_a_month: float, price: float = 10.0, months: float = 30.0) -> Gains:
    """One line whose orders are for one or two, beside another that never changes."""
    sizes = Sizes(
        own_start=np.zeros(3, np.int64),
        own_size=np.array([], np.int64),
        own_count=np.array([]),
        group=np.array([0, 0]),
        group_start=np.array([0, 2]),
        group_size=np.array([1, 2]),
        group_share=np.array([0.8, 0.2]),
        weight=np.array([1.0]),
    )
    none = np.zeros(2)
    demand = Demand(
        shape=np.array([orders_a_month, 0.5]) * months,
        months=np.full(2, months),
        sizes=sizes,
        groups=(),
        own_orders=none,
        own_months=none,
        missed_by=1.0,
    )
    return gains(demand, np.array([price, 10.0]), TIMING)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.02, 3), st.floats(1.0, 4.0), st.floats(1, 3000))
def test_more_demand_never_lowers_a_level_at_the_same_worth_of_an_order(
    rate: float, times: float, worth: float
) -> None:
    # The same money for one order filled, whatever else is on the shelf.
    slow, quick = _one_line(rate), _one_line(rate * times)
    at_slow = levels_at(slow, worth * slow.orders.sum())
    at_quick = levels_at(quick, worth * quick.orders.sum())
    assert at_quick.level[0] >= at_slow.level[0]
    assert at_quick.level[1] == at_slow.level[1]


@settings(max_examples=20, deadline=None)
@given(st.floats(0.05, 3), st.floats(1, 50), st.floats(1.01, 5), st.floats(1, 3000))
def test_a_dearer_line_is_never_stocked_more(rate: float, price: float, dearer: float, worth: float) -> None:
    cheap, dear = _one_line(rate, price), _one_line(rate, price * dearer)
    assert levels_at(dear, worth).level[0] <= levels_at(cheap, worth).level[0]


def _played(record: Orders, level: np.ndarray, first: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Orders at chance moments of their months, monthly reviews, lead time 3: of every line the orders filled whole,
    units filled, and units on hand on average, all after the first six months."""
    chance = np.random.default_rng(seed)
    filled, given, on_hand = (np.zeros(record.lines) for _ in range(3))
    by_line = [np.flatnonzero((record.line == line) & (record.month >= first)) for line in range(record.lines)]
    for line, entries in enumerate(by_line):
        events = [(float(month), -1, 0) for month in range(first, record.months)]
        events += [(float(record.month[k] + chance.random()), 0, int(record.quantity[k])) for k in entries]
        shelf_now, waiting, coming, last = int(level[line]), 0, [], float(first)
        for moment, kind, units in sorted(events):
            if moment >= first + 6:
                on_hand[line] += shelf_now * (moment - max(last, first + 6))
            last = moment
            if kind < 0:
                came = sum(number for at, number in coming if at <= moment)
                coming = [(at, number) for at, number in coming if at > moment]
                shelf_now, waiting = shelf_now + max(0, came - waiting), max(0, waiting - came)
                more = int(level[line]) - (shelf_now - waiting + sum(number for _, number in coming))
                coming += [(moment + 3, more)] if more > 0 else []
            else:
                sold = min(units, shelf_now)
                shelf_now, waiting = shelf_now - sold, waiting + units - sold
                if moment >= first + 6:
                    filled[line] += sold == units
                    given[line] += sold
        on_hand[line] += shelf_now * (record.months - last)
    return filled, given, on_hand / (record.months - first - 6)


def test_what_is_promised_is_what_comes() -> None:
    # Where the assumptions hold: 60 months known, 60 played order by order. Tolerances: some four standard errors.
    record = shelf(1200, 120, seed=8)
    price = np.exp(np.random.default_rng(9).normal(1, 0.7, record.lines))
    gain = gains(expect(record.until(60), PLAIN), price, TIMING)
    levels = levels_for_target(gain, 0.85)
    filled, given, on_hand = _played(record, levels.level, 60, seed=1)
    late = record.month >= 66
    units = np.bincount(record.line[late], record.quantity[late], minlength=record.lines)
    assert filled.sum() / late.sum() == pytest.approx(levels.lines_filled, abs=0.012)
    assert (given * price).sum() / (units * price).sum() == pytest.approx(levels.value_filled, abs=0.02)
    assert (on_hand * price).sum() == pytest.approx(levels.money, rel=0.03)


def test_the_marginal_rule_beats_one_level_for_all() -> None:
    gain = _gains(shelf(300, 40, seed=10))
    best = levels_for_target(gain, 0.9)
    for units in range(1, 12):
        at = np.minimum(gain.start[:-1] + units, gain.start[1:] - 1)
        filled = float((gain.filled[at] * gain.line_weight()).sum())
        money = float((gain.on_hand[at] * gain.price).sum())
        assert filled < 0.9 or money > best.money


def test_next_units_are_worth_less_than_the_exchange() -> None:
    gain = _gains(shelf(100, 30, seed=11))
    levels = levels_at(gain, 200.0)
    assert np.all(next_unit(gain, levels) <= 1 / 200.0 + 1e-12)
    assert next_unit(gain, levels).max() > 0


def test_what_is_coming_is_not_ordered_again() -> None:
    gain = _gains(shelf(3, 30, seed=12))
    levels = levels_for_target(gain, 0.9)
    nothing = np.zeros(3, np.int64)
    assert suggested(levels, nothing, nothing, nothing).tolist() == levels.level.tolist()
    assert suggested(levels, levels.level, nothing, nothing).tolist() == [0, 0, 0]
    assert suggested(levels, nothing, levels.level, nothing + 1).tolist() == [1, 1, 1]
    assert suggested(levels, levels.level + 5, nothing, nothing).tolist() == [0, 0, 0]


def test_a_replay_by_hand() -> None:
    # Level 2, lead time 1: month 0 sells 1 of 2; month 1 asks 2, there is 1 (the order of month 0 was for nothing yet);
    # month 2: what was ordered at the start of month 1 (1) goes to the one waiting, 0 on the shelf; month 3: 2 came.
    units = np.array([[1, 2, 0, 1]])
    came = replay(units, np.full((4, 1), 2), first_month=0, lead_months=1, score_from=0)
    assert came.lines.tolist() == [3]
    assert came.lines_filled.tolist() == [2]
    assert came.units_filled.tolist() == [3]
    # Before and after each month: 2 and 1, 1 and 0, 0 and 0, 2 and 1: a quarter of 1.5 + 0.5 + 0 + 1.5.
    assert came.on_hand.tolist() == [0.875]


def test_what_cannot_be_is_refused() -> None:
    gain = _gains(shelf(5, 20, seed=13))
    with pytest.raises(Refused, match="line 1 costs 0; a price must be above 0"):
        gain.at_prices(np.array([1.0, 0.0, 1.0, 1.0, 1.0]))
    with pytest.raises(Refused, match="2 prices for 5 lines"):
        gain.at_prices(np.array([1.0, 2.0]))
    with pytest.raises(Refused, match="target"):
        levels_for_target(gain, 1.2)
    with pytest.raises(Refused, match="levels are"):
        replay(np.zeros((5, 10), np.int64), np.zeros((3, 5), np.int64), 6, 3, 6)
