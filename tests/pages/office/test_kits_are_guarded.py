"""No kit goes out by a paper before it was read back, or somebody wrote why; the paper itself says nothing of it."""

from __future__ import annotations

import pytest
from tests.pages.counter.conftest import Counter
from tests.pages.office.conftest import Office, on_shelf, printed, words

from floatbowl.shop.models import Item, OfficePaper, ReadBack
from floatbowl.shop.office.guard import NAMED_BY_CUSTOMER

KIT = "T-25F"


def kit_line(office: Office, **told: str) -> dict[str, str]:
    return office.line(kind="kit", says="Full kit", item=f"kit {KIT}", off_shelf="on", price="15", **told)


@pytest.fixture
def offered(office: Office, call: Counter) -> OfficePaper:
    """An offer from a call in which one number was read and nothing read back."""
    on_shelf("kit", KIT, 2, "B4")
    address = f"/office/new/enquiry/{call.in_hand.enquiry_id}/{call.in_hand.place}/"
    typed = {**office.begin(f"{address}?kit={KIT}")}
    return office.at(office.press(address, typed, "make"))


def test_a_kit_nobody_read_back_is_not_accepted_and_nothing_is_kept_back(office: Office, offered: OfficePaper) -> None:
    page = words(office.see(f"/office/{offered.pk}/"))
    assert "Not read back: Full kit" in page
    assert "two independent kinds of evidence" in page
    for told in ({}, {"why_out": "ok"}):
        answer = office.do(offered, "accept", **told)
        assert answer.status_code == 422
        assert "not read back with two kinds of evidence" in words(answer.content.decode())
    assert Item.objects.get(key=KIT).promised == 0
    offered.refresh_from_db()
    assert offered.state == "open"


def test_a_written_reason_is_kept_with_its_name_and_shown_but_not_printed(office: Office, offered: OfficePaper) -> None:
    assert office.do(offered, "accept", why_out="he brought his neighbour along").status_code == 302
    offer_page = words(office.see(f"/office/{offered.pk}/"))
    assert "It goes out all the same: he brought his neighbour along Ines" in offer_page
    assert "Not read back: Full kit" in offer_page, "the warning stays"
    invoice = office.at(office.do(offered, "invoice"))
    assert "he brought his neighbour along Ines" in words(office.see(f"/office/{invoice.pk}/"))
    for paper in (offered, invoice):
        assert "neighbour" not in printed(office.client.get(f"/office/{paper.pk}/paper.pdf"))


def test_a_reason_needs_a_name(office: Office, offered: OfficePaper) -> None:
    from django.test import Client

    answer = Client().post(f"/office/{offered.pk}/accept/", {"why_out": "he brought his neighbour along"})
    assert answer.status_code == 422
    assert "who you are" in words(answer.content.decode())


def test_a_read_back_is_enough_and_one_taken_back_later_stops_the_invoice(
    office: Office, call: Counter, offered: OfficePaper
) -> None:
    told = {"kit": KIT, "confirmed": "1", "override": "the old one lies on the counter"}
    call.client.post(f"{call.at}read-back/", told)
    assert ReadBack.objects.count() == 1
    assert office.do(offered, "accept").status_code == 302
    page = words(office.see(f"/office/{offered.pk}/"))
    assert "Read back against our advice" in page
    assert "the old one lies on the counter" in page
    call.post("withdraw")
    assert office.do(offered, "invoice").status_code == 422
    assert office.client.get(f"/office/{offered.pk}/pick-list.pdf").status_code == 302
    assert Item.objects.get(key=KIT).on_hand == 2
    assert office.do(offered, "invoice", why_out="it was the right one").status_code == 302
    assert Item.objects.get(key=KIT).on_hand == 1


def test_a_kit_typed_for_nobodys_call_needs_a_reason_that_can_be_chosen(office: Office) -> None:
    on_shelf("kit", KIT, 1)
    offer = office.make(kit_line(office), doubt="sure")
    assert NAMED_BY_CUSTOMER in office.see(f"/office/{offer.pk}/")
    assert office.do(offer, "accept").status_code == 422
    assert office.do(offer, "accept", why_chosen=NAMED_BY_CUSTOMER).status_code == 302
    assert NAMED_BY_CUSTOMER in words(office.see(f"/office/{offer.pk}/"))


def test_a_kit_the_shelf_does_not_count_is_guarded_too_and_other_lines_are_not(office: Office) -> None:
    bush = office.make()
    assert office.do(bush, "accept").status_code == 302
    uncounted = kit_line(office)
    del uncounted["off_shelf-0"]
    offer = office.make(uncounted, doubt="sure")
    assert offer.goods == []
    assert office.do(offer, "accept").status_code == 422
    assert OfficePaper.objects.filter(state="accepted").count() == 1
