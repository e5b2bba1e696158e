"""Lengths as people write them, and shown so that they read back."""

from __future__ import annotations

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.units import MM_PER_INCH, parse_length_mm, show_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1 1/8 in", 28.575),
        ("1-1/8 in", 28.575),
        ("1 1/8", 28.575),
        ("1\u215b in", 28.575),
        ("\u00bd\u2033", 12.7),
        ("5/32", 3.96875),
        ("5/32 in.", 3.96875),
        ('2 3/8"', 60.325),
        ("2 3/8''", 60.325),
        (".156", 3.9624),
        ("0.156 in", 3.9624),
        ("156 thou", 3.9624),
        ("60.5", 60.5),
        ("60.5mm", 60.5),
        ("  60 MM ", 60.0),
        ("6 cm", 60.0),
        ("2 inches", 50.8),
        ("0", 0.0),
        ("-0.5 mm", -0.5),
    ],
)
def test_lengths_are_read(text, mm):
    assert parse_length_mm(text) == pytest.approx(mm, abs=1e-12)


def test_a_bare_number_takes_the_unit_that_is_assumed():
    assert parse_length_mm("2", assume="inch") == 50.8
    assert parse_length_mm("2") == 2.0
    assert parse_length_mm("2 mm", assume="inch") == 2.0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no length was given"),
        ("60,5", "for a decimal comma write 60.5"),
        ("60,5 mm", "for a decimal comma write 60.5"),
        ("1,000", "has a comma"),
        ("about 60", "is not a length"),
        ("60 yards", "yards is no unit of length known here"),
        ("1/0", "divides by nothing"),
        ("1 9/8 in", "the fraction is not below one"),
        ("nan", "is not a length"),
        ("inf", "is not a length"),
        ("1e999", "is not a length|no unit"),
        ("99999999 in", "is longer than 10 m"),
        ("9" * 61, "too long"),
        ("60 5", "is not a length"),
        ("1/2/3", "is not a length"),
        ("\u0663", "is not a length"),
        ("\U0001f600", "is not a length"),
    ],
)
def test_what_is_no_length_is_asked_about(text, says):
    with pytest.raises(ValueError, match=says):
        parse_length_mm(text)


@given(st.integers(0, 64 * 40))
def test_every_sixty_fourth_is_shown_as_a_fraction_and_reads_back_exactly(parts):
    mm = float(Fraction(parts, 64) * Fraction("25.4"))
    shown = show_length(mm, "inch")
    assert "." not in shown
    assert parse_length_mm(shown) == mm


@given(st.integers(0, 10_000))
def test_thousandths_read_back_to_the_thousandth(thousandths):
    mm = thousandths * MM_PER_INCH / 1000
    assert parse_length_mm(show_length(mm, "inch")) == pytest.approx(mm, abs=1e-9)


@given(st.floats(-900, 900))
def test_millimetres_read_back_to_a_hundredth(mm):
    assert parse_length_mm(show_length(mm)) == pytest.approx(mm, abs=0.00501)


@given(st.floats(-900, 900))
def test_inches_read_back_to_half_a_thousandth(mm):
    assert parse_length_mm(show_length(mm, "inch")) == pytest.approx(mm, abs=0.000501 * MM_PER_INCH)


@given(st.text(max_size=12))
def test_any_text_is_a_length_or_a_question(text):
    with contextlib.suppress(ValueError):
        assert abs(parse_length_mm(text)) <= 10_000


def test_units_that_are_not_shown_are_refused():
    with pytest.raises(ValueError, match="'yard' is no unit"):
        show_length(5.0, "yard")
    with pytest.raises(ValueError, match="no length"):
        show_length(float("nan"))
