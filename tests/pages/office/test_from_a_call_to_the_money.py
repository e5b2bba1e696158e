"""The whole way through the pages: an offer from a call, accepted, invoiced, paid, credited."""

from __future__ import annotations

from decimal import Decimal

import pytest
from tests.pages.counter.conftest import Counter
from tests.pages.office.conftest import GASKET, Office, gaskets, on_shelf, printed, rules, words

from floatbowl.shop.models import Item, LedgerLine, OfficePaper, Payment


@pytest.mark.django_db
def test_from_a_call_to_the_money(office: Office, call: Counter) -> None:
    rules(prices="before tax", rates=[["standard", "20"]], postage=Decimal("4.20"), shop_name="Marsh End Carburettors")
    assert "Make an offer" in call.see()
    address = f"/office/new/enquiry/{call.in_hand.enquiry_id}/{call.in_hand.place}/"
    typed = office.begin(address)
    kit = typed["item-0"].partition(" ")[2]
    item = on_shelf("kit", kit, 1, "B4")
    typed = office.begin(address)
    told = {"kit": kit, "confirmed": "1", "override": "the old one lies on the counter"}
    call.client.post(f"{call.at}read-back/", told)
    typed = office.begin(address)
    assert typed["off_shelf-0"]
    assert typed["to"] == "Anselm Pickard"
    assert typed["says-1"] == "Postage and packing"
    assert typed["doubt"].startswith("By what we were told this kit fits")
    assert "gasket" in typed["sizes-0"].casefold()

    offer = office.at(office.press(address, typed, "make"))
    assert offer.enquiry_id == call.in_hand.enquiry_id
    price = Decimal(typed["price-0"])
    whole = price + Decimal("4.20") + ((price + Decimal("4.20")) * Decimal("0.2")).quantize(Decimal("0.01"))
    assert offer.total == whole
    page = words(office.see(f"/office/{offer.pk}/"))
    assert f"{whole} EUR" in page
    assert "Consumer law where you are decides" in page
    assert office.do(offer, "accept").status_code == 302
    item.refresh_from_db()
    assert (item.on_hand, item.promised) == (1, 1)
    assert "B4" in printed(office.client.get(f"/office/{offer.pk}/pick-list.pdf"))

    invoice = office.at(office.do(offer, "invoice"))
    item.refresh_from_db()
    assert (item.on_hand, item.promised) == (0, 0)
    paid = {"amount": "5.00", "how": "cash", "sent": "a" * 32}
    assert office.do(invoice, "pay", **paid).status_code == 302
    assert office.do(invoice, "pay", **paid).status_code == 302
    assert Payment.objects.count() == 1
    assert f"{whole - 5} EUR owed" in words(office.see(f"/office/{invoice.pk}/"))
    paper = printed(office.client.get(f"/office/{invoice.pk}/paper.pdf"))
    assert "Marsh End Carburettors" in paper
    assert invoice.number in paper

    asked = {"reason": "it was the other one", "what": "whole", "back": "on", "back_at": "B4", "sent": "b" * 32}
    note = office.at(office.do(invoice, "credit", **asked))
    assert office.at(office.do(invoice, "credit", **asked)).pk == note.pk
    item.refresh_from_db()
    assert item.on_hand == 1
    assert note.total == -whole
    assert "5.00 EUR to pay back" in words(office.see(f"/office/{invoice.pk}/"))
    assert invoice.number in printed(office.client.get(f"/office/{note.pk}/paper.pdf?page=Letter"))
    assert "it was the other one" in words(office.see(f"/office/{note.pk}/"))


def test_made_twice_is_made_once(office: Office) -> None:
    first = office.make(sent="c" * 32)
    again = office.make(sent="c" * 32)
    assert first.pk == again.pk
    assert OfficePaper.objects.count() == 1
    assert office.do(first, "accept").status_code == 302
    assert office.do(first, "accept").status_code == 302
    invoice = office.at(office.do(first, "invoice"))
    assert office.at(office.do(first, "invoice")).pk == invoice.pk


def test_two_people_accept_the_last_kit_and_one_is_told(office: Office) -> None:
    item = gaskets(1)
    line = office.line(item=f"part {item.key}", off_shelf="on", says="Bowl gasket")
    wil = Office("Wil")
    first, second = office.make(line), wil.make(line, to="Dessa Wainlow")
    assert office.do(first, "accept").status_code == 302
    told = wil.do(second, "accept")
    assert told.status_code == 409
    says = words(told.content.decode())
    assert "1 were wanted, but 0 of" in says
    assert "Somebody else may have the last of it" in says
    second.refresh_from_db()
    assert second.state == "open"
    assert wil.do(first, "decline", why="found one elsewhere").status_code == 302
    assert wil.do(second, "accept").status_code == 302
    item.refresh_from_db()
    assert (item.on_hand, item.promised) == (1, 1)


def test_declining_asks_why_and_keeps_what_was_typed(office: Office) -> None:
    offer = office.make()
    told = office.do(offer, "decline", why=" ")
    assert told.status_code == 422
    assert "write why it was declined" in words(told.content.decode()).casefold()
    assert office.do(offer, "decline", why="too dear").status_code == 302
    assert "too dear" in words(office.see(f"/office/{offer.pk}/"))
    assert office.do(offer, "accept").status_code == 422


def test_credit_by_lines_with_goods_back_to_a_place(office: Office) -> None:
    item = gaskets(5)
    invoice = office.invoice(
        office.line(0, says="Bowl gasket", quantity="3", price="1.10", item=f"part {item.key}", off_shelf="on"),
        office.line(1, says="Work", kind="work", quantity="1.5", price="40"),
    )
    asked = {"reason": "one too many", "what": "lines", "sent": "d" * 32}
    for wrong, says in (
        ({"count-0": ""}, "write how many of which line"),
        ({"count-0": "4"}, "3 can still be credited, not 4"),
        ({"count-0": "1,500"}, "may mean 1500 or 1.500"),
        ({"count-0": "1", "back": "on", "back_at": " "}, "write the place on the shelf"),
        ({"count-0": "1", "reason": ""}, "say why"),
    ):
        told = office.do(invoice, "credit", **{**asked, **wrong})
        assert told.status_code == 422, wrong
        page = told.content.decode()
        assert says in words(page).casefold(), wrong
        assert f'name="count-0" value="{wrong["count-0"]}"' in page
    assert not OfficePaper.objects.filter(kind="credit note").exists()
    note = office.at(office.do(invoice, "credit", **{**asked, "count-0": "1", "back": "on", "back_at": "C7"}))
    assert note.total == Decimal("-1.10")
    page = office.see(f"/office/{invoice.pk}/")
    assert "Bowl gasket 2" in words(page).partition("Can still be credited")[2]
    office.do(invoice, "credit", reason="all the rest", what="whole", sent="e" * 32)
    assert "Can still be credited" not in office.see(f"/office/{invoice.pk}/")
    assert "Settled" in words(office.see(f"/office/{invoice.pk}/"))


def test_one_of_three_comes_back_to_the_shelf(office: Office) -> None:
    item = gaskets(5)
    line = office.line(quantity="3", item=f"part {item.key}", off_shelf="on")
    invoice = office.invoice(line)
    asked = {"reason": "one too many", "what": "lines", "count-0": "1", "back": "on", "back_at": "C7", "sent": "d" * 32}
    assert office.do(invoice, "credit", **asked).status_code == 302
    assert LedgerLine.objects.filter(why="return", place="C7", quantity=1).count() == 1
    assert Item.objects.get(pk=item.pk).on_hand == 3


def test_an_offer_of_what_the_shelf_does_not_count_is_still_sold(office: Office, shop: object) -> None:
    typed = office.begin()
    answer = office.press("/office/new/", {**typed, "to": "Corwin Hollis"}, f"shelf part {GASKET}")
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "The shelf does not count this yet" in words(page)
    assert 'name="off_shelf-0" checked' not in page
