"""Forecasts of intermittent demand and its kinds against figures made elsewhere.

Series: the lubricant example of R. J. Hyndman, G. Athanasopoulos, "Forecasting: Principles and Practice", 2nd ed., as
printed on a public page. Values: statsforecast 2.1.1 (Apache-2.0), a reference implementation, not a published figure.
"""

from __future__ import annotations

import pytest

from floatbowl.shelf import classes, croston

# fmt: off
LUBRICANT = [
    0, 2, 0, 1, 0, 11, 0, 0, 0, 0, 2, 0, 6, 3, 0, 0, 0, 0, 0, 7, 0, 0, 0, 0, 0, 0, 0, 3, 1, 0, 0, 1, 0, 1, 0, 0,
]
# fmt: on


def test_croston() -> None:
    # statsforecast 2.1.1 CrostonClassic, alpha 0.1; within 1e-6.
    assert croston.croston(LUBRICANT, 0.1) == pytest.approx(0.9845965213577743, abs=1e-6)


def test_sba() -> None:
    # statsforecast 2.1.1 CrostonSBA, alpha 0.1; within 1e-6.
    assert croston.sba(LUBRICANT, 0.1) == pytest.approx(0.9353666952898856, abs=1e-6)


def test_tsb() -> None:
    # statsforecast 2.1.1 TSB(0.1, 0.05); within 1e-6.
    assert croston.tsb(LUBRICANT, 0.1, 0.05) == pytest.approx(0.6889860968898762, abs=1e-6)


def test_sizes_and_gaps() -> None:
    # By definition; exact.
    sizes, gaps = croston.decompose(LUBRICANT)
    assert sizes.tolist() == [2, 1, 11, 2, 6, 3, 7, 3, 1, 1, 1]
    assert gaps.tolist() == [2, 2, 2, 5, 2, 1, 6, 8, 1, 3, 2]


def test_cut_offs_between_kinds_of_demand() -> None:
    # Syntetos, Boylan, Croston 2005, from memory: check it before citing it. Exact.
    assert (classes.FAR_APART, classes.UNLIKE) == (1.32, 0.49)
