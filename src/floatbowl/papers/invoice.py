"""The invoice: its lines and totals by rate, what is credited and paid already, and what is owed."""

from __future__ import annotations

import datetime
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from floatbowl.money.amount import Amount, nothing
from floatbowl.money.document import CreditNote, Invoice, owed
from floatbowl.papers.cautions import ASBESTOS, POSTING, RIGHTS
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code, with_own
from floatbowl.papers.sums import MINUS, figure, money, price_rows, sums

#: Always printed on an invoice.
CAUTIONS: Final = (RIGHTS,)
#: Printed as well while an old carburettor is still to come back.
CORE_CAUTIONS: Final = (ASBESTOS, POSTING)
#: Signs of the seal at the foot. Eight hexadecimal signs: another text has the same ones once in 4 thousand million.
CHECK_SIGNS: Final = 8


@dataclass(frozen=True, slots=True)
class Payment:
    """What was paid, ``how`` (such as cash, card, transfer) and when. An amount below nothing was paid back."""

    how: str
    amount: Amount
    paid_on: datetime.date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoicePaper:
    """An invoice as issued, what was paid and credited, and the words around it.

    ``sizes``: for each line what stands under it; empty when no line has any. ``tax_number`` is written as it is, so
    with its name. ``address`` is what the square code opens. ``core`` says how a core deposit comes back, ``core_due``
    until when.
    """

    invoice: Invoice
    shop_name: str
    shop_address: str = ""
    tax_number: str = ""
    job_number: str = ""
    enquiry: str = ""
    address: str = ""
    carburettor: str = ""
    supplied: datetime.date | None = None
    sizes: tuple[tuple[str, ...], ...] = ()
    #: What each line is counted in, such as ``h``; empty when all are counted in pieces.
    counted_in: tuple[str, ...] = ()
    payments: tuple[Payment, ...] = ()
    credits: tuple[CreditNote, ...] = ()
    pay_by: datetime.date | None = None
    how_to_pay: str = ""
    core: str = ""
    core_due: datetime.date | None = None
    #: Besides the invoice's own.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def invoice_pdf(paper: InvoicePaper) -> bytes:
    """The invoice as a PDF; the same invoice with the same payments gives the same bytes.

    Raises ``ValueError`` for an unknown page size or sizes that are not as many as the lines, and ``Refused`` (a
    ``ValueError`` too) for a credit note of another invoice or a payment in another currency.
    """
    return printed("invoice.typ", _as_data(paper), paper.invoice.issued)


def _as_data(paper: InvoicePaper) -> dict[str, Any]:
    invoice = paper.invoice
    _refuse_changed(invoice, paper.credits)
    rows = price_rows(invoice.lines, invoice.currency, paper.sizes, paper.counted_in)
    worked_out = {
        "date": invoice.issued,
        "sums": asdict(sums(rows, invoice.lines, invoice.rule, invoice.totals)),
        "copy_check": invoice.seal[:CHECK_SIGNS],
        "credited": [figure(note.totals.with_tax) for note in paper.credits],
        "paid": [figure(-payment.amount) for payment in paper.payments],
        **_left(owed(invoice, paper.credits, (payment.amount for payment in paper.payments))),
    }
    own = CAUTIONS + (CORE_CAUTIONS if paper.core or paper.core_due else ())
    data = as_data(replace(paper, cautions=with_own(own, paper.cautions)), worked_out)
    return data | {"code": square_code(paper.address)}


def _refuse_changed(invoice: Invoice, credits: tuple[CreditNote, ...]) -> None:
    for note in credits:
        if note.invoice == invoice.number and note.invoice_seal != invoice.seal:
            raise ValueError(
                f"credit note {note.number} is for invoice {note.invoice} under another seal: one of the two was "
                "changed since; compare them with what was issued"
            )


def _left(left: Amount) -> dict[str, Any]:
    """What is owed, which way it goes, and what coins can pay of it where that differs."""
    owes = "you" if nothing(left.currency) < left else "us" if left < nothing(left.currency) else "nobody"
    cash = left.in_cash()
    in_cash = "" if cash.value == left.value else money(cash).lstrip(MINUS)
    return {"owes": owes, "left": money(left).lstrip(MINUS), "in_cash": in_cash}
