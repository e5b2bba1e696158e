"""Where a curve, its axes and its bands stand."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from floatbowl.shop.pages.work_out.plot import BOTTOM, LEFT, RIGHT, TOP, plotted, round_ticks
from floatbowl.work_out.calculation import Curve

NUMBERS = st.floats(-1e6, 1e6)


@given(NUMBERS, st.floats(1e-3, 1e6))
def test_ticks_are_round_and_hold_the_curve(low: float, wide: float) -> None:
    ticks = round_ticks(low, low + wide)
    step = ticks[1] - ticks[0]
    assert ticks[0] <= low + 1e-6 * step
    assert ticks[-1] >= low + wide - 1e-6 * step
    assert 3 <= len(ticks) <= 8
    first = step / 10 ** math.floor(math.log10(step) + 1e-6)
    assert min(abs(first - round_one) for round_one in (1, 2, 5)) < 1e-3


@settings(max_examples=40)
@given(st.lists(st.tuples(NUMBERS, NUMBERS), min_size=2, max_size=30), st.tuples(NUMBERS, NUMBERS))
def test_everything_lies_inside_the_axes(points: list[tuple[float, float]], here: tuple[float, float]) -> None:
    plot = plotted(Curve("a", "b", tuple(points), here, ((-5.0, 5.0, "usual"), (1e7, 2e7, "never"))))
    assert plot
    assert plot.here
    for x, y in [(plot.here.x, plot.here.y), *(tuple(map(float, pair.split())) for pair in plot.path[1:].split("L"))]:
        assert LEFT <= x <= RIGHT
        assert TOP <= y <= BOTTOM
    assert all(band.x >= LEFT and band.x + band.width <= RIGHT + 0.2 for band in plot.bands)
    assert "never" not in [band.says for band in plot.bands]


def test_a_higher_figure_stands_higher_and_the_scale_is_even() -> None:
    plot = plotted(Curve("a", "b", ((0.0, 0.0), (5.0, 5.0), (10.0, 10.0))))
    assert plot
    assert plot.path == f"M{LEFT}.0 {BOTTOM}.0L{(LEFT + RIGHT) / 2} {(TOP + BOTTOM) / 2}L{RIGHT}.0 {TOP}.0"
    assert [tick.says for tick in plot.across_ticks] == ["0", "2", "4", "6", "8", "10"]


def test_the_words_of_a_band_are_always_told() -> None:
    wide = Curve(
        "a",
        "b",
        ((0.0, 0.0), (100.0, 1.0)),
        None,
        ((0.0, 50.0, "weak"), (50.0, 52.0, "strangled"), (60.0, math.inf, "none")),
    )
    plot = plotted(wide)
    assert plot
    assert [band.written for band in plot.bands] == ["weak", "2", "none"]
    assert [band.says for band in plot.bands] == ["0 to 50: weak", "50 to 52: strangled", "none"]
    assert len({band.hatch for band in plot.bands}) == 3


@given(st.floats(0, 100), st.floats(0, 100))
def test_the_word_for_here_does_not_leave_the_drawing(x: float, y: float) -> None:
    plot = plotted(Curve("a", "b", ((0.0, 0.0), (100.0, 100.0)), (x, y)))
    assert plot
    assert plot.here
    assert plot.here.text_y >= TOP - 5
    assert (plot.here.anchor == "start") is (plot.here.text_x > plot.here.x)


def test_the_word_for_here_stands_off_the_line() -> None:
    rising = plotted(Curve("a", "b", ((0.0, 0.0), (50.0, 50.0), (100.0, 100.0)), (40.0, 40.0)))
    falling = plotted(Curve("a", "b", ((0.0, 100.0), (50.0, 50.0), (100.0, 0.0)), (40.0, 60.0)))
    assert rising
    assert falling
    assert rising.here
    assert falling.here
    assert rising.here.anchor == falling.here.anchor == "start"
    assert rising.here.text_y > rising.here.y
    assert falling.here.text_y < falling.here.y


def test_a_flat_curve_and_a_single_place_across() -> None:
    flat = plotted(Curve("a", "b", ((1.0, 3.0), (2.0, 3.0))))
    assert flat
    assert "comes back to the same" in flat.shows
    assert plotted(Curve("a", "b", ((1.0, 3.0), (1.0, 4.0))))


@pytest.mark.parametrize("points", [(), ((1.0, 1.0),), ((1.0, 1.0), (math.nan, 2.0)), ((1.0, 1.0), (2.0, math.inf))])
def test_what_cannot_be_drawn_is_left_out(points: tuple[tuple[float, float], ...]) -> None:
    assert plotted(Curve("a", "b", points)) is None


@settings(max_examples=40)
@given(NUMBERS, NUMBERS)
def test_here_alone_never_breaks_the_scale(low: float, high: float) -> None:
    assume(low != high)
    assert plotted(Curve("a", "b", ((low, low), (high, high)), (low, high)))
