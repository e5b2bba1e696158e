"""What every office paper must stand: any page, a reprint, anything typed, long names, other scripts, many lines."""

import io
import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from floatbowl.money.amount import amount
from floatbowl.money.document import Invoice, Offer, credit
from floatbowl.money.lines import Line
from floatbowl.money.tax import Rate, TaxRule
from floatbowl.papers import cautions, credit_note, invoice, offer, pick_list, purchase_order, shelf_label
from floatbowl.papers.credit_note import CreditNotePaper, credit_note_pdf
from floatbowl.papers.invoice import InvoicePaper, Payment, invoice_pdf
from floatbowl.papers.offer import OfferPaper, offer_pdf
from floatbowl.papers.paper import Caution, Page
from floatbowl.papers.pick_list import PickLine, PickList, pick_list_pdf
from floatbowl.papers.purchase_order import OrderLine, PurchaseOrder, purchase_order_pdf
from floatbowl.papers.shelf_label import ShelfLabel, shelf_labels_pdf

DAY = date(2026, 11, 25)
MIND = Caution("Mind the wasps.", "The beekeeper decides.")
POINTS_PER_MM = 72 / 25.4
#: A money fact refuses an empty number or reason; every other text may be empty.
NUMBER = "N-1"


def sold(text: str, count: int = 1) -> tuple[Line, ...]:
    rate = Rate(text, Decimal("17.5"))
    return tuple(Line(says=text, quantity=Decimal(2), unit_price=Decimal("5"), rate=rate) for _ in range(count))


def offered(text: str, page: Page = "A4", count: int = 1, more: tuple[Caution, ...] = ()) -> bytes:
    fact = Offer(
        number=text.strip() or NUMBER,
        dated=DAY,
        valid_until=DAY,
        to=text,
        currency="GBP",
        rule=TaxRule(),
        lines=sold(text, count),
        not_included=(text,),
        doubt=text,
        return_rule=text,
    )
    return offer_pdf(
        OfferPaper(
            offer=fact,
            shop_name=text,
            shop_address=text,
            tax_number=text,
            enquiry=text,
            address=text,
            carburettor=text,
            sizes=((text,),) * count,
            core=text,
            accept=text,
            cautions=more,
            page=page,
        )
    )


def issued(text: str, count: int = 1) -> Invoice:
    return Invoice(
        number=text.strip() or NUMBER,
        issued=DAY,
        to=text,
        currency="GBP",
        rule=TaxRule(),
        lines=sold(text, count),
        offer=text,
    )


def invoiced(text: str, page: Page = "A4", count: int = 1, more: tuple[Caution, ...] = ()) -> bytes:
    fact = issued(text, count)
    return invoice_pdf(
        InvoicePaper(
            invoice=fact,
            shop_name=text,
            shop_address=text,
            tax_number=text,
            job_number=text,
            enquiry=text,
            address=text,
            carburettor=text,
            sizes=((text,),) * count,
            payments=(Payment(text, amount("1", "GBP")),),
            credits=(credit(fact, text.strip() or NUMBER, DAY, text.strip() or "why", {0: Decimal(1)}),),
            how_to_pay=text,
            core=text,
            cautions=more,
            page=page,
        )
    )


def credited(text: str, page: Page = "A4", count: int = 1, more: tuple[Caution, ...] = ()) -> bytes:
    fact = issued(text, count)
    return credit_note_pdf(
        CreditNotePaper(
            note=credit(fact, text.strip() or NUMBER, DAY, text.strip() or "why"),
            invoice=fact,
            shop_name=text,
            shop_address=text,
            tax_number=text,
            job_number=text,
            enquiry=text,
            address=text,
            paid_back=text,
            cautions=more,
            page=page,
        )
    )


def picked(text: str, page: Page = "A4", count: int = 1, more: tuple[Caution, ...] = ()) -> bytes:
    line = PickLine(place=text, item=text, part=text, sizes=(text,), short=Decimal(1), gasket=True, note=text)
    return pick_list_pdf(
        PickList(
            shop_name=text,
            number=text,
            date=DAY,
            purpose=text,
            address=text,
            caller_name=text,
            kit=text,
            lines=(line,) * count,
            cautions=more,
            page=page,
        )
    )


def ordered(text: str, page: Page = "A4", count: int = 1, more: tuple[Caution, ...] = ()) -> bytes:
    price = amount("1250.5", "GBP")
    line = OrderLine(item=text, packs=2, supplier_number=text, our_number=text, pack_price=price, note=text)
    return purchase_order_pdf(
        PurchaseOrder(
            shop_name=text,
            number=text,
            date=DAY,
            supplier=text,
            shop_address=text,
            tax_number=text,
            account=text,
            deliver_to=text,
            prices=text,
            note=text,
            lines=(line,) * count,
            cautions=more,
            page=page,
        )
    )


def labelled(text: str, page: Page = "A4") -> bytes:
    label = ShelfLabel(place=text, item=text, number=text, sizes=(text,), keep=text, address=text, caution=MIND)
    return shelf_labels_pdf((label, label), page=page)


#: How often each sheet prints the one text, at the least: every field once.
TIMES = {offered: 14, invoiced: 17, credited: 12, picked: 8, ordered: 11}
SHEETS = list(TIMES)
PAPERS = [*SHEETS, labelled]


@cache
def lowfold(paper: Callable[..., bytes], page: Page = "A4") -> bytes:
    return paper("Lowfold", page)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("page", "wide_mm", "high_mm"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_page_size(paper: Callable[..., bytes], page: Page, wide_mm: float, high_mm: float) -> None:
    for sheet in PdfReader(io.BytesIO(lowfold(paper, page))).pages:
        size = (float(sheet.mediabox.width), float(sheet.mediabox.height))
        assert size == pytest.approx((wide_mm * POINTS_PER_MM, high_mm * POINTS_PER_MM), abs=0.1)


@pytest.mark.parametrize("paper", PAPERS)
def test_an_unknown_page_size_is_refused_with_the_choices(paper: Callable[..., bytes]) -> None:
    with pytest.raises(ValueError, match="A4, Letter"):
        paper("Lowfold", "A5")


@pytest.mark.parametrize("paper", PAPERS)
def test_a_reprint_has_the_same_bytes_and_another_text_has_others(paper: Callable[..., bytes]) -> None:
    assert paper("Lowfold") == lowfold(paper)
    assert paper("Highfold") != lowfold(paper)


@pytest.mark.parametrize("paper", SHEETS)
def test_the_date_of_the_file_is_the_date_of_the_paper(paper: Callable[..., bytes]) -> None:
    made = PdfReader(io.BytesIO(lowfold(paper))).metadata
    assert made is not None
    assert made.creation_date is not None
    assert made.creation_date.date() == DAY


@pytest.mark.parametrize("paper", SHEETS)
def test_what_people_typed_is_never_acted_on(paper: Callable[..., bytes], squeezed: Callable[[bytes], str]) -> None:
    typed = '#panic("no") $x^2$ [b] *strong* _em_ \\ `raw` <label> @ref /* gone */ #{1+1}'
    assert squeezed(paper(typed)).count(re.sub(r"\s", "", typed)) >= TIMES[paper]


@pytest.mark.parametrize("paper", SHEETS)
def test_a_word_without_an_end_stays_within_the_paper_and_an_unknown_sign_is_owned_up_to(
    paper: Callable[..., bytes],
) -> None:
    reader = PdfReader(io.BytesIO(paper("W" * 40 + " 名")))
    printed = [line.replace("\u200b", "") for page in reader.pages for line in page.extract_text().splitlines()]
    paper_holds = 176 * POINTS_PER_MM / 7
    assert max(len(run) for line in printed for run in re.findall("W+", line)) < paper_holds
    assert "".join(printed).count("W") >= TIMES[paper] * 40
    assert "emptybox" in re.sub(r"\s", "", "".join(printed))


@pytest.mark.parametrize("paper", [offered, invoiced, picked, ordered])
def test_texts_longer_than_a_page_go_on_overleaf(
    paper: Callable[..., bytes], pages: Callable[[bytes], list[str]]
) -> None:
    printed = pages(paper("Lowfold " * 45 + "the end"))
    assert len(printed) > 1
    assert len(re.findall("the ?end", " ".join(printed))) >= TIMES[paper]
    for number, page in enumerate(printed, start=1):
        assert f"page {number} of {len(printed)}" in page


#: Offer and credit note have the table of the invoice.
HEADS = {invoiced: "Each", picked: "Laid on its template", ordered: "In a pack"}


@pytest.mark.parametrize("paper", HEADS)
def test_many_lines_repeat_their_heads(paper: Callable[..., bytes], pages: Callable[[bytes], list[str]]) -> None:
    printed = pages(paper("Lowfold", "Letter", 34))
    with_rows = [page for page in printed if re.search("5.00 Lowfold|1,250.50 2,501|SHORT", page)]
    assert len(with_rows) > 1
    assert all(HEADS[paper] in page for page in with_rows)
    assert f"page {len(printed)} of {len(printed)}" in printed[-1]


@pytest.mark.parametrize("paper", [invoiced, labelled])
def test_names_in_the_scripts_of_the_typeface(paper: Any, squeezed: Callable[[bytes], str]) -> None:
    name = "Łódź Ωμέγα Жук Đỗ"
    text = squeezed(paper(name))
    assert name.replace(" ", "") in text
    assert "emptybox" not in text


def test_a_label_owns_up_to_signs_outside_the_typeface(squeezed: Callable[[bytes], str]) -> None:
    assert "emptybox" in squeezed(labelled("名前 😀"))


@pytest.mark.parametrize("paper", PAPERS)
@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=st.text(st.characters(exclude_categories=()), max_size=60).filter(lambda text: not _lone(text)))
def test_nothing_typed_can_break_it(paper: Callable[..., bytes], text: str) -> None:
    assert paper(text).startswith(b"%PDF-")


def _lone(text: str) -> bool:
    """Half of a pair of signs: no money fact can hold one, since its seal is of its bytes."""
    return any(0xD800 <= ord(sign) <= 0xDFFF for sign in text)


@pytest.mark.parametrize(
    ("own", "paper"),
    [
        (offer.CAUTIONS, offered),
        (invoice.CAUTIONS + invoice.CORE_CAUTIONS, invoiced),
        (credit_note.CAUTIONS, credited),
        (pick_list.CAUTIONS, picked),
        (purchase_order.CAUTIONS, ordered),
    ],
)
def test_the_papers_own_cautions_cannot_be_left_out(
    own: tuple[Caution, ...], paper: Any, squeezed: Callable[[bytes], str]
) -> None:
    text = squeezed(paper("Lowfold", more=(MIND,)))
    for caution in (*own, MIND):
        for part in (caution.says, caution.rule):
            assert re.sub(r"\s+", "", part) in text


def test_every_caution_names_who_decides() -> None:
    modules = (cautions, credit_note, invoice, offer, pick_list, purchase_order, shelf_label)
    found = {value for module in modules for value in vars(module).values() if isinstance(value, Caution)}
    assert {cautions.ASBESTOS, cautions.POSTING, shelf_label.OLD_GASKETS} <= found
    assert [caution for caution in found if not re.search(r"\bdecides?\b", caution.rule)] == []
