"""A figure with its doubt in words."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from floatbowl.engine.doubt import COVER_95
from floatbowl.quantities import kinds, parse_quantity, units_of
from floatbowl.work_out.calculation import Figure
from floatbowl.work_out.spoken import plain, si_unit, spoken, unit_in

SIZES = st.floats(1e-5, 0.2)


def length(mm: float, sd_mm: float = 0.0) -> Figure:
    return Figure("size", "Size", mm / 1000, "length", "mm", sd_mm / 1000)


@pytest.mark.parametrize(
    ("figure", "mm", "inch"),
    [
        (length(28.57, 0.1), "28.6 mm, give or take 0.2", "1.125 in, give or take .008"),
        (length(12.7), "12.7 mm", "1/2 in"),
        (length(0.13, 0.01), "0.13 mm, give or take 0.02", ".0051 in, give or take .0008"),
        (length(1.0, 0.3), "between 0.4 and 1.6 mm", "between .016 and .063 in"),
        (length(0.1, 0.3), "0.1 mm, give or take 0.6", ".00 in, give or take .02"),
        (length(0.0), "0 mm", "0 in"),
    ],
)
def test_lengths_in_both_units(figure: Figure, mm: str, inch: str) -> None:
    assert spoken(figure) == mm
    assert spoken(figure, "inch") == inch


@pytest.mark.parametrize(
    ("figure", "says"),
    [
        (Figure("p", "Suction", 4447.61, "pressure", "kPa", 61.0), "4.45 kPa, give or take 0.12"),
        (Figure("p", "Share", 0.2, "share", "in 100", 0.05), "between 10 and 30 in 100"),
        (Figure("t", "Warmth", 293.15, "temperature", "F", 1.0), "68 F, give or take 4"),
        (Figure("n", "Turns", 1.5, "turns", "turns", 0.02), "1.50 turns, give or take 0.04"),
        (Figure("m", "Flow", 12345.0, "number", "", 700.0), "12300, give or take 1400"),
        (Figure("l", "Shift", -0.001, "length", "mm", 0.00002), "-1.00 mm, give or take 0.04"),
    ],
)
def test_other_kinds_keep_their_unit(figure: Figure, says: str) -> None:
    assert spoken(figure, "inch" if figure.kind != "length" else "mm") == says


@given(SIZES, st.floats(1e-4, 0.08))
def test_what_is_said_is_within_half_a_last_place_of_the_figure(value: float, share: float) -> None:
    sd = share * value
    told = re.fullmatch(r"([\d.]+) mm, give or take ([\d.]+)", spoken(Figure("x", "X", value, "length", "mm", sd)))
    assert told
    size, half = map(float, told.groups())
    assert math.isclose(half, COVER_95 * sd * 1000, rel_tol=0.34)
    assert abs(size - value * 1000) <= 0.35 * half


@given(SIZES, st.floats(0.2, 0.5))
def test_a_range_covers_95_in_100(value: float, share: float) -> None:
    sd = share * value
    low, high = value - COVER_95 * sd, value + COVER_95 * sd
    assume(low > 0.002 * value)
    told = re.fullmatch(r"between ([\d.]+) and ([\d.]+) mm", spoken(Figure("x", "X", value, "length", "mm", sd)))
    assert told
    assert float(told[1]) == pytest.approx(low * 1000, abs=0.2 * sd * 1000)
    assert float(told[2]) == pytest.approx(high * 1000, abs=0.2 * sd * 1000)


@given(st.floats(1e-4, 0.2), st.sampled_from(["mm", "in"]))
def test_a_plain_length_reads_back(value: float, unit: str) -> None:
    back = parse_quantity(plain(value, "length", unit), "length", "mm")
    assert back == pytest.approx(value, abs=1.3e-5 if unit == "in" else 5.1e-6)


def test_every_kind_has_an_si_unit_and_only_bench_lengths_follow_the_choice() -> None:
    assert all(si_unit(kind) for kind in kinds())
    turned = {(kind, unit) for kind in kinds() for unit in units_of(kind) if unit_in(kind, unit, "inch") != unit}
    assert turned == {("length", unit) for unit in ("mm", "cm", "um", "thou")}


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_no_number_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="Size is no number"):
        spoken(Figure("size", "Size", value, "length", "mm"))
