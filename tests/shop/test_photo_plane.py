"""Corners: those that bound something are kept, and points are carried there and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.shop.photographs.plane import CornersError, Quad, carried, corners_of, read_quad, straight_size, whole


@st.composite
def quads(draw: st.DrawFn) -> Quad:
    """The corners of a plate seen askew: a rectangle whose corners are moved by less than a third of its size."""
    off = st.floats(-90, 90)
    return [[x + draw(off), y + draw(off)] for x, y in ([300, 200], [700, 200], [700, 500], [300, 500])]


@given(quads(), st.floats(0, 400), st.floats(0, 300))
def test_a_point_carried_there_and_back_is_where_it_was(quad: Quad, x: float, y: float) -> None:
    straight = corners_of((400, 300))
    there = carried([[x, y]], straight, quad)
    back = carried(there, quad, straight)
    assert back[0] == pytest.approx([x, y], abs=0.5)


@given(quads())
def test_corners_are_carried_to_corners(quad: Quad) -> None:
    assert [p for point in carried(quad, quad, corners_of((400, 300))) for p in point] == pytest.approx(
        [0, 0, 400, 0, 400, 300, 0, 300], abs=0.02
    )


@given(quads())
def test_corners_that_bound_something_are_kept(quad: Quad) -> None:
    assert read_quad(quad, 1000, 800) == [[round(x, 2), round(y, 2)] for x, y in quad]


@given(quads(), st.integers(1, 3))
def test_corners_the_wrong_way_round_are_refused(quad: Quad, turn: int) -> None:
    with pytest.raises(CornersError):
        read_quad([*quad[turn:], *quad[:turn]][::-1], 1000, 800)


def test_corners_outside_are_put_on_the_edge() -> None:
    assert read_quad([[-5, -5], [2000, 0], [2000, 900], [0, 900]], 1000, 800) == corners_of((1000, 800))


def test_a_large_plate_is_reduced_and_keeps_its_shape() -> None:
    assert straight_size([[0, 0], [4000, 0], [4000, 1000], [0, 1000]]) == (1600, 400)
    assert straight_size([[0, 0], [400, 0], [400, 100], [0, 100]]) == (400, 100)


def test_without_a_proposal_the_corners_stand_inside() -> None:
    assert read_quad(whole(100, 50), 100, 50) == [[10, 5], [90, 5], [90, 45], [10, 45]]
