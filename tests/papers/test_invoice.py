"""The invoice: what is paid already, what is owed, and the signs that tell a changed copy."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from pypdf import PdfReader
from tests.papers.sold import HEAD, Words, invoice, kit, seats

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import amount
from floatbowl.money.document import credit
from floatbowl.money.lines import Line
from floatbowl.money.tax import Rate
from floatbowl.papers.invoice import CORE_CAUTIONS, InvoicePaper, Payment, invoice_pdf
from floatbowl.papers.paper import Page

INVOICE = invoice(kit(), seats(), offer="O-0231")
PAPER = InvoicePaper(
    invoice=INVOICE,
    **HEAD,
    shop_address="Mill Yard",
    job_number="J-0117",
    enquiry="E-1043",
    address="http://shop.local/bench/jobs/117",
    carburettor="Tarnsyke K36/118",
    supplied=date(2026, 11, 30),
    pay_by=date(2026, 12, 31),
    how_to_pay="Card or cash at the counter.",
)
SEAT_BACK = credit(INVOICE, "C-0009", date(2026, 12, 5), "The seat was out of size.", {1: Decimal(1)})
CARD = Payment("card", amount("1000", "GBP"), date(2026, 11, 26))


def test_all_that_is_charged_stands_on_it(words: Words) -> None:
    text = words(invoice_pdf(PAPER))
    for want in (
        "Nettlebeck Carburettor Room", "Mill Yard", "VAT number 000 0000 00", "Wil Harrowgate", "I-0077",
        "1 December 2026", "J-0117", "E-1043", "O-0231", "Tarnsyke K36/118", "Supplied on 30 November 2026",
        "Pay by 31 December 2026", "standard 20 % 1,213.00 242.60 1,455.60", "This invoice 1,455.60 GBP",
        "Nothing is paid or credited yet", "You owe 1,455.60 GBP", PAPER.how_to_pay,
    ):  # fmt: skip
        assert want in text


def test_what_is_credited_and_paid_is_named_and_taken_off(words: Words) -> None:
    """1,455.60 less 7.80 (6.50 with 20 %), less 1,000 by card, and 10 paid back: 457.80."""
    back = Payment("transfer", amount("-10", "GBP"))
    text = words(invoice_pdf(replace(PAPER, credits=(SEAT_BACK,), payments=(CARD, back))))
    for want in (
        "Credit note C-0009 of 5 December 2026: The seat was out of size. −7.80",
        "Paid by card on 26 November 2026 −1,000.00",
        "Paid back by transfer, day not noted 10.00",
        "You owe 457.80 GBP",
    ):
        assert want in text


@pytest.mark.parametrize(
    ("paid", "said"),
    [("1455.60", "Nothing is owed"), ("1500", "We owe you 44.40 GBP"), ("1455.59", "You owe 0.01 GBP")],
)
def test_which_way_the_money_goes_is_said_in_words(paid: str, said: str, words: Words) -> None:
    text = words(invoice_pdf(replace(PAPER, payments=(replace(CARD, amount=amount(paid, "GBP")),))))
    assert said in text
    assert (PAPER.how_to_pay in text) == said.startswith("You owe")


def test_what_coins_can_pay_is_told_where_it_differs(words: Words) -> None:
    """4.92 CAD is 4.90 in cash (Budget of Canada 2012, "Rounding")."""
    line = Line(says="Coffee and sandwich", quantity=Decimal(1), unit_price=Decimal("4.92"))
    canadian = replace(PAPER, invoice=replace(INVOICE, currency="CAD", lines=(line,)))
    assert "In coins and notes that is 4.90 CAD" in words(invoice_pdf(canadian))
    assert "coins and notes" not in words(invoice_pdf(PAPER))


def test_the_copy_check_is_the_start_of_the_seal_on_every_page(pages: Callable[[bytes], list[str]]) -> None:
    many = replace(INVOICE, lines=INVOICE.lines * 15)
    printed = pages(invoice_pdf(replace(PAPER, invoice=many)))
    assert len(printed) > 1
    assert all(f"copy check {many.seal[:8]}" in page for page in printed)


def test_another_text_has_another_copy_check(words: Words) -> None:
    changed = replace(INVOICE, to="Somebody else")
    assert changed.seal[:8] in words(invoice_pdf(replace(PAPER, invoice=changed)))
    assert INVOICE.seal[:8] not in words(invoice_pdf(replace(PAPER, invoice=changed)))


def test_cautions_for_posting_come_with_a_core_that_is_due(words: Words) -> None:
    waits = words(invoice_pdf(replace(PAPER, core_due=date(2027, 2, 1))))
    assert "We wait for it until 1 February 2027" in waits
    assert all(caution.says in waits for caution in CORE_CAUTIONS)
    assert not any(caution.says in words(invoice_pdf(PAPER)) for caution in CORE_CAUTIONS)


def test_a_credit_note_of_another_invoice_is_refused() -> None:
    with pytest.raises(Refused, match="is for invoice I-0077, not I-0078"):
        invoice_pdf(replace(PAPER, invoice=replace(INVOICE, number="I-0078"), credits=(SEAT_BACK,)))


def test_a_credit_note_of_a_changed_invoice_is_refused() -> None:
    with pytest.raises(ValueError, match="under another seal"):
        invoice_pdf(replace(PAPER, invoice=replace(INVOICE, to="Somebody else"), credits=(SEAT_BACK,)))


def test_a_payment_in_another_currency_is_refused() -> None:
    with pytest.raises(Refused, match="two currencies"):
        invoice_pdf(replace(PAPER, payments=(Payment("cash", amount("5", "EUR")),)))


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    text = words(invoice_pdf(InvoicePaper(invoice=replace(INVOICE, to=""), shop_name="")))
    for want in ("Shop not named", "name not taken", "Ask us how to pay, and quote invoice I-0077"):
        assert want in text
    assert "Pay by" not in text


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_an_ordinary_invoice_is_one_page(page: Page) -> None:
    paper = replace(PAPER, page=page, payments=(CARD,), credits=(SEAT_BACK,), core_due=date(2027, 2, 1))
    assert len(PdfReader(io.BytesIO(invoice_pdf(paper))).pages) == 1


def test_twenty_rates_of_tax_go_on_overleaf(pages: Callable[[bytes], list[str]]) -> None:
    line = INVOICE.lines[0]
    lines = tuple(replace(line, rate=Rate(f"rate {n}.", Decimal(n))) for n in range(20))
    printed = pages(invoice_pdf(replace(PAPER, invoice=replace(INVOICE, lines=lines))))
    assert all(sum(page.count(f"rate {n}.") for page in printed) == 2 for n in range(20))
