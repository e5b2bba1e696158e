"""What papers and pages say of hours, of what is left out, of doubt, of rates and of the copy check."""

from __future__ import annotations

from tests.pages.counter.conftest import Counter
from tests.pages.office.conftest import GASKET, Office, fields, printed, rules, words

from floatbowl.shop.shelf.things import things_now

KIT = "T-25F"


def test_hours_bear_their_h_on_every_paper_and_page(office: Office) -> None:
    work = office.line(0, kind="work", says="Bushes fitted", quantity="2,5", price="40")
    bush = office.line(1, quantity="2", price="3")
    invoice = office.invoice(work, bush)
    note = office.at(
        office.do(invoice, "credit", reason="half of it", what="lines", **{"count-0": "1", "count-1": "1"})
    )
    for paper, hours in ((invoice.follows, "2.5 h"), (invoice, "2.5 h"), (note, "1 h")):
        assert paper is not None
        assert hours in words(office.see(f"/office/{paper.pk}/"))
        assert hours in printed(office.client.get(f"/office/{paper.pk}/paper.pdf")).replace("−", "").replace(
            "\xa0", " "
        )
    assert "2 h" not in words(office.see(f"/office/{invoice.pk}/"))


def test_an_offer_without_a_kit_says_nothing_of_being_sure(office: Office) -> None:
    bush = office.make()
    assert "How sure we are" not in printed(office.client.get(f"/office/{bush.pk}/paper.pdf"))
    kit = office.make(office.line(kind="kit", says="Full kit", item=f"kit {KIT}"), doubt="97 in 100")
    told = printed(office.client.get(f"/office/{kit.pk}/paper.pdf"))
    assert "How sure we are" in told
    assert "97 in 100" in told


def test_a_part_that_became_a_line_is_no_longer_left_out(office: Office, call: Counter) -> None:
    part = things_now().book.parts[GASKET]
    typed = office.begin() | {"to": "Corwin Hollis", "not_included": f"Float\n{part.name}\nVenturi"}
    page = office.press("/office/new/", typed, f"shelf part {GASKET}").content.decode()
    assert fields(page, "offer-form")["not_included"] == "Float\nVenturi"
    typed = fields(page, "offer-form") | {"price-0": "2", "not_included": f"{part.name}\nFloat"}
    offer = office.at(office.press("/office/new/", typed, "make"))
    assert offer.facts["not_included"] == ["Float"]


def test_the_copy_check_stands_on_the_page_as_on_the_print(office: Office) -> None:
    invoice = office.invoice()
    signs = invoice.seal[:8]
    assert f"Copy check: {signs}" in words(office.see(f"/office/{invoice.pk}/"))
    assert signs in printed(office.client.get(f"/office/{invoice.pk}/paper.pdf"))


def test_a_credit_note_lists_only_the_rates_it_touches(office: Office) -> None:
    rules(prices="before tax", rates=[["standard", "20"], ["reduced", "5"]])
    invoice = office.invoice(office.line(0, rate="standard"), office.line(1, rate="reduced", price="3"))
    note = office.at(office.do(invoice, "credit", reason="one too many", what="lines", **{"count-1": "1"}))
    page = words(office.see(f"/office/{note.pk}/"))
    assert "5 % (reduced)" in page
    assert "standard" not in page


def test_everything_holds_the_declined_ones_too(office: Office) -> None:
    offer = office.make()
    office.do(offer, "decline", why="too dear")
    office.see("/office/")  # What was just done is told there once.
    assert offer.number not in office.see("/office/")
    assert offer.number in office.see("/office/?which=everything")
