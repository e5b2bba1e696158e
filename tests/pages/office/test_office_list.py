"""The office's first page: what is owed, what waits, what ran out, and every paper found again."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.utils import timezone
from tests.pages.office.conftest import Office, rules, words

from floatbowl.shop.models import OfficePaper
from floatbowl.shop.office import issuing
from floatbowl.shop.pages.office.listing import owed_of


def _run_out(offer: OfficePaper, days: int) -> None:
    """As if it had been made long ago and had ended so many days ago."""
    today = timezone.localdate()
    facts = offer.facts | {
        "dated": str(today - datetime.timedelta(days + 30)),
        "valid_until": str(today - datetime.timedelta(days)),
    }
    OfficePaper.objects.filter(pk=offer.pk).update(facts=facts)


def test_an_office_without_papers_says_where_to_begin(office: Office) -> None:
    assert "No paper has been made yet" in words(office.see("/office/"))
    for address in ("/counter/", "/bench/", "/notebook/"):
        assert '<a href="/office/"' in office.see(address)


def test_what_is_owed_stands_first_and_what_ends_soonest(office: Office) -> None:
    rules(currency="GBP")
    settled = office.invoice(office.line(price="5"), to="Settled Farm")
    office.do(settled, "pay", amount="5", how="cash", sent="a" * 32)
    owing = office.invoice(office.line(price="1200"), to="Owing Farm")
    office.do(owing, "pay", amount="0.55", how="card", sent="b" * 32)
    office.make(to="Later Farm", valid_days="20")
    office.make(to="Sooner Farm", valid_days="3")
    _run_out(office.make(to="Gone Farm"), 2)
    accepted = office.make(to="Yes Farm")
    office.do(accepted, "accept")
    page = words(office.see("/office/"))
    assert "Owed to us 1,199.45 GBP" in page
    assert "Settled Farm" not in page
    order = ("Owing Farm", "Yes Farm", "Sooner Farm", "Ends in 3 days", "Later Farm", "Gone Farm", "Ran out 2 days ago")
    assert [page.index(name) for name in order] == sorted(page.index(name) for name in order)


def test_papers_are_found_by_name_number_and_state(office: Office) -> None:
    first = office.make(to="Éloïse Pickard\nMill Lane")
    office.do(first, "decline", why="too dear")
    second = office.make(to="Corwin Hollis")
    invoice = office.invoice(office.line(price="7"), to="Corwin Hollis")

    def found(**asked: str) -> set[str]:
        page = office.client.get("/office/", asked).content.decode()
        return {number for number in (first.number, second.number, invoice.number) if f">{number}<" in page}

    assert found(q="éloïse  PICK") == {first.number}
    assert found(q="hollis") == {second.number, invoice.number}
    assert found(q=invoice.number.lower()) == {invoice.number}
    assert found(which="declined") == {first.number}
    assert found(which="open") == {second.number}
    assert found(which="owed") == {invoice.number}
    assert found(which="invoice", q="pickard") == set()
    _run_out(second, 1)
    assert found(which="open") == set()
    assert found(which="run out") == {second.number}
    assert "No paper fits" in words(office.client.get("/office/", {"q": "unicorn"}).content.decode())
    assert office.client.get("/office/", {"which": "nonsense", "page": "x"}).status_code == 200


def test_the_list_owes_what_each_invoice_owes(office: Office) -> None:
    rules(prices="before tax", rates=[["standard", "20"]], rounded_by="line")
    invoice = office.invoice(office.line(0, price="3.33", quantity="7"), office.line(1, price="0.07", quantity="11"))
    office.do(invoice, "pay", amount="12.34", how="cash", sent="a" * 32)
    asked = {"reason": "one less", "what": "lines", "count-0": "2", "sent": "b" * 32}
    assert office.do(invoice, "credit", **asked).status_code == 302
    invoice.refresh_from_db()
    assert owed_of([invoice])[invoice.pk].value == issuing.owed(invoice) != Decimal(0)


def test_an_offer_that_has_run_out_cannot_be_accepted(office: Office) -> None:
    offer = office.make()
    _run_out(offer, 1)
    assert ">Accepted</button>" not in office.see(f"/office/{offer.pk}/")
    told = office.do(offer, "accept")
    assert told.status_code == 422
    assert "has run out; make a new one" in words(told.content.decode())


def test_the_list_is_told_in_pages(office: Office) -> None:
    first = office.make()
    OfficePaper.objects.bulk_create(
        OfficePaper(
            kind="offer",
            number=f"X-{n}",
            dated=first.dated,
            to_name="Many",
            to_plain="many",
            facts=first.facts,
            total=1,
            currency="EUR",
            state="declined",
        )
        for n in range(90)
    )
    page = words(office.client.get("/office/", {"q": "many", "page": "2"}).content.decode())
    assert "90 papers" in page
    assert "Page 2 of 3" in page


@pytest.mark.parametrize("address", ["/office/", "/office/new/", "/office/rules/"])
def test_nothing_written_into_the_pages_can_run(office: Office, address: str) -> None:
    office.make(to='<script>alert("x")</script>')
    page = office.see(address)
    for unsafe in (" style=", "<style", "<script>", " onclick="):
        assert unsafe not in page


def test_a_pick_list_is_there_only_while_something_is_to_be_picked(office: Office) -> None:
    offer = office.make()
    assert office.client.get(f"/office/{offer.pk}/pick-list.pdf").status_code == 302
    assert office.client.get(f"/office/{offer.pk}/paper.pdf?page=A3").status_code == 404
    invoice = office.invoice()
    for step in ("accept", "decline", "invoice"):
        assert office.do(invoice, step).status_code == 404
    for step in ("pay", "credit"):
        assert office.do(offer, step).status_code == 404
