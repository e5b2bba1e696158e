"""The shop's rules: taken when they can be used, asked back beside their field when not, and followed by the papers."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO

from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader
from tests.pages.bench.conftest import Bench
from tests.pages.counter.conftest import Counter
from tests.pages.office.conftest import Office, fields, words

from floatbowl.shop.models import OfficeSettings, ReadBack
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


WRONG = (
    ("offer_number", "O-{year}", "must hold {n}"),
    ("invoice_number", "I-{count}", "Write the number as text with {n}"),
    ("credit_number", "O{n:03}", "Credit notes could come to the same number as Offers"),
    ("credit_number", "O{n:05}", "Credit notes could come to the same number as Offers"),
    ("credit_number", "{year}/{n:04}", "Credit notes could come to the same number as Invoices"),
    ("shop_name", " ", "Write the shop's name"),
    ("rates", "standard 1,234", "may mean 1234 or 1.234"),
    ("rates", "standard twenty", "is no rate"),
    ("rates", "standard 120", "is no rate"),
    ("rates", "20", "has no name"),
    ("rates", "a 5\na 6", "two rates called a"),
    ("rates", "  \n", "Write at least one rate"),
    ("hour_price", "38,5,0", "Write a sum such as 12.50"),
    ("hour_price", "1,250", "may mean 1250 or 1.250"),
    ("hour_price", "-38", "Write a sum from 0"),
    ("postage", "4.205", "Two places at most"),
    ("valid_days", "0", "Write from 1 to 3650 days"),
    ("valid_days", "soon", "Write a whole number of days"),
    ("currency", "XXX", "Choose one of those offered"),
)


def test_what_cannot_be_is_asked_back_and_stays_in_its_field(office: Office) -> None:
    for field, typed, says in WRONG:
        told = office.client.post("/office/rules/", GOOD | {field: typed})
        assert told.status_code == 422, typed
        page = told.content.decode()
        assert says in words(page), typed
        if field != "currency":
            assert fields(page.replace('class="of-rules"', 'id="x"'), "x")[field].strip() == typed.strip()
    assert OfficeSettings.objects.get().shop_name == "", "half of the rules were kept"


def test_another_currency_asks_about_the_usual_prices_once(office: Office) -> None:
    office.client.post("/office/rules/", GOOD)
    changed = GOOD | {"currency": "JPY", "postage": "870"}
    told = office.client.post("/office/rules/", changed)
    assert told.status_code == 422
    assert words(told.content.decode()).count("Write it in JPY, or keep it once more if it is meant so.") == 1
    assert OfficeSettings.objects.get().currency == "GBP"
    meant = fields(told.content.decode().replace('class="of-rules"', 'id="x"'), "x")
    kept = office.client.post("/office/rules/", meant)
    assert kept.status_code == 302, (meant, words(kept.content.decode()))
    assert OfficeSettings.objects.get().currency == "JPY"


def test_money_is_in_the_records_currency_until_somebody_says_otherwise(office: Office) -> None:
    assert "now EUR" in words(office.see("/office/rules/"))


def test_the_office_names_the_shop_on_every_paper(office: Office, settings: object, call: Counter) -> None:
    settings.SHOP_NAME = "Started With"  # type: ignore[attr-defined]
    assert shop_name() == "Started With"
    office.client.post("/office/rules/", GOOD)
    assert shop_name() == "Marsh End Carburettors"
    done = ReadBack.objects.create(in_hand=call.in_hand, kit="x", kit_name="Kit", number="K36/118", carburettor="")
    bench = Bench(owner="Dessa Wainlow")
    for address in (reverse("counter:slip", args=[done.pk]), f"/bench/{bench.number}/paper/setting-card.pdf"):
        page = PdfReader(BytesIO(office.client.get(address).content)).pages[0].extract_text()
        assert "Marsh End Carburettors" in " ".join(page.split()), address
