"""The rounded choice: within the rows, above its bound, and nothing better is narrowed away."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_matrix

from floatbowl.shelf.near_best import near_best
from floatbowl.shelf.whole_numbers import Programme, least


@st.composite
def programmes(draw: st.DrawFn) -> Programme:
    columns, rows = draw(st.integers(1, 6)), draw(st.integers(0, 4))
    uses = [[draw(st.integers(0, 4)) for _ in range(columns)] for _ in range(rows)]
    return Programme(
        cost=-np.array([draw(st.integers(-3, 20)) for _ in range(columns)], dtype=float),
        rows=csr_matrix(np.array(uses, dtype=float).reshape(rows, columns)),
        low=np.full(rows, -np.inf),
        high=np.array([draw(st.integers(0, 12)) for _ in range(rows)], dtype=float),
        upper=np.array([draw(st.integers(0, 4)) for _ in range(columns)], dtype=float),
    )


@settings(max_examples=40, deadline=None)
@given(programmes())
def test_it_is_allowed_and_the_best_lies_between_it_and_its_bound(programme: Programme) -> None:
    found = near_best(programme, 1.0)
    assert np.all(programme.rows @ found.x <= programme.high + 1e-9)
    assert np.all((found.x >= 0) & (found.x <= programme.upper) & (found.x == np.round(found.x)))
    best, narrowed = least(programme), least(found.narrowed)
    assert best.x is not None
    assert narrowed.x is not None
    worth = float(programme.cost @ best.x)
    assert found.bound - 1e-6 <= worth <= programme.cost @ found.x + 1e-6
    assert float(programme.cost @ narrowed.x) == pytest.approx(worth, abs=1e-4 * max(1.0, abs(worth)))


def test_what_cannot_pay_for_its_parts_is_narrowed_away() -> None:
    """A kit worth 100 and one worth 1 want the same needle: the second cannot be in any plan as good."""
    programme = Programme(
        cost=np.array([-100.0, -1.0]),
        rows=csr_matrix([[1.0, 1.0]]),
        low=np.array([-np.inf]),
        high=np.array([1.0]),
        upper=np.array([2.0, 1.0]),
    )
    found = near_best(programme, 1.0)
    assert list(found.x) == [1, 0]
    assert found.narrowed.upper[1] == 0
