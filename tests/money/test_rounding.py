"""Rounding, held against what tax authorities say about it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.money.rounding import HOWS, How, rounded

PENNY = Decimal("0.01")
STEPS = st.sampled_from([Decimal("0.001"), PENNY, Decimal("0.05"), Decimal("0.5"), Decimal(1)])
AMOUNTS = st.fractions(min_value=-10_000, max_value=10_000, max_denominator=100_000)


@pytest.mark.parametrize(
    ("exact", "penny"),
    [("0.1349", "0.13"), ("0.135", "0.14"), ("0.1351", "0.14"), ("0.0049", "0.00"), ("0.005", "0.01")],
)
def test_less_than_half_a_penny_goes_down_and_half_a_penny_goes_up(exact: str, penny: str) -> None:
    """HMRC internal manual VATREC12030: less than 0.5 of a penny is rounded down, 0.5 or more up."""
    assert rounded(Fraction(exact), PENNY, "half up") == Decimal(penny)


@pytest.mark.parametrize(
    ("exact", "cent"), [("0.125", "0.12"), ("0.1251", "0.13"), ("0.005", "0.00"), ("0.0149", "0.01")]
)
def test_half_a_cent_may_be_disregarded(exact: str, cent: str) -> None:
    """New Zealand, Goods and Services Tax Act 1985 s 19O(1): up to half a cent disregarded, more shown as a cent."""
    assert rounded(Fraction(exact), PENNY, "half down") == Decimal(cent)


def test_a_line_may_be_rounded_down_to_a_tenth_of_a_penny_or_to_the_nearer_penny() -> None:
    """HMRC Notice 700 para 17.5.1: 86.76p is rounded down to 86.7p, or to the nearer penny, 87p.

    That these are allowed is said by HMRC manual VATREC12010 too; the figure 86.76p is quoted from memory.
    """
    assert rounded(Fraction("0.8676"), Decimal("0.001"), "down") == Decimal("0.867")
    assert rounded(Fraction("0.8676"), PENNY, "half up") == Decimal("0.87")


@pytest.mark.parametrize(
    ("cents", "paid"), [(1, 0), (2, 0), (3, 5), (4, 5), (5, 5), (6, 5), (7, 5), (8, 10), (9, 10), (10, 10)]
)
def test_cash_to_five_cents(cents: int, paid: int) -> None:
    """Budget of Canada 2012, "Rounding": 1, 2 cents down to 0; 3, 4 up to 5; 6, 7 down to 5; 8, 9 up to 10."""
    assert rounded(Fraction(cents, 100), Decimal("0.05")) == Decimal(paid) / 100


@pytest.mark.parametrize(("ore", "krona"), [(1, 0), (49, 0), (50, 1), (99, 1)])
def test_cash_to_a_whole_krona(ore: int, krona: int) -> None:
    """Skatteverket, Rättslig vägledning 321578 (edition 2016.13): 1 to 49 öre down, 50 to 99 up."""
    assert rounded(Fraction(ore, 100), Decimal(1)) == krona


def test_half_even_goes_to_the_even_step() -> None:
    assert [rounded(Fraction(n, 200), PENNY, "half even") for n in (1, 3, 5)] == [Decimal(0), PENNY * 2, PENNY * 2]


@settings(max_examples=50, deadline=None)
@given(AMOUNTS, STEPS, st.sampled_from(HOWS))
def test_a_rounded_amount_is_whole_steps_less_than_one_step_away(amount: Fraction, step: Decimal, how: How) -> None:
    found = rounded(amount, step, how)
    assert (Fraction(found) / Fraction(step)).denominator == 1
    away = abs(Fraction(found) - amount)
    assert away < Fraction(step)
    if how.startswith("half"):
        assert away <= Fraction(step) / 2


@settings(max_examples=50, deadline=None)
@given(AMOUNTS, STEPS, st.sampled_from(HOWS))
def test_below_nothing_it_is_the_mirror_image(amount: Fraction, step: Decimal, how: How) -> None:
    assert rounded(-amount, step, how) == -rounded(amount, step, how)


@settings(max_examples=50, deadline=None)
@given(AMOUNTS, AMOUNTS, STEPS, st.sampled_from(HOWS))
def test_more_is_never_rounded_to_less(one: Fraction, other: Fraction, step: Decimal, how: How) -> None:
    low, high = sorted((one, other))
    assert rounded(low, step, how) <= rounded(high, step, how)


@pytest.mark.parametrize("step", ["0", "-0.01", "NaN", "Infinity"])
def test_a_step_that_is_none_is_refused(step: str) -> None:
    with pytest.raises(Refused, match="no step to round to"):
        rounded(Fraction(1), Decimal(step))


def test_an_unknown_way_is_refused() -> None:
    with pytest.raises(Refused, match="write one of half up"):
        rounded(Fraction(1), PENNY, "bankers")  # type: ignore[arg-type]
