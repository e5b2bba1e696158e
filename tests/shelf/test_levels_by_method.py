"""Levels under forecasts that tell units only: the same rules hold, and what is promised comes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_orders import RECORDS, shelf

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.choosing import by_bootstrap, methods
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.levels import Timing, levels_at, levels_for_target
from floatbowl.shelf.levels_by_method import gains_by_method, laid_out
from floatbowl.shelf.orders import Orders, orders_from_months
from floatbowl.shelf.replay import replay

TIMING = Timing(lead_months=3, review_months=1)


@settings(max_examples=15, deadline=None)
@given(RECORDS, st.sampled_from(sorted(methods())), st.floats(1, 500), st.floats(1, 10), st.floats(0, 1))
def test_more_worth_never_lowers_a_level(record: Orders, name: str, worth: float, times: float, weight: float) -> None:
    gain = gains_by_method(methods()[name], record, np.ones(record.lines), TIMING)
    assert np.all(levels_at(gain, worth * times, weight).level >= levels_at(gain, worth, weight).level)
    assert levels_at(gain, 1e9, weight).lines_filled <= 1 + 1e-9
    assert levels_at(gain, 1e9, weight).value_filled <= 1 + 1e-6


def test_what_is_promised_is_what_comes() -> None:
    # Months all alike, 80 known: bootstrap's assumption. Months with demand ask a little more than months at large.
    units = shelf(600, 140, seed=31, a_month=1.2).monthly()
    price = np.exp(np.random.default_rng(32).normal(1, 0.5, len(units)))
    gain = gains_by_method(by_bootstrap, orders_from_months(units).until(80), price, TIMING)
    levels = levels_for_target(gain, 0.85)
    came = replay(units, np.tile(levels.level, (60, 1)), first_month=80, lead_months=3, score_from=86)
    assert came.share_of_value(price) == pytest.approx(levels.value_filled, abs=0.03)
    assert came.money(price) == pytest.approx(levels.money, rel=0.05)
    assert levels.lines_filled - 0.1 < came.share_of_lines() <= levels.lines_filled + 0.01


def test_laid_out_keeps_all_chances() -> None:
    table = DemandTable(np.array([0, 3, 5]), np.array([0.2, 0.3, 0.5, 0.9, 0.1]))
    moved = laid_out(table, np.array([0, 2, 6]))
    assert moved.chance.tolist() == pytest.approx([0.2, 0.8, 0.9, 0.1, 0, 0])


def test_broken_months_are_refused() -> None:
    record = orders_from_months([[1, 0, 2]])
    with pytest.raises(Refused, match="must be whole months"):
        gains_by_method(by_bootstrap, record, np.ones(1), Timing(lead_months=2.5))
