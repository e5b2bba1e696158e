"""The integer programme: its optimum, its bound, and what it says when there is none."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csr_matrix

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.whole_numbers import Programme, least


def programme(high: float, low: float = -np.inf, upper: float = 10.0) -> Programme:
    return Programme(
        cost=np.array([-5.0, -4.0]),
        rows=csr_matrix([[6.0, 4.0], [1.0, 2.0]]),
        low=np.array([low, -np.inf]),
        high=np.array([high, 6.0]),
        upper=np.full(2, upper),
    )


def test_whole_numbers_are_not_the_rounded_ones(capfd: pytest.CaptureFixture[str]) -> None:
    """After H. A. Taha, *Operations Research* (from memory): 21 at (3, 1.5), but 20 in whole numbers."""
    found = least(programme(24.0))
    assert found.x is not None
    assert float(np.array([5, 4]) @ found.x) == 20
    assert found.bound == pytest.approx(-20)
    assert capfd.readouterr() == ("", "")


def test_what_cannot_be_is_told_so() -> None:
    found = least(programme(24.0, low=100.0, upper=1.0))
    assert (found.x, found.possible) == (None, False)


def test_numbers_that_are_none_are_refused() -> None:
    with pytest.raises(Refused, match="is no number"):
        least(programme(float("nan")))


def test_an_empty_choice() -> None:
    none = Programme(np.zeros(0), csr_matrix((0, 0)), np.zeros(0), np.zeros(0), np.zeros(0))
    assert least(none).possible
