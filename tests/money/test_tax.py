"""Tax, held against worked examples of tax authorities."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.money.tax import NO_TAX, Rate, TaxRule, before_tax, tax_of, with_tax

PENNY = Decimal("0.01")
STANDARD, REDUCED = Rate("standard", Decimal(20)), Rate("reduced", Decimal(5))
PRICES = st.decimals(min_value=0, max_value=100_000, places=2)
RATES = st.decimals(min_value=0, max_value=100, places=2).map(lambda percent: Rate("some", percent))


def test_price_before_tax() -> None:
    """HMRC, "Calculating VAT for VAT-inclusive and VAT-exclusive prices": 100 come to 120 at 20 %, 105 at 5 %."""
    assert with_tax(Decimal(100), STANDARD, PENNY) == Decimal("120.00")
    assert with_tax(Decimal(100), REDUCED, PENNY) == Decimal("105.00")


def test_price_with_tax() -> None:
    """The same the other way round. HMRC's 105 at 5 % hold 5 of tax, as a reference site repeats it; 120 by its 1/6."""
    assert before_tax(Decimal(120), STANDARD, PENNY) == Decimal("100.00")
    assert before_tax(Decimal(105), REDUCED, PENNY) == Decimal("100.00")


@pytest.mark.parametrize(
    ("percent", "fraction"), [("20", (1, 6)), ("5", (1, 21)), ("17.5", (7, 47)), ("15", (3, 23)), ("10", (1, 11))]
)
def test_the_fraction_of_a_price_with_tax(percent: str, fraction: tuple[int, int]) -> None:
    """HMRC's VAT fractions; 1/11 of the price is the Australian GST (explanatory memorandum of 2000, para 6.2)."""
    assert Rate("some", Decimal(percent)).of_price_with_tax == Fraction(*fraction)


def test_tax_of_three_lines_rounded_once() -> None:
    """Skatteverket, Rättslig vägledning 321578 (edition 2021.1), a gardener's bill: 25 % of 4 467.75 is 1 116.94."""
    lines = [Decimal(3500), Decimal(720), Decimal("247.75")]
    assert tax_of(lines, Rate("moms", Decimal(25)), TaxRule(), PENNY) == Decimal("1116.94")


def test_by_line_and_by_total_may_be_a_cent_apart() -> None:
    """Three pens at 1.77 and 6 %: 0.33 by line, 0.32 by total; both are allowed, one must be kept to.

    The two ways are those of IRAS ("Calculate GST on tax invoices"); the figures are a business page's that repeats
    them (mrp.com.my, 2016).
    """
    pens, rate = [Decimal("1.77")] * 3, Rate("GST", Decimal(6))
    assert tax_of(pens, rate, TaxRule(rounded_by="line"), PENNY) == Decimal("0.33")
    assert tax_of(pens, rate, TaxRule(rounded_by="total"), PENNY) == Decimal("0.32")


def test_a_finer_line_step_is_rounded_to_the_penny_at_the_end() -> None:
    """Australian GST Act 1999 s 9-90(2)(b): lines to the places the accounts allow, their sum to the cent, 0.5 up."""
    lines, rate = [Decimal("0.045")] * 3, Rate("GST", Decimal(10))
    by_line = TaxRule(rounded_by="line", line_step=Decimal("0.001"))
    # 0.0045 is 0.005 to three places; three of them 0.015, which goes up; unrounded they are 0.0135.
    assert tax_of(lines, rate, by_line, PENNY) == Decimal("0.02")
    assert tax_of(lines, rate, TaxRule(rounded_by="total"), PENNY) == Decimal("0.01")


def test_rounding_down_as_the_concession_allows() -> None:
    """HMRC Notice 700 para 17.5 (as VATREC12010 tells it): tax payable on an invoice may be rounded down to a penny."""
    assert tax_of([Decimal("4.99")], STANDARD, TaxRule(how="down"), PENNY) == Decimal("0.99")
    assert tax_of([Decimal("4.99")], STANDARD, TaxRule(), PENNY) == Decimal("1.00")


def test_no_tax_is_none() -> None:
    assert tax_of([Decimal(10)], STANDARD, TaxRule(prices="no tax"), PENNY) == 0
    assert tax_of([Decimal(10)], NO_TAX, TaxRule(), PENNY) == 0


@settings(max_examples=50, deadline=None)
@given(PRICES, RATES)
def test_there_and_back_within_a_penny(price: Decimal, rate: Rate) -> None:
    assert abs(before_tax(with_tax(price, rate, PENNY), rate, PENNY) - price) <= PENNY
    assert abs(with_tax(before_tax(price, rate, PENNY), rate, PENNY) - price) <= PENNY


@settings(max_examples=50, deadline=None)
@given(st.lists(PRICES, max_size=8), RATES, st.sampled_from(["before tax", "with tax"]))
def test_by_line_and_by_total_are_at_most_half_a_penny_a_line_apart(
    prices: list[Decimal], rate: Rate, written: str
) -> None:
    by_line = tax_of(prices, rate, TaxRule(prices=written, rounded_by="line"), PENNY)  # type: ignore[arg-type]
    by_total = tax_of(prices, rate, TaxRule(prices=written, rounded_by="total"), PENNY)  # type: ignore[arg-type]
    assert abs(by_line - by_total) <= PENNY * (len(prices) + 1) / 2


@pytest.mark.parametrize("percent", [Decimal(-1), Decimal(101), Decimal("NaN"), 20])
def test_a_rate_that_is_none_is_refused(percent: Decimal) -> None:
    with pytest.raises(Refused, match="no percentage from 0 to 100"):
        Rate("wrong", percent)


def test_a_rule_says_what_it_may_be() -> None:
    with pytest.raises(Refused, match="before tax, with tax or no tax"):
        TaxRule(prices="inclusive")  # type: ignore[arg-type]
    with pytest.raises(Refused, match="by line or by total"):
        TaxRule(rounded_by="page")  # type: ignore[arg-type]
