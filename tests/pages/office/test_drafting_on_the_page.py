"""A draft on its page: lines come and go, totals are renewed, and nothing that was typed is lost."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.pages.bench.conftest import Bench
from tests.pages.counter.conftest import Counter
from tests.pages.office.conftest import GASKET, Office, fields, gaskets, rules, words

from floatbowl.money.lines import totals
from floatbowl.shop.models import OfficePaper, OfficeSettings
from floatbowl.shop.office.drafting import DraftLine, DraftOffer
from floatbowl.shop.office.facts import offer_of
from floatbowl.shop.office.rules import tax_rule
from floatbowl.shop.pages.office.forms import LINE_FIELDS, OFFER_FIELDS, check, read_draft

TYPED = {
    "to": "Corwin Hollis\nThe Old Granary",
    "not_included": "Float <b>&amp;</b>",
    "doubt": "97 in 100",
    "return_rule": "ask us",
    "valid_days": "many",
    "find": "gasket",
}


def test_whatever_is_wrong_all_that_was_typed_stands_there_again(office: Office) -> None:
    lines = office.line(0, says='Kit "T" & <more>', price="1,500", sizes="bore 1.10 mm\nhole 2")
    lines |= office.line(1, says="", quantity="-2", discount="120")
    typed = {**office.begin(), **TYPED, **lines}
    told = office.press("/office/new/", typed, "make")
    assert told.status_code == 422
    assert told.content.decode().count('aria-invalid="true"') == 5
    again = fields(told.content.decode(), "offer-form")
    assert {name: again.get(name) for name in typed} == typed
    assert not OfficePaper.objects.exists()


def test_lines_are_added_and_taken_out(office: Office) -> None:
    rules(hour_price="38", postage="4.20", core_deposit="60")
    typed = office.begin()
    for do in ("add-work", "add-postage", "add-core", "add-other", f"shelf part {GASKET}"):
        typed = fields(office.press("/office/new/", typed, do).content.decode(), "offer-form")
    assert [typed[f"price-{n}"] for n in range(5)] == ["38.00", "4.20", "60.00", "", "2.20"]
    assert typed["quantity-0"] == "", "nobody knows the hours but who worked them"
    assert "paid back" in typed["says-2"]
    assert "thickness" in typed["sizes-4"]
    typed = fields(office.press("/office/new/", typed, "remove-3").content.decode(), "offer-form")
    assert typed["says-3"].startswith("Bowl gasket")
    assert "kind-4" not in typed
    for nonsense in ("remove-99", "remove-x", "add-gold", "shelf kit nobody", "shelf part", "", "shelf x y"):
        again = fields(office.press("/office/new/", typed, nonsense).content.decode(), "offer-form")
        assert {name: text for name, text in again.items() if name != "find"} == {
            name: text for name, text in typed.items() if name != "find"
        }, nonsense


def test_totals_are_a_piece_of_the_page_while_it_is_typed(office: Office) -> None:
    rules(prices="before tax", rates=[["standard", "20"]], currency="GBP")
    typed = office.line(0, price="10.05", quantity="3") | office.line(1, says="Work", price="", kind="work")
    piece = office.client.post("/office/new/totals/", typed).content.decode()
    assert "<html" not in piece
    assert "In all, with tax 36.18 GBP" in words(piece)
    assert "1 line not counted yet" in words(piece)
    assert '<output id="amount-0" class="of-amount" hx-swap-oob="true">30.15 GBP</output>' in piece
    wrong = office.client.post("/office/new/totals/", typed | {"price-0": "10,050"}).content.decode()
    assert "Bush: '10,050' may mean 10050 or 10.050; write it without the comma." in words(wrong)
    comma = {"price-0": "10,05", "quantity-0": "2,5 h", "discount-0": "5,5 %"}
    assert "23.74 GBP" in office.client.post("/office/new/totals/", typed | comma).content.decode()


def test_kits_and_parts_are_found_by_any_word(office: Office) -> None:
    found = words(office.client.post("/office/new/find/", {"find": "GASKET ring"}).content.decode())
    assert "Add Bowl gasket, Brattock RING 20" in found
    assert "No kit or part" in words(office.client.post("/office/new/find/", {"find": "unicorn"}).content.decode())
    assert words(office.client.post("/office/new/find/", {"find": " "}).content.decode()) == ""


def test_the_shelf_counts_whole_pieces(office: Office) -> None:
    gaskets(3)
    line = office.line(quantity="1.5", item=f"part {GASKET}", off_shelf="on")
    told = office.press("/office/new/", {**office.begin(), **line, "to": "Corwin"}, "make")
    assert told.status_code == 422
    assert "The shelf counts whole pieces" in words(told.content.decode())


def test_an_offer_from_a_job_and_its_way_back(office: Office) -> None:
    bench = Bench(owner="Dessa Wainlow")
    page = office.see(f"/office/new/job/{bench.number}/")
    typed = fields(page, "offer-form")
    assert typed["to"] == "Dessa Wainlow"
    assert typed["says-0"] == "Strip, wash, measure, build and wet bench"
    told = office.press(f"/office/new/job/{bench.number}/", typed, "make")
    assert "Write the hours, or take the line out." in words(told.content.decode())
    typed |= {"quantity-0": "3.5", "price-0": "38"}
    offer = office.at(office.press(f"/office/new/job/{bench.number}/", typed, "make"))
    assert offer.job_id == bench.number
    assert offer.enquiry_id == bench.job.enquiry_id
    assert f"/bench/{bench.number}/" in office.see(f"/office/{offer.pk}/")
    assert f"/office/new/job/{bench.number}/" in bench.see("close-and-send")


def test_a_kit_not_read_back_is_said_to_be_so_until_it_is(office: Office, call: Counter) -> None:
    address = f"/office/new/enquiry/{call.in_hand.enquiry_id}/{call.in_hand.place}/"
    typed = office.begin(address)
    says = "It has not been read back yet"
    assert says in words(office.see(address))
    assert says in words(office.press(address, typed, "add-other").content.decode())
    kit = typed["item-0"].partition(" ")[2]
    call.client.post(f"{call.at}read-back/", {"kit": kit, "confirmed": "1", "override": "the caller is in a hurry"})
    assert says not in words(office.see(address))
    assert says not in words(office.press(address, typed, "add-other").content.decode())


def test_an_offer_drafted_anew_holds_the_same(office: Office) -> None:
    gaskets(3)
    first = office.make(
        office.line(0, price="2.20", quantity="2", item=f"part {GASKET}", off_shelf="on", kind="part"),
        office.line(1, says="Core deposit", kind="core", price="60.00", sizes="drained", discount="5"),
    )
    again = office.begin(f"/office/new/again/{first.pk}/")
    second = office.at(office.press(f"/office/new/again/{first.pk}/", again, "make"))
    assert second.pk != first.pk
    assert second.goods == first.goods
    same = ("lines", "to", "return_rule", "beside", "rule")
    assert {name: second.facts[name] for name in same} == {name: first.facts[name] for name in same}


def test_what_it_is_about_must_be_there(office: Office) -> None:
    for address in ("/office/new/job/99/", "/office/new/enquiry/99/1/", "/office/new/again/99/", "/office/99/"):
        assert office.client.get(address).status_code == 404


NUMBERS = st.one_of(st.decimals(0, 10**6, places=2).map(str), st.text(max_size=12))
LINES = st.builds(
    DraftLine,
    says=st.text(max_size=30),
    quantity=NUMBERS,
    price=NUMBERS,
    discount=NUMBERS,
    rate=st.sampled_from(["", "standard", "gone"]),
)


@settings(max_examples=50)
@given(lines=st.lists(LINES, max_size=5), code=st.sampled_from(["EUR", "JPY", "CAD"]))
def test_any_draft_is_either_told_what_is_wrong_or_counted(lines: list[DraftLine], code: str) -> None:
    rules_now = OfficeSettings(currency=code, prices="before tax", rates=[["standard", "20"], ["reduced", "5"]])
    checked = check(DraftOffer(lines=tuple(lines)), rules_now, is_final=True)
    wrong = {name.rpartition("-")[2] for name in checked.faults}
    assert {str(place) for place in range(len(lines))} <= wrong | {str(place) for place in checked.lines}
    if checked.lines:
        assert checked.totals == totals(tuple(checked.lines.values()), tax_rule(rules_now), code)


@settings(max_examples=50)
@given(lines=st.lists(LINES, max_size=4), words=st.text(max_size=40))
def test_a_draft_is_read_back_as_it_was_sent(lines: list[DraftLine], words: str) -> None:
    draft = DraftOffer(to=words, doubt=words, lines=tuple(lines))
    sent = {name: getattr(draft, name) for name in OFFER_FIELDS}
    for place, line in enumerate(lines):
        sent |= {f"kind-{place}": line.kind} | {f"{name}-{place}": getattr(line, name) for name in LINE_FIELDS}
    assert read_draft(sent) == draft.__class__(**{**_plain(draft), "lines": draft.lines})


def _plain(draft: DraftOffer) -> dict[str, object]:
    return {name: getattr(draft, name).replace("\r\n", "\n") for name in OFFER_FIELDS}


def test_an_offer_holds_for_as_many_days_as_are_written(office: Office) -> None:
    for days in ("0", "30", "3650"):
        assert offer_of(office.make(valid_days=days).facts).valid_until == timezone.localdate() + timedelta(int(days))
