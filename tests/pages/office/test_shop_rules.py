"""The shop's rules: taken when they can be used, asked back beside their field when not, and followed by the papers."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone
from tests.pages.counter.conftest import Counter
from tests.pages.office.conftest import Office, fields, words

from floatbowl.shop.models import OfficeSettings
from floatbowl.shop.office.letterhead import shop_name

GOOD = {
    "shop_name": "Marsh End Carburettors",
    "address": "Old Forge Yard",
    "tax_number": "VAT 000",
    "currency": "GBP",
    "prices": "with tax",
    "rounded_by": "line",
    "rates": "standard 20\nreduced rate 5.5 %\n",
    "offer_number": "O{n:03}",
    "invoice_number": "{year}/{n}",
    "credit_number": "C{n}",
    "valid_days": "14",
    "hour_price": "38",
    "postage": "4.20",
    "core_deposit": "",
    "return_rule": "Ask us first.",
}


def test_rules_are_kept_and_followed(office: Office) -> None:
    assert office.client.post("/office/rules/", GOOD).status_code == 302
    kept = OfficeSettings.objects.get()
    assert kept.rates == [["standard", "20"], ["reduced rate", "5.5"]]
    assert kept.core_deposit is None
    offer = office.make()
    assert offer.number == "O001"
    assert offer.currency == "GBP"
    office.do(offer, "accept")
    assert office.at(office.do(offer, "invoice")).number == f"{timezone.localdate().year}/1"
    assert office.client.post("/office/rules/", GOOD | {"postage": "5"}).status_code == 302
    assert office.make().number == "O002", "keeping the rules began the numbers anew"
    assert OfficeSettings.objects.get().postage == Decimal(5)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("offer_number", "O-{year}", "must hold {n}"),
        ("invoice_number", "I-{count}", "Write the number as text with {n}"),
        ("credit_number", "O{n:03}", "numbers that differ"),
        ("rates", "standard twenty", "is no rate"),
        ("rates", "standard 120", "is no rate"),
        ("rates", "20", "has no name"),
        ("rates", "a 5\na 6", "two rates called a"),
        ("rates", "  \n", "Write at least one rate"),
        ("hour_price", "38,50", "Write a sum with a decimal point"),
        ("postage", "4.205", "Two places at most"),
        ("valid_days", "0", "Write from 1 to 3650 days"),
        ("valid_days", "soon", "Write a whole number of days"),
        ("currency", "XXX", "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_asked_back_and_stays_in_its_field(office: Office, field: str, typed: str, says: str) -> None:
    told = office.client.post("/office/rules/", GOOD | {field: typed})
    assert told.status_code == 422
    assert says in words(told.content.decode())
    if field != "currency":
        assert fields(told.content.decode().replace('class="of-rules"', 'id="x"'), "x")[field].strip() == typed.strip()
    assert OfficeSettings.objects.get().shop_name == "", "half of the rules were kept"


def test_money_is_in_the_records_currency_until_somebody_says_otherwise(office: Office) -> None:
    assert "now EUR" in words(office.see("/office/rules/"))


def test_the_office_names_the_shop_on_every_paper(office: Office, settings: object, call: Counter) -> None:
    settings.SHOP_NAME = "Started With"  # type: ignore[attr-defined]
    assert shop_name() == "Started With"
    office.client.post("/office/rules/", GOOD)
    assert shop_name() == "Marsh End Carburettors"
