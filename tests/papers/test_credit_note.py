"""The credit note: it names its invoice and the reason, and all its amounts are below nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from tests.papers.sold import HEAD, Words, invoice, kit, postage, seats

from floatbowl.money.document import credit
from floatbowl.papers.credit_note import CreditNotePaper, credit_note_pdf

INVOICE = invoice(kit(), seats(3), postage())
NOTE = credit(INVOICE, "C-0009", date(2026, 12, 5), "The seats were out of size.", {1: Decimal(2)})
PAPER = CreditNotePaper(
    note=NOTE,
    invoice=INVOICE,
    **HEAD,
    job_number="J-0117",
    address="http://shop.local/bench/jobs/117",
)


def test_it_names_its_invoice_and_the_reason(words: Words) -> None:
    text = words(credit_note_pdf(PAPER))
    for want in (
        "Credit note", "C-0009", "5 December 2026", "For invoice I-0077", "Issued on 1 December 2026",
        f"Its copy check {INVOICE.seal[:8]}", "This takes back invoice I-0077", "Why: The seats were out of size.",
        "Wil Harrowgate", "J-0117", "VAT number 000 0000 00",
    ):  # fmt: skip
        assert want in text


def test_only_what_is_credited_is_listed_at_amounts_below_nothing(words: Words) -> None:
    """Two seats at 6.50 are 13.00, with 20 % tax 15.60."""
    text = words(credit_note_pdf(PAPER))
    assert "Needle seat 2 6.50 standard 20 % −13.00" in text
    assert "standard 20 % −13.00 −2.60 −15.60" in text
    assert "Credited in all −15.60 GBP" in text
    assert "The 15.60 GBP count towards" in text
    assert "full kit" not in text
    assert "reduced" not in text


def test_a_whole_invoice_is_credited_rate_by_rate(words: Words) -> None:
    whole = credit(INVOICE, "C-0010", date(2026, 12, 5), "Sent back unopened.")
    text = words(credit_note_pdf(replace(PAPER, note=whole, paid_back="By transfer within a week.")))
    assert "Tarnsyke K36 full kit 1 1,200.00 standard 20 % −1,200.00" in text
    assert "reduced 5 % −5.20 −0.26 −5.46" in text
    assert f"Credited in all −{INVOICE.totals.with_tax.value:,} GBP" in text
    assert "By transfer within a week." in text


@pytest.mark.parametrize("changed", [{"number": "I-0078"}, {"to": "Somebody else"}])
def test_another_invoice_or_a_changed_one_is_refused(changed: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"C-0009 is for invoice I-0077.*as it was issued"):
        credit_note_pdf(replace(PAPER, invoice=replace(INVOICE, **changed)))  # type: ignore[arg-type]
