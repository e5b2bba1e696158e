"""Tax, rounding and currency at their edges, through the pages. Worked examples are named beside their figures."""

from __future__ import annotations

from decimal import Decimal

import pytest
from tests.pages.office.conftest import GASKET, Office, rules, words

from floatbowl.shop.models import OfficePaper, Payment
from floatbowl.shop.office.facts import invoice_of, offer_of

STANDARD = [["standard", "20"]]


def _seen(office: Office, paper: OfficePaper) -> str:
    return words(office.see(f"/office/{paper.pk}/"))


def test_prices_with_tax_hold_a_sixth_of_it_at_twenty(office: Office) -> None:
    """HMRC, "Calculating VAT for VAT-inclusive and VAT-exclusive prices": 120 with VAT at 20 % is 100 and 20."""
    rules(prices="with tax", rates=STANDARD, currency="GBP")
    offer = office.make(office.line(price="120"))
    assert offer.total == Decimal("120.00")
    page = _seen(office, offer)
    assert "Before tax at 20 % (standard) 100.00 GBP" in page
    assert "Tax at 20 % (standard) 20.00 GBP" in page
    assert "Prices have their tax in them." in page


@pytest.mark.parametrize(("rounded_by", "tax"), [("line", "0.33"), ("total", "0.32")])
def test_three_pens_by_line_and_by_total(office: Office, rounded_by: str, tax: str) -> None:
    """Three lines of 1.77 at 6 %: 0.1062 each, so 0.33 rounded by line and 0.32 rounded once. Worked out by hand."""
    rules(prices="before tax", rates=[["standard", "6"]], rounded_by=rounded_by, currency="AUD")
    offer = office.make(*(office.line(place, price="1.77") for place in range(3)))
    page = _seen(office, offer)
    assert f"Tax at 6 % (standard) {tax} AUD" in page
    assert offer.total == Decimal("5.31") + Decimal(tax)


def test_a_shop_that_charges_no_tax_shows_none(office: Office) -> None:
    rules(prices="no tax", rates=STANDARD)
    draft = office.see("/office/new/")
    assert "Rate of tax" not in draft
    page = _seen(office, office.make())
    assert "In all 10.00 EUR" in page
    assert "Tax at" not in page


def test_a_currency_without_places_has_none_on_any_page(office: Office) -> None:
    rules(prices="before tax", rates=[["standard", "10"]], currency="JPY", postage=Decimal(870))
    typed = office.begin()
    typed = {**typed, **office.line(0, price="1205", quantity="3")}
    answer = office.press("/office/new/", typed, "add-postage")
    assert 'name="price-1" value="870"' in answer.content.decode()
    invoice = office.invoice(office.line(0, price="1205", quantity="3"), office.line(1, price="870"))
    # 3,615 + 870 = 4,485; 10 % of it is 448.5, half up 449.
    assert invoice.total == 4934
    page = _seen(office, invoice)
    assert "4,934 JPY owed" in page
    assert "4,934.0" not in page
    told = office.do(invoice, "pay", amount="100.50", how="cash", sent="a" * 32)
    assert told.status_code == 422
    assert "JPY is paid with no places after the point" in words(told.content.decode())
    assert 'value="100.50"' in told.content.decode()
    assert office.do(invoice, "pay", amount="4934", how="card", sent="b" * 32).status_code == 302
    assert "Settled" in _seen(office, invoice)


def test_what_coins_cannot_pay_is_not_asked_for_after_cash(office: Office) -> None:
    """Budget of Canada 2012, Rounding: 4.92 is paid with 4.90 in cash."""
    rules(currency="CAD")
    invoice = office.invoice(office.line(price="4.92"))
    assert "in cash 4.90 CAD" in _seen(office, invoice)
    office.do(invoice, "pay", amount="4.90", how="cash", sent="a" * 32)
    assert "Settled : the 0.02 CAD left is less than coins can pay" in _seen(office, invoice)
    by_card = office.invoice(office.line(price="4.92"))
    office.do(by_card, "pay", amount="4.90", how="card", sent="b" * 32)
    assert "0.02 CAD owed" in _seen(office, by_card)


def test_rules_changed_later_change_nothing_that_was_issued(office: Office) -> None:
    rules(prices="before tax", rates=STANDARD, currency="GBP", shop_name="Marsh End")
    invoice = office.invoice(office.line(price="100"))
    pdf = office.client.get(f"/office/{invoice.pk}/paper.pdf").content
    rules(prices="with tax", rates=[["other", "7"]], currency="JPY", shop_name="Moved Away", address="elsewhere")
    assert "120.00 GBP owed" in _seen(office, invoice)
    assert office.client.get(f"/office/{invoice.pk}/paper.pdf").content == pdf
    office.do(invoice, "pay", amount="19.99", how="cash", sent="a" * 32)
    assert "100.01 GBP owed" in _seen(office, invoice)


def test_two_rates_a_discount_and_a_price_finer_than_a_penny(office: Office) -> None:
    rules(prices="before tax", rates=[*STANDARD, ["reduced", "5"]], currency="GBP")
    invoice = office.invoice(
        office.line(0, says="Kit", price="15.00", discount="10", rate="standard"),
        office.line(1, says="Bush", quantity="2", price="3.335", rate="reduced"),
    )
    page = _seen(office, invoice)
    # 15.00 less 10 % is 13.50, tax 2.70; 2 at 3.335 is 6.67, tax 0.3335 so 0.33.
    for says in ("13.50 GBP", "10 % off", "3.335 GBP", "6.67 GBP", "Tax in all 3.03 GBP", "In all, with tax 23.20 GBP"):
        assert says in page, says
    assert [line.rate.name for line in invoice_of(invoice.facts).lines] == ["standard", "reduced"]


def test_a_rate_the_shop_no_longer_has_is_asked_for(office: Office) -> None:
    rules(prices="before tax", rates=[*STANDARD, ["reduced", "5"]])
    typed = {**office.begin(), **office.line(rate="zero"), "to": "Corwin Hollis"}
    told = office.press("/office/new/", typed, "make")
    assert told.status_code == 422
    assert "The shop has no rate called 'zero' any more" in words(told.content.decode())


def test_a_price_is_asked_back_and_never_guessed(office: Office) -> None:
    begun = office.begin()
    for price in ("1.234,50", "twelve", "1e3", "12.50 EUR", "٣"):
        told = office.press("/office/new/", {**begun, **office.line(price=price), "to": "Corwin Hollis"}, "make")
        assert told.status_code == 422
        page = told.content.decode()
        assert "is no amount of EUR" in words(page)
        assert f'name="price-0" value="{price}"' in page
    assert not OfficePaper.objects.exists()


def test_a_price_in_another_currency_is_not_taken_over(office: Office) -> None:
    rules(currency="GBP")
    told = office.press("/office/new/", office.begin(), f"shelf part {GASKET}")
    page = told.content.decode()
    assert "Recorded at 2.2 EUR; write what it costs in GBP." in words(page)
    assert 'name="price-0" value=""' in page


def test_paying_too_much_needs_a_tick_and_money_can_go_back(office: Office) -> None:
    invoice = office.invoice(office.line(price="10"))
    asked = {"amount": "100", "how": "transfer", "sent": "a" * 32}
    told = office.do(invoice, "pay", **asked)
    assert told.status_code == 422
    assert "10.00 EUR is owed, not 100 EUR. Tick below if it is meant so." in words(told.content.decode()).replace(
        "100.00", "100"
    )
    assert not Payment.objects.exists()
    assert office.do(invoice, "pay", **asked, insist="on").status_code == 302
    assert "90.00 EUR to pay back" in _seen(office, invoice)
    assert office.do(invoice, "pay", amount="-90", how="transfer", sent="c" * 32).status_code == 302
    assert "Settled" in _seen(office, invoice)
    for wrong, says in (
        ({"amount": ""}, "Write the sum in EUR"),
        ({"amount": "0"}, "a payment of nothing is none"),
        ({"how": ""}, "Choose how it was paid"),
        ({"how": "cheque"}, "no way to pay here"),
    ):
        told = office.do(invoice, "pay", **{"amount": "5", "how": "cash", "insist": "on", "sent": "d" * 32, **wrong})
        assert told.status_code == 422, wrong
        assert says.casefold() in words(told.content.decode()).casefold()


def test_no_amount_is_ever_a_binary_fraction(office: Office) -> None:
    offer = office.make(office.line(0, price="0.10", quantity="3"), office.line(1, price="0.20"))
    assert offer.total == Decimal("0.50")
    assert all(isinstance(line.unit_price, Decimal) for line in offer_of(offer.facts).lines)
    assert offer.facts["lines"][0][2] == "0.10"
