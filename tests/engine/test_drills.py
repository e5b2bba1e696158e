"""Drills: the table is whole and falls steadily, and every choice carries its error in area."""

from __future__ import annotations

import itertools
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.drills import area_error, drills_beside, nearest_drills, number_drill_mm, number_drills_mm
from floatbowl.engine.refusal import Refused

BORES_M = st.floats(0.0002, 0.010)


def test_the_table_runs_from_1_to_80_and_falls_steadily() -> None:
    sizes = number_drills_mm()
    assert list(sizes) == [f"#{n}" for n in range(1, 81)]
    falling = list(sizes.values())
    assert all(large > small for large, small in itertools.pairwise(falling))


@pytest.mark.parametrize(
    ("drill", "inches"),
    [
        ("#80", 0.0135),  # read on a public page
        ("#1", 0.228),  # read on a public page
        ("#54", 0.055),  # read in US Army TM 5-3810-294-34, table 1-4
        ("#68", 0.031),  # read in US Army TM 5-3810-294-34
        ("#28", 0.1405),  # ASME B94.11M from memory
        ("#60", 0.040),  # read in a public domain table of 2007
        ("#7", 0.201),  # read on a public page: tap drill for 1/4-20
        ("#41", 0.096),  # read on a public page: 2.438 mm
    ],
)
def test_known_drills(drill: str, inches: float) -> None:
    assert number_drill_mm(drill) == pytest.approx(inches * 25.4, abs=1e-9)


@pytest.mark.parametrize("written", ["#54", "54", "No. 54", "no 54", " NO.54 ", "number 54"])
def test_a_drill_is_found_as_people_write_it(written: str) -> None:
    assert number_drill_mm(written) == number_drill_mm("#54")


@pytest.mark.parametrize("written", ["#0", "#81", "A", "", "5.4", "-54"])
def test_what_is_no_number_drill_is_refused(written: str) -> None:
    with pytest.raises(Refused, match="no number drill known here"):
        number_drill_mm(written)


def test_number_drills_are_coarse_in_the_jet_range() -> None:
    """Computed: from #50 to #75 a step in area is 9 in 100 at the middle, and up to 25 (from #56 to #55)."""
    sizes = [number_drill_mm(f"#{n}") for n in range(50, 76)]
    steps = [100 * area_error(large, small) for large, small in itertools.pairwise(sizes)]
    assert statistics.median(steps) == pytest.approx(9, abs=1)
    assert max(steps) == pytest.approx(25, abs=0.5)
    assert 100 * area_error(number_drill_mm("#55"), number_drill_mm("#56")) == max(steps)


@settings(max_examples=40)
@given(BORES_M)
def test_no_drill_of_its_series_is_nearer_than_the_one_named(bore: float) -> None:
    for choice in nearest_drills(bore):
        assert choice.area_error == pytest.approx((choice.diameter_m / bore) ** 2 - 1)
        if choice.series == "number":
            others = [mm / 1000 for mm in number_drills_mm().values()]
        else:
            step = 0.00005 if choice.series == "metric 0.05" else 0.00001
            others = [choice.diameter_m + n * step for n in (-1, 1) if choice.diameter_m + n * step > 1e-9]
        assert all(abs(choice.area_error) <= abs(area_error(other, bore)) + 1e-9 for other in others)


@settings(max_examples=40)
@given(BORES_M)
def test_the_best_is_named_first_and_a_hundredth_is_never_far_off(bore: float) -> None:
    errors = [abs(choice.area_error) for choice in nearest_drills(bore)]
    assert errors == sorted(errors)
    assert errors[0] <= 2.1 * 0.000005 / bore


@settings(max_examples=40)
@given(st.floats(0.00035, 0.0057))
def test_the_drills_on_either_side_enclose_the_bore(bore: float) -> None:
    below, above = drills_beside(bore)
    assert below is not None
    assert above is not None
    assert below.diameter_m <= bore < above.diameter_m
    number = next(choice for choice in nearest_drills(bore) if choice.series == "number")
    assert number in (below, above)


def test_beyond_the_series_there_is_no_number_drill() -> None:
    assert {choice.series for choice in nearest_drills(0.008)} == {"metric 0.05", "metric 0.01"}
    assert drills_beside(0.0002)[0] is None
    assert drills_beside(0.008)[1] is None


def test_millimetres_given_for_metres_are_refused() -> None:
    with pytest.raises(Refused, match="no jet is made outside this range"):
        nearest_drills(1.3)
