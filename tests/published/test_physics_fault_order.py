"""The order of checks against a worked case."""

from __future__ import annotations

import pytest

from floatbowl.faults.order import Check, expected_cost, in_order


def test_expected_cost_of_repair_in_order_of_likelihood_over_cost() -> None:
    # Computed by hand; rule: Kadane & Simon 1977, Heckerman, Breese & Rommelse 1995. Tolerance 0.001.
    cases = zip((0.4, 0.3, 0.2, 0.1), (30, 5, 10, 2), strict=True)
    checks = [Check(f"check {place}", likelihood, cost) for place, (likelihood, cost) in enumerate(cases)]
    assert expected_cost(in_order(checks)) == pytest.approx(24.4, abs=0.001)
