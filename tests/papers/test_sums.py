"""Money as it is written on papers."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.money.amount import Amount, currencies, currency
from floatbowl.money.lines import Line, totals
from floatbowl.money.tax import NO_TAX, Rate, TaxRule
from floatbowl.papers.sums import MINUS, count, figure, money, price_rows, rate_in_words, sums

STANDARD, ZERO = Rate("standard", Decimal(20)), Rate("zero", Decimal(0))
KIT = Line(says="Full kit", quantity=Decimal(1), unit_price=Decimal("1200"), rate=STANDARD)
SEATS = Line(
    says="Needle seat", quantity=Decimal(2), unit_price=Decimal("6.125"), rate=ZERO, discount_percent=Decimal(10)
)
EXACT = st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-(10**20), max_value=10**20)


def read_back(written: str) -> Decimal:
    return Decimal(written.replace(",", "").replace(MINUS, "-"))


@settings(max_examples=40)
@given(value=EXACT, code=st.sampled_from(sorted(currencies())))
def test_a_figure_reads_back_as_the_same_amount_with_its_currencys_places(value: Decimal, code: str) -> None:
    written = figure(Amount(value, code))
    assert read_back(written) == value
    assert len(written.partition(".")[2]) >= currency(code).places
    assert ("." in written) == (currency(code).places > 0 or value != value.to_integral_value())
    assert all(len(group) == 3 for group in written.lstrip(MINUS).partition(".")[0].split(",")[1:])


@settings(max_examples=40)
@given(value=st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**12), max_value=10**12))
def test_how_many_reads_back_as_the_same(value: Decimal) -> None:
    assert read_back(count(value)) == value
    assert not count(value).endswith(".")


def test_more_digits_than_a_decimal_reckons_with_are_all_written() -> None:
    assert figure(Amount(Decimal("1234567890123456789012345678901.25"), "GBP")).endswith("345,678,901.25")


def test_an_amount_and_its_currency_stay_on_one_line() -> None:
    assert money(Amount(Decimal("-12.5"), "GBP")) == "−12.50\xa0GBP"


def test_two_rates_of_the_same_percentage_are_told_apart() -> None:
    assert rate_in_words(ZERO) != rate_in_words(replace(ZERO, name="exempt"))


def test_a_line_shows_its_list_price_its_discount_and_what_it_comes_to() -> None:
    (row,) = price_rows((SEATS,), "GBP", (("bore 3.2 mm",),))
    assert (row.quantity, row.each, row.off, row.amount) == ("2", "6.125", "10\xa0% off", "11.03")
    assert row.sizes == ("bore 3.2 mm",)


def test_sizes_that_are_not_as_many_as_the_lines_are_refused() -> None:
    with pytest.raises(ValueError, match="sizes for 1 lines, but there are 2"):
        price_rows((KIT, SEATS), "GBP", (("bore 3.2 mm",),))


@pytest.mark.parametrize(
    ("rule", "taxed", "said", "in_all"),
    [
        (TaxRule(prices="before tax"), True, "before tax", "1,451.03"),
        (TaxRule(prices="with tax"), True, "has its tax in it", "1,211.03"),
        (TaxRule(prices="no tax"), False, "No tax is charged", "1,211.03"),
    ],
)
def test_it_is_said_how_prices_stand_to_tax(rule: TaxRule, taxed: bool, said: str, in_all: str) -> None:
    """1,200 before tax is 1,440 with 20 %; the seats are 2 at 6.125 less 10 %, 11.025, at no tax."""
    lines = (KIT, SEATS)
    written = sums(price_rows(lines, "GBP"), lines, rule, totals(lines, rule, "GBP"))
    assert (written.taxed, written.with_tax) == (taxed, in_all)
    assert said in written.prices


def test_lines_that_bear_no_rate_at_all_need_no_column_for_it() -> None:
    bare = (replace(KIT, rate=NO_TAX),)
    written = sums(price_rows(bare, "GBP"), bare, TaxRule(), totals(bare, TaxRule(), "GBP"))
    assert not written.taxed
    assert "No tax" in written.prices


def test_a_zero_rate_is_a_rate_and_is_shown() -> None:
    written = sums(price_rows((SEATS,), "GBP"), (SEATS,), TaxRule(), totals((SEATS,), TaxRule(), "GBP"))
    assert written.taxed
    assert [row.rate for row in written.by_rate] == ["zero 0\xa0%"]
