"""The credit note: names its invoice and the reason; all its amounts are below nothing."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from floatbowl.money.document import CreditNote, Invoice
from floatbowl.money.lines import Totals
from floatbowl.papers.cautions import RIGHTS
from floatbowl.papers.invoice import CHECK_SIGNS
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code, with_own
from floatbowl.papers.sums import Row, money, price_row, sums

#: Always printed on a credit note.
CAUTIONS: Final = (RIGHTS,)


@dataclass(frozen=True, slots=True, kw_only=True)
class CreditNotePaper:
    """A credit note, the invoice it undoes, and the words around it. ``paid_back`` says how the money comes back."""

    note: CreditNote
    invoice: Invoice
    shop_name: str
    shop_address: str = ""
    tax_number: str = ""
    job_number: str = ""
    enquiry: str = ""
    address: str = ""
    paid_back: str = ""
    #: What each line of the invoice is counted in, such as ``h``; empty when all are counted in pieces.
    counted_in: tuple[str, ...] = ()
    #: Besides the note's own.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def credit_note_pdf(paper: CreditNotePaper) -> bytes:
    """The credit note as a PDF; the same note gives the same bytes.

    Raises ``ValueError`` for an unknown page size, or when the note is not for that invoice as it was issued.
    """
    return printed("credit_note.typ", _as_data(paper), paper.note.issued)


def _as_data(paper: CreditNotePaper) -> dict[str, Any]:
    note, invoice = paper.note, paper.invoice
    if (note.invoice, note.invoice_seal) != (invoice.number, invoice.seal):
        raise ValueError(
            f"credit note {note.number} is for invoice {note.invoice}, not for {invoice.number} as it is here: give "
            "it the invoice as it was issued"
        )
    worked_out = {
        "date": note.issued,
        "sums": asdict(
            sums(_rows(note, invoice, paper.counted_in), invoice.lines, invoice.rule, touched(note, invoice))
        ),
        "copy_check": invoice.seal[:CHECK_SIGNS],
        "left": money(-note.totals.with_tax),
    }
    data = as_data(replace(paper, cautions=with_own(CAUTIONS, paper.cautions)), worked_out)
    return data | {"code": square_code(paper.address)}


def touched(note: CreditNote, invoice: Invoice) -> Totals:
    """The note's totals without the rates of lines that it leaves alone."""
    rates = {invoice.lines[line.place].rate for line in note.lines}
    return replace(note.totals, by_rate=tuple(each for each in note.totals.by_rate if each.rate in rates))


def _rows(note: CreditNote, invoice: Invoice, counted_in: tuple[str, ...]) -> tuple[Row, ...]:
    """What is credited of each line, at the line's own price and rate."""
    return tuple(
        price_row(
            replace(invoice.lines[line.place], says=line.says, quantity=line.quantity),
            invoice.currency,
            amount=line.amount,
            counted_in=counted_in[line.place] if counted_in else "",
        )
        for line in note.lines
    )
