"""Amounts: exact, of one currency, and never guessed from what was typed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, amount, currencies, nothing

POUNDS = st.decimals(min_value=-(10**9), max_value=10**9, places=2)


def test_a_binary_fraction_is_refused() -> None:
    with pytest.raises(Refused, match="no exact amount"):
        Amount(0.1, "GBP")  # type: ignore[arg-type]


@pytest.mark.parametrize("value", ["NaN", "Infinity"])
def test_what_is_no_number_is_refused(value: str) -> None:
    with pytest.raises(Refused, match="no exact amount"):
        Amount(Decimal(value), "GBP")


def test_two_currencies_are_never_added_or_compared() -> None:
    one, other = amount("1.00", "GBP"), amount("1.00", "EUR")
    with pytest.raises(Refused, match="two currencies"):
        one + other
    with pytest.raises(Refused, match="two currencies"):
        one < other  # noqa: B015
    assert one != other


def test_an_unknown_currency_names_those_that_are_known() -> None:
    with pytest.raises(Refused, match=r"'XYZ' is no currency known here; write one of .*GBP"):
        amount("1.00", "XYZ")


@pytest.mark.parametrize("typed", ["1.234,50", "1 234.50", "", "twelve", "1e3", "NaN", "--1", "1.", "١٢"])
def test_what_could_be_read_two_ways_or_none_is_refused(typed: str) -> None:
    with pytest.raises(Refused, match="write digits with a decimal point"):
        amount(typed, "GBP")


def test_ten_tenths_are_one() -> None:
    assert sum([amount("0.10", "GBP")] * 10, nothing("GBP")) == amount("1.00", "GBP")


@pytest.mark.parametrize(
    ("typed", "code", "written"),
    [
        ("1234.5", "GBP", "1,234.50 GBP"),
        ("-0.00", "GBP", "0.00 GBP"),
        ("1234", "JPY", "1,234 JPY"),
        ("0.125", "GBP", "0.125 GBP"),
    ],
)
def test_written_with_the_places_of_its_currency_and_nothing_hidden(typed: str, code: str, written: str) -> None:
    assert str(amount(typed, code)) == written


def test_cash_of_a_bill_with_tax() -> None:
    """Budget of Canada 2012, "Rounding": 1.83 and 2.86 come to 4.92 with 5 % tax; 4.90 is paid in cash."""
    assert amount("4.92", "CAD").in_cash() == amount("4.90", "CAD")


def test_every_currency_says_where_its_figures_come_from() -> None:
    assert all(each.cash_step >= each.step > 0 and each.name for each in currencies().values())


@settings(max_examples=50, deadline=None)
@given(POUNDS, POUNDS)
def test_what_is_added_and_taken_away_leaves_what_was_there(one: Decimal, other: Decimal) -> None:
    a, b = Amount(one, "GBP"), Amount(other, "GBP")
    assert a + b - b == a
    assert -(a - b) == b - a
    assert (a < b) == (one < other)
