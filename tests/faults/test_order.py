"""Which check first."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.faults.order import Check, expected_cost, in_order

SHARES = st.lists(st.integers(1, 20), min_size=1, max_size=5)
COSTS = st.lists(st.floats(0.1, 60), min_size=5, max_size=5)


@given(SHARES, COSTS)
def test_no_other_order_costs_less(shares: list[int], costs: list[float]) -> None:
    checks = [Check(str(place), share / sum(shares), costs[place]) for place, share in enumerate(shares)]
    least = min(map(expected_cost, permutations(checks)))
    assert expected_cost(in_order(checks)) == pytest.approx(least, rel=1e-9)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(Refused, match="cost of plugs"):
        in_order([Check("plugs", 0.3, 0)])
    with pytest.raises(Refused, match="together"):
        expected_cost([Check("plugs", 0.7, 1), Check("tank", 0.7, 1)])
