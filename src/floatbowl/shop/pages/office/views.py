"""One paper of the office: an offer to be accepted or declined, an invoice to be paid or credited, a credit note."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount
from floatbowl.money.document import Invoice, Offer
from floatbowl.papers.credit_note import touched
from floatbowl.papers.invoice import CHECK_SIGNS
from floatbowl.shop.enquiries.closing import close_when_invoiced
from floatbowl.shop.models import OfficePaper, Payment
from floatbowl.shop.models.office import ACCEPTED, CREDIT, DECLINED, INVOICE, OFFER, OPEN
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.office import issuing
from floatbowl.shop.office.beside import Beside, beside_of, counted_in
from floatbowl.shop.office.facts import credit_of, invoice_of, offer_of
from floatbowl.shop.pages.bench.steps import sent_name
from floatbowl.shop.pages.counter.page import CONFLICT, UNPROCESSABLE
from floatbowl.shop.pages.office import money_in
from floatbowl.shop.pages.office.goods import goods_said, in_words
from floatbowl.shop.pages.office.guarded import guard_shown, why_typed
from floatbowl.shop.pages.office.listing import is_settled, valid_until
from floatbowl.shop.pages.office.says import PRICES_SAY, money, says_sums
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf.ledger import NotEnoughError

TEMPLATES: Final = {OFFER: "office/offer.html", INVOICE: "office/invoice.html", CREDIT: "office/credit.html"}


def find(number: int, kind: str = "") -> OfficePaper:
    """The paper of this key, or "not found"."""
    wanted = {"pk": number} | ({"kind": kind} if kind else {})
    return get_object_or_404(OfficePaper.objects.select_related("follows", "enquiry", "job"), **wanted)


@require_GET
def show(request: HttpRequest, number: int) -> HttpResponse:
    """One paper."""
    return _page(request, find(number))


def _page(request: HttpRequest, paper: OfficePaper, refused: dict[str, Any] | None = None) -> HttpResponse:
    """The paper's page; ``refused`` says where, what and why, and holds what was typed."""
    shown_with = _context(paper) | {"refused": refused or {}, "typed": request.POST if refused else {}}
    if paper.kind == INVOICE:
        shown_with["credit_lines"] = [
            {
                "place": line.place,
                "says": line.says,
                "left": line.left,
                "typed": request.POST.get(f"count-{line.place}", ""),
            }
            for line in shown_with["lines"]
        ]
    status = int(refused.get("status", UNPROCESSABLE)) if refused else 200
    return render(request, TEMPLATES[paper.kind], shown_with, status=status)


def _context(paper: OfficePaper) -> dict[str, Any]:
    shown_with = {
        "place": "office",
        "paper": paper,
        "beside": beside_of(paper),
        "sent": new_key(),
        "follow_ups": list(paper.follow_ups.order_by("pk")),
        "code": paper.currency,
    }
    more = {OFFER: _offer_context, INVOICE: _invoice_context, CREDIT: _credit_context}[paper.kind]
    return shown_with | more(paper)


@dataclass(frozen=True)
class ShownLine:
    """One line of a paper as the page shows it."""

    place: int
    says: str
    sizes: tuple[str, ...]
    quantity: str
    price: str
    discount: str
    rate: str
    amount: str
    left: str = ""
    why_low: str = ""


def _lines(document: Offer | Invoice, beside: Beside, left: list[Decimal] | None = None) -> Any:
    code, sizes, units = document.currency, beside.sizes, counted_in(beside)
    return [
        ShownLine(
            place=place,
            says=line.says,
            sizes=sizes[place] if place < len(sizes) else (),
            quantity=_plain(line.quantity) + (f" {units[place]}" if units and units[place] else ""),
            price=str(money(line.unit_price, code)),
            discount=f"{_plain(line.discount_percent)} % off" if line.discount_percent else "",
            rate="" if document.rule.prices == "no tax" else f"{_plain(line.rate.percent)} %",
            amount=str(Amount(line.amount(code), code)),
            left=_plain(left[place]) if left else "",
            why_low=beside.reasons.get(place, ""),
        )
        for place, line in enumerate(document.lines)
    ]


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _offer_context(paper: OfficePaper) -> dict[str, Any]:
    offer = offer_of(paper.facts)
    has_run_out = paper.state in (OPEN, ACCEPTED) and timezone.localdate() > valid_until(paper)
    return guard_shown(paper) | {
        "document": offer,
        "lines": _lines(offer, beside_of(paper)),
        "sums": says_sums(offer.totals, offer.rule.prices),
        "rule": PRICES_SAY.get(offer.rule.prices, ""),
        "goods": goods_said(paper),
        "has_run_out": has_run_out,
        "can_accept": paper.state == OPEN and not has_run_out,
        "can_decline": paper.state in (OPEN, ACCEPTED),
        "can_issue": paper.state == ACCEPTED and not has_run_out,
    }


def _invoice_context(paper: OfficePaper) -> dict[str, Any]:
    invoice = invoice_of(paper.facts)
    payments = list(paper.payments.all())
    owed = money(issuing.owed(paper), paper.currency)
    settled = is_settled(owed, in_cash=any(each.how == "cash" for each in payments))
    left = money_in.left_to_credit(paper)
    return guard_shown(paper) | {
        "document": invoice,
        "lines": _lines(invoice, beside_of(paper), left),
        "sums": says_sums(invoice.totals, invoice.rule.prices),
        "rule": PRICES_SAY.get(invoice.rule.prices, ""),
        "payments": [(each, str(money(each.amount, paper.currency))) for each in payments],
        "credits": [(each, str(money(each.total, paper.currency))) for each in paper.follow_ups.filter(kind=CREDIT)],
        "owed": str(owed if owed.value >= 0 else -owed),
        "owes": "nobody" if settled else "you" if owed.value > 0 else "us",
        "rounded_off": settled and bool(owed),
        "in_cash": str(owed.in_cash()) if owed.in_cash() != owed and not settled else "",
        "usual": f"{owed.value:f}" if not settled else "",
        "hows": Payment.HOWS,
        "can_credit": any(left),
        "has_goods": bool(paper.goods),
        "is_whole": invoice.seal == paper.seal,
        "copy_check": paper.seal[:CHECK_SIGNS],
    }


def _credit_context(paper: OfficePaper) -> dict[str, Any]:
    note = credit_of(paper.facts)
    invoice = paper.follows
    credited = invoice_of(invoice.facts) if invoice else None
    totals = touched(note, credited) if credited else note.totals
    units = counted_in(beside_of(paper))
    return {
        "document": note,
        "lines": [
            {
                "says": line.says,
                "quantity": f"{_plain(abs(line.quantity))} {units[line.place] if units else ''}".strip(),
                "amount": str(line.amount),
            }
            for line in note.lines
        ],
        "sums": says_sums(totals, credited.rule.prices if credited else "no tax"),
    }


def _tried(
    request: HttpRequest, paper: OfficePaper, where: str, does: Callable[[], OfficePaper], done: str, becomes: str = ""
) -> HttpResponse:
    """Do one thing to a paper in one transaction, or say beside its button why it cannot be done.

    Where the paper meanwhile is what it was to become, it was sent twice, and nothing is wrong.
    """
    try:
        with transaction.atomic():
            to = does()
    except NotEnoughError as short:
        says = f"{in_words(str(short), paper)} Somebody else may have the last of it: build, buy or offer another."
        return _page(request, find(paper.pk), {"where": where, "says": says, "status": CONFLICT})
    except Refused as refused:
        if becomes and find(paper.pk).state == becomes:
            return redirect("office:paper", paper.pk)
        return _page(request, find(paper.pk), {"where": where, "says": f"{refused}."})
    messages.success(request, done.format(to.number))
    return redirect("office:paper", to.pk)


@require_POST
def accept(request: HttpRequest, number: int) -> HttpResponse:
    """The caller says yes."""
    paper = find(number, OFFER)

    def does() -> OfficePaper:
        issuing.accept(paper, who_is(request), why_typed(request.POST))
        return paper

    said = "Offer {} is accepted; its goods are kept back." if paper.goods else "Offer {} is accepted."
    return _tried(request, paper, "accept", does, said, ACCEPTED)


@require_POST
def decline(request: HttpRequest, number: int) -> HttpResponse:
    """The caller says no."""
    paper = find(number, OFFER)

    def does() -> OfficePaper:
        issuing.decline(paper, request.POST.get("why", ""), who_is(request))
        return paper

    said = "Offer {} is declined; what was kept back for it is free again."
    return _tried(request, paper, "decline", does, said, DECLINED)


@require_POST
def issue(request: HttpRequest, number: int) -> HttpResponse:
    """Make the invoice of an accepted offer."""
    paper = find(number, OFFER)

    def does() -> OfficePaper:
        made = issuing.issue(paper, who_is(request), why_typed(request.POST))
        if made.enquiry is not None and made.job is None:
            ends.append(close_when_invoiced(made.enquiry, made.number, who_is(request)))
        return made

    ends: list[str] = []
    answer = _tried(request, paper, "issue", does, "Invoice {} is made.")
    for said in filter(None, ends):
        messages.info(request, said)
    return answer


@require_POST
def pay(request: HttpRequest, number: int) -> HttpResponse:
    """Write a payment down."""
    invoice = find(number, INVOICE)
    sent = sent_name(request)
    if Payment.objects.filter(sent=sent).exists():
        return redirect("office:paper", number)
    try:
        amount, how = money_in.payment(invoice, request.POST)
        paid = issuing.pay(invoice, amount, how, request.POST.get("says", ""), who_is(request), sent)
    except money_in.AskBackError as asked:
        return _page(request, invoice, {"where": "pay", "says": str(asked), "may_insist": asked.may_insist})
    except Refused as refused:
        return _page(request, invoice, {"where": "pay", "says": f"{refused}."})
    except IntegrityError:
        return redirect("office:paper", number)
    messages.success(request, f"{money(paid.amount, invoice.currency)} by {paid.how} is written down.")
    return redirect("office:paper", number)


@require_POST
def credit(request: HttpRequest, number: int) -> HttpResponse:
    """Write a credit note for an invoice or some of its lines."""
    invoice, sent = find(number, INVOICE), sent_name(request)

    def does() -> OfficePaper:
        asked = money_in.credit_asked(invoice, request.POST)
        return issuing.credit(invoice, asked.reason, who_is(request), asked.quantities, asked.back_at, sent)

    return _tried(request, invoice, "credit", does, "Credit note {} is made.")
