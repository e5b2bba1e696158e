"""A call closed as sold takes its kit off the shelf once; opened again it lies there again; no paper takes it twice."""

from __future__ import annotations

from typing import Any

import pytest
from tests.pages.counter.conftest import Counter, small_shop  # noqa: F401  (a fixture)
from tests.pages.office.conftest import Office, on_shelf, words

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, Item, LedgerLine
from floatbowl.shop.shelf.asked import all_events

KIT = "T-25F"


@pytest.fixture
def call(small_shop: Reference) -> Counter:  # noqa: F811
    """A call with a kit read back."""
    call = Counter(caller="Anselm Pickard")
    call.client.post("/who/", {"do": "add", "name": "Ines", "next": "/"})
    call.read("K36/118", part="tag", made="stamped")
    told = {"kit": KIT, "confirmed": "1", "override": "the old one lies on the counter"}
    call.client.post(f"{call.at}read-back/", told)
    return call


def close(call: Counter, outcome: str = "sold", **more: str) -> Any:
    address = f"/enquiries/{call.in_hand.enquiry_id}/close/"
    return call.client.post(address, {"outcome": outcome, **more}, follow=True)


def reopen(call: Counter) -> Any:
    return call.client.post(f"/enquiries/{call.in_hand.enquiry_id}/reopen/", follow=True)


def on_hand() -> int:
    return Item.objects.get(kind="kit", key=KIT).on_hand


def asked_for() -> list[tuple[int, str]]:
    return [(event.quantity, event.how) for event in all_events(("kit", KIT))]


def test_sold_takes_one_from_its_place_says_so_and_counts_once(call: Counter) -> None:
    on_shelf("kit", KIT, 3, "B4")
    said = words(close(call).content.decode())
    assert "left the shelf from B4; 2 left." in said
    line = LedgerLine.objects.get(why="sale")
    assert (line.document, line.quantity, line.who) == (f"enquiry {call.in_hand.enquiry_id}", -1, "Ines")
    close(call)
    assert on_hand() == 2, "closed again, it was taken again"
    assert asked_for() == [(1, "sold")]


@pytest.mark.parametrize("outcome", ["", "lost", "asked"])
def test_opened_again_or_ended_otherwise_it_lies_there_again(call: Counter, outcome: str) -> None:
    on_shelf("kit", KIT, 3, "B4")
    close(call)
    said = words((close(call, outcome, why="too dear") if outcome else reopen(call)).content.decode())
    assert "lies in B4 again" in said
    assert on_hand() == 3
    assert asked_for() == ([(1, "asked in vain")] if outcome == "lost" else [])
    reopen(call)
    close(call)
    assert on_hand() == 2
    assert asked_for() == [(1, "sold")]


def test_none_there_by_the_book_is_asked_and_may_be_closed_all_the_same(call: Counter) -> None:
    on_shelf("part", "bowl-gasket-b-ring2", 1)
    on_shelf("kit", KIT, 1, "B4")
    other = Counter(caller="Dessa Wainlow")
    other.read("K36/118", part="tag", made="stamped")
    other.client.post(f"{other.at}read-back/", {"kit": KIT, "confirmed": "1", "override": "she has the old one here"})
    close(call)
    told = close(other)
    assert told.status_code == 422
    assert "cannot leave the shelf by the book" in words(told.content.decode())
    assert 'name="book_wrong"' in told.content.decode()
    assert Enquiry.objects.get(pk=other.in_hand.enquiry_id).is_open
    lines = LedgerLine.objects.count()
    said = words(close(other, book_wrong="1").content.decode())
    assert "no line was written. Count it on the Shelf." in said
    assert not Enquiry.objects.get(pk=other.in_hand.enquiry_id).is_open
    assert LedgerLine.objects.count() == lines


def test_before_the_shelf_has_begun_nothing_leaves_it(call: Counter) -> None:
    assert close(call).status_code == 200
    assert not LedgerLine.objects.exists()


def test_the_first_count_comes_from_the_records(call: Counter, small_shop: Reference) -> None:  # noqa: F811
    recorded = next(kit.on_hand for kit in small_shop.kits if kit.kit == KIT)
    assert recorded
    on_shelf("part", "bowl-gasket-b-ring2", 1)
    close(call)
    assert on_hand() == recorded - 1


def test_an_invoice_closes_its_call_as_sold_and_takes_the_kit_once(call: Counter) -> None:
    on_shelf("kit", KIT, 3, "B4")
    office = Office()
    number = call.in_hand.enquiry_id
    address = f"/office/new/enquiry/{number}/1/"
    offer = office.at(office.press(address, office.begin(address), "make"))
    page = words(call.see())
    assert f"offer {offer.number}" in page
    assert "Make another offer" in page
    assert "There are papers already" in words(office.see(address))
    assert "Draft offer" in words(office.see(f"{address}?another=1"))
    close(call)
    assert on_hand() == 2, "an open offer keeps nothing back: the call itself takes it"
    assert office.do(offer, "accept").status_code == 302
    assert on_hand() == 3, "the kit now leaves with its paper"
    reopen(call)
    invoiced = office.client.post(f"/office/{offer.pk}/invoice/", follow=True)
    assert f"Enquiry {number} is closed as sold" in words(invoiced.content.decode())
    assert on_hand() == 2
    enquiry = Enquiry.objects.get(pk=number)
    assert (enquiry.outcome, enquiry.is_open) == ("sold", False)
    reopen(call)
    said = words(close(call).content.decode())
    assert "leaves the shelf with its paper, and not twice" in said
    assert on_hand() == 2
    assert asked_for() == [(1, "sold")]


def test_a_declined_offer_of_a_call_that_ended_in_a_sale_is_not_asked_in_vain(call: Counter) -> None:
    on_shelf("kit", KIT, 3, "B4")
    office = Office()
    address = f"/office/new/enquiry/{call.in_hand.enquiry_id}/1/"
    for _ in range(2):
        offer = office.at(office.press(address, office.begin(address), "make"))
        office.do(offer, "decline", why="too dear")
    assert asked_for() == [(1, "asked in vain")], "one caller asked once"
    close(call)
    assert asked_for() == [(1, "sold")]


def test_a_call_stays_open_while_another_kit_of_it_is_on_no_paper(call: Counter) -> None:
    on_shelf("kit", KIT, 3, "B4")
    office, number = Office(), call.in_hand.enquiry_id
    address = f"/office/new/enquiry/{number}/1/"
    offer = office.at(office.press(address, office.begin(address), "make"))
    assert office.do(offer, "accept").status_code == 302
    call.client.post(f"/counter/{number}/another/")
    told = {"kit": "T-25G", "confirmed": "1", "override": "the old one lies on the counter"}
    call.client.post(f"/counter/{number}/2/reading/", {"text": "K36/118", "via": "seen"})
    call.client.post(f"/counter/{number}/2/read-back/", told)
    invoiced = office.client.post(f"/office/{offer.pk}/invoice/", follow=True)
    assert f"Enquiry {number} stays open" in words(invoiced.content.decode())
    assert Enquiry.objects.get(pk=number).is_open
