"""A lowest price on an item, and how and by when an invoice is paid."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from tests.pages.office.conftest import Office, fields, on_shelf, printed, rules, words

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Item, OfficePaper, OfficeSettings
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.office.beside import beside_of

TODAY = timezone.localdate()


@pytest.fixture
def kit(shop: Reference) -> str:
    """A kit whose lowest price is 12.00."""
    rules(prices="no tax")
    key = shop.kits[0].kit
    on_shelf("kit", key, 3)
    Item.objects.filter(kind="kit", key=key).update(floor=Decimal(12), floor_currency="EUR")
    return key


def typed(office: Office, kit: str, **told: str) -> dict[str, str]:
    line = office.line(kind="kit", says="Gasket kit", item=f"kit {kit}", **{"price": "11.99", **told})
    around = {"to": "Corwin Hollis", "return_rule": "Unopened.", "valid_days": "30", "doubt": "It fits."}
    return line | around | {"sent": new_key()}


def made(answer: Any) -> OfficePaper:
    assert answer.status_code == 302, words(answer.content.decode())
    return OfficePaper.objects.get(pk=int(answer["Location"].strip("/").split("/")[1]))


def test_below_the_lowest_price_it_needs_a_written_reason(office: Office, kit: str) -> None:
    draft = typed(office, kit)
    answer = office.press("/office/new/", draft, "make")
    page = words(answer.content.decode())
    assert answer.status_code == 422
    assert "The lowest price is 12.00 EUR; this is 11.99 EUR. Write why." in page
    assert not OfficePaper.objects.exists()
    assert office.press("/office/new/", draft | {"why_low-0": " ok "}, "make").status_code == 422, "that says nothing"
    paper = made(office.press("/office/new/", draft | {"why_low-0": "the box is torn"}, "make"))
    assert beside_of(paper).reasons == {0: "the box is torn"}
    assert "Below the lowest price: the box is torn" in words(office.see(f"/office/{paper.pk}/"))
    assert "torn" not in printed(office.client.get(f"/office/{paper.pk}/paper.pdf"))


def test_what_is_taken_off_counts_too(office: Office, kit: str) -> None:
    told = {"price": "15.00", "discount": "20.01"}
    assert office.press("/office/new/", typed(office, kit, **told), "make").status_code == 422
    made(office.press("/office/new/", typed(office, kit, price="15.00", discount="20"), "make"))
    made(office.press("/office/new/", typed(office, kit, price="12"), "make"))


def test_it_is_told_while_the_price_is_typed(office: Office, kit: str) -> None:
    answer = office.client.post("/office/new/totals/", typed(office, kit))
    assert "It needs a reason." in words(answer.content.decode())
    shown = office.press("/office/new/", typed(office, kit), "renew")
    assert "Why it goes out below the lowest price" in words(shown.content.decode())


def test_a_lowest_price_in_other_money_says_nothing(office: Office, kit: str) -> None:
    rules(currency="GBP", prices="no tax")
    made(office.press("/office/new/", typed(office, kit), "make"))


def test_it_is_kept_on_the_items_page(office: Office, kit: str) -> None:
    address = f"/shelf/do/floor/kit/{kit}/"
    office.client.post(address, {"floor": "14,50"})
    assert Item.objects.get(kind="kit", key=kit).floor == Decimal("14.50")
    assert "Lowest price: 14.50 EUR" in words(office.see(f"/shelf/kit/{kit}/"))
    wrong = office.client.post(address, {"floor": "much"})
    assert wrong.status_code == 422
    assert "Write a sum such as 12.50" in words(wrong.content.decode())
    office.client.post(address, {"floor": ""})
    assert Item.objects.get(kind="kit", key=kit).floor is None


def test_how_to_pay_and_by_when_stand_on_the_invoice_of_their_day(office: Office) -> None:
    rules(how_to_pay="By transfer to\nNettlebeck Mutual 0042", pay_within_days=14)
    invoice = office.invoice()
    rules(how_to_pay="In shells", pay_within_days=3)
    beside = beside_of(OfficePaper.objects.get(pk=invoice.pk))
    assert (beside.how_to_pay, beside.pay_by) == ("By transfer to\nNettlebeck Mutual 0042", TODAY + timedelta(14))
    paper = printed(office.client.get(f"/office/{invoice.pk}/paper.pdf"))
    assert "Nettlebeck Mutual 0042" in paper
    assert f"Pay by {(TODAY + timedelta(14)).day} " in paper
    assert "shells" not in paper
    assert f"to be paid by {(TODAY + timedelta(14)).day} " in words(office.see(f"/office/{invoice.pk}/"))


def test_without_a_rule_no_day_is_printed(office: Office) -> None:
    beside = beside_of(office.invoice())
    assert (beside.how_to_pay, beside.pay_by) == ("", None)


def test_paying_is_set_with_the_shops_rules(office: Office) -> None:
    page = office.see("/office/rules/")
    assert "To be paid within so many days" in words(page)
    told = fields(page.replace('<form method="post" class="of-rules"', '<form id="rules" class="of-rules"'), "rules")
    told["shop_name"] = "Marsh End Carburettors"
    answer = office.client.post("/office/rules/", told | {"how_to_pay": "Cash", "pay_within_days": "soon"})
    assert "Write a whole number of days, such as 14" in words(answer.content.decode())
    assert (
        office.client.post("/office/rules/", told | {"how_to_pay": "Cash", "pay_within_days": "10"}).status_code == 302
    )
    settings = OfficeSettings.objects.get(pk=1)
    assert (settings.how_to_pay, settings.pay_within_days) == ("Cash", 10)
