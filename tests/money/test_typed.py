"""Numbers as people type them: point or comma, and nothing that may be two numbers."""

from __future__ import annotations

from decimal import Decimal

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import amount
from floatbowl.money.typed import TwoMeaningsError, typed_number


@pytest.mark.parametrize(
    ("text", "number"),
    [("20,00", "20.00"), ("2,75", "2.75"), ("5,5 %", "5.5"), ("2,5h", "2.5"), ("0,125", "0.125"),
     ("1234,500", "1234.5"),
     (" -3,5 ", "-3.5"), ("1.234", "1.234"), ("12", "12"), ("1,2345", "1.2345")],
)  # fmt: skip
def test_a_point_and_a_comma_are_both_understood(text: str, number: str) -> None:
    assert typed_number(text, "%", "h") == Decimal(number)


@pytest.mark.parametrize("text", ["1,234", "12,500", "-999,000", "1,234 %"])
def test_what_may_be_thousands_is_asked_back_with_both_meanings(text: str) -> None:
    plain = text.removesuffix(" %")
    with pytest.raises(TwoMeaningsError) as asked:
        typed_number(text, "%")
    assert plain.replace(",", "") in str(asked.value)
    assert plain.replace(",", ".") in str(asked.value)


@pytest.mark.parametrize("text", ["", ",5", "5,", "1,234.50", "1.234,50", "1,2,3", "1e3", "NaN", "٣,٥", "2 h"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="is no number"):
        typed_number(text)


def test_an_amount_takes_a_comma_and_names_its_currency_when_it_cannot() -> None:
    assert amount("20,05", "GBP") == amount("20.05", "GBP")
    with pytest.raises(Refused, match=r"'1,234' may mean 1234 or 1\.234"):
        amount("1,234", "GBP")
    with pytest.raises(Refused, match="is no amount of GBP"):
        amount("1.234,50", "GBP")
