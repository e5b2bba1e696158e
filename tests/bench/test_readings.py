"""Repeated readings: mean and doubt, contradictions, and no matter in which order."""

from __future__ import annotations

import math

import pytest
from bench_shop import reading, rows
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import studentized_range

from floatbowl.bench.readings import CRITICAL_RANGE, combined, unread_places
from floatbowl.bench.taking import Taken

ROWS = rows(float_shape="twin")
LEVEL = ROWS["float_level"].measure


def level(value_m: float, sd: float = 0.0001, tool: str = "caliper") -> Taken:
    return Taken(measure="float_level", place="", value=value_m, sd=sd, tool=tool, text="")


def test_equal_tools_give_the_mean_and_the_spread_falls_with_the_root() -> None:
    (both,) = combined(LEVEL, [level(0.0160), level(0.0161)])
    assert both.figure.value == pytest.approx(0.01605)
    assert both.figure.sd == pytest.approx(0.0001 / math.sqrt(2))
    assert not both.contradict


def test_a_finer_tool_weighs_more() -> None:
    (both,) = combined(LEVEL, [level(0.0160, 0.0003, "steel rule"), level(0.0161, 0.0001)])
    assert both.figure.value == pytest.approx(0.01609)


def test_two_readings_that_the_tool_cannot_explain_contradict() -> None:
    near, far = [level(0.0160), level(0.01625)], [level(0.0160), level(0.0163)]
    assert not combined(LEVEL, near)[0].contradict
    assert "differ by more than the tool explains" in combined(LEVEL, far)[0].contradict


def test_critical_ranges_are_the_95_in_100_points_of_the_studentised_range() -> None:
    for count, factor in enumerate(CRITICAL_RANGE[:5], start=2):
        assert factor == pytest.approx(studentized_range.ppf(0.95, count, 1e5), abs=0.01)


def test_a_difference_is_the_greatest_less_the_least_with_both_doubts() -> None:
    row = ROWS["shaft_wear"]
    taken = [
        reading(row, text, place, "micrometer")
        for text, place in zip(("8", "7.9", "7.97"), row.measure.places, strict=True)
    ]
    (wear,) = combined(row.measure, taken)
    assert wear.figure.value == pytest.approx(0.0001)
    assert wear.figure.sd == pytest.approx(0.005e-3 * math.sqrt(2))
    assert combined(row.measure, taken[:1]) == ()


def test_places_that_want_readings_are_named() -> None:
    row = ROWS["float_twin_level"]
    assert unread_places(row.measure, [reading(row, "15.9", "left half")]) == ("right half",)
    assert unread_places(LEVEL, [level(0.016)]) == ("",)
    assert unread_places(LEVEL, [level(0.016)] * 2) == ()


READINGS = st.lists(
    st.tuples(st.floats(0.015, 0.017), st.sampled_from([0.0001, 0.0002, 0.00005])), min_size=1, max_size=6
)


@given(READINGS, st.randoms())
def test_the_order_of_readings_does_not_matter(values, random) -> None:
    taken = [level(value, sd) for value, sd in values]
    mixed = list(taken)
    random.shuffle(mixed)
    assert combined(LEVEL, taken) == combined(LEVEL, mixed)


@given(READINGS)
def test_the_mean_lies_among_the_readings_and_is_surer_than_each(values) -> None:
    (whole,) = combined(LEVEL, [level(value, sd) for value, sd in values])
    assert min(v for v, _ in values) - 1e-12 <= whole.figure.value <= max(v for v, _ in values) + 1e-12
    assert whole.figure.sd <= min(sd for _, sd in values) + 1e-15
