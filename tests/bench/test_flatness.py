"""Flatness: tilt is no warp, the doubt of a grid is that of a simulation, nonsense is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.flatness import Feelers, by_feelers, by_grid, joint, joints
from floatbowl.engine.refusal import Refused

GRID = [(x, y) for x in (0.0, 0.03, 0.06) for y in (0.0, 0.02, 0.04)]
slopes = st.floats(-0.02, 0.02)


@given(across=slopes, along=slopes, height=st.floats(-0.01, 0.01))
def test_a_tilted_flat_face_is_flat(across: float, along: float, height: float) -> None:
    found = by_grid([(x, y, height + across * x + along * y) for x, y in GRID], 1e-6)
    assert found.value == pytest.approx(0, abs=1e-12)


@given(across=slopes, along=slopes, bow=st.floats(0, 0.001))
def test_tilt_and_order_leave_the_warp_alone(across: float, along: float, bow: float) -> None:
    bowed = [(x, y, bow * (x / 0.03 - 1) ** 2) for x, y in GRID]
    tilted = [(x, y, z + across * x + along * y) for x, y, z in reversed(bowed)]
    assert by_grid(bowed, 1e-6).value == pytest.approx(bow, abs=1e-9)
    assert by_grid(tilted, 1e-6).value == pytest.approx(bow, abs=1e-9)


def test_doubt_of_a_grid_agrees_with_a_simulation() -> None:
    # One corner up and one side down, far more than one height's doubt; 3,000 draws, seed fixed.
    chance, sd = np.random.default_rng(5), 3e-6
    warped = [(x, y, 2e-4 * (x > 0.05 and y > 0.03) - 1.5e-4 * (x < 0.01 and y == 0.02)) for x, y in GRID]
    found = by_grid(warped, sd)
    draws = [by_grid([(x, y, z + sd * chance.standard_normal()) for x, y, z in warped], sd).value for _ in range(3_000)]
    assert np.std(draws) == pytest.approx(found.sd, rel=0.08)


def test_worst_line_decides() -> None:
    lines = [Feelers(0, 5e-5), Feelers(1e-4, 1.5e-4, "long side"), Feelers(5e-5, 1e-4)]
    found, worst = by_feelers(lines)
    assert worst.where == "long side"
    assert found.value == pytest.approx(1.25e-4)
    assert found.chance_above(joint("flange").limit_m) > 0.9


def test_limits_are_the_measuring_tables_and_sourced() -> None:
    # Measuring table, common practice from memory: flange .004 in (0.10 mm), bowl .003 to .004 in (0.08 to 0.10 mm).
    assert joint("flange").limit_m == pytest.approx(0.10e-3)
    assert (joint("bowl").least_limit_m, joint("bowl").limit_m) == pytest.approx((0.08e-3, 0.10e-3))
    assert all(one.source for one in joints().values())


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: by_feelers([Feelers(0, 5e-5)]), "at least 3"),
        (lambda: by_feelers([Feelers(1e-4, 5e-5)] * 3), "measure again"),
        (lambda: by_feelers([Feelers(-1e-4, 5e-5)] * 3), "leaf that enters"),
        (lambda: by_feelers([Feelers(0.05, 0.06)] * 3), "leaf that enters"),
        (lambda: by_grid([(0, 0, 0), (1, 0, 0), (0, 1, 0)], 1e-6), "at least 4"),
        (lambda: by_grid([(x, x, 0) for x in (0, 0.01, 0.02, 0.03)], 1e-6), "in one line"),
        (lambda: by_grid([(0, 0, 0)] * 5, 1e-6), "in one line"),
        (lambda: by_grid([(x, y, 50 * x * y) for x, y in GRID], 1e-6), "units of the heights"),
        (lambda: by_grid([(0, 0, float("nan")), (1, 0, 0), (0, 1, 0), (1, 1, 0)], 1e-6), "no number"),
        (lambda: joint("exhaust"), "no limit"),
    ],
)
def test_refuses_with_the_reason(work, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Refused, match=says):
        work()
