"""Issuing papers: an offer, the invoice of it, a credit note; goods leave or come back in the same transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from django.db import transaction
from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.money import document
from floatbowl.money.lines import Line
from floatbowl.shop.enquiries.kits_sold import put_back
from floatbowl.shop.jobs.from_shelf import draw
from floatbowl.shop.models import Enquiry, Job
from floatbowl.shop.models.office import (
    ACCEPTED,
    CREDIT,
    DECLINED,
    INVOICE,
    INVOICED,
    OFFER,
    OPEN,
    OfficePaper,
    Payment,
)
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.office.beside import keep_beside
from floatbowl.shop.office.facts import credit_of, invoice_of, kept_credit, kept_invoice, kept_offer, offer_of
from floatbowl.shop.office.guard import must_be_read_back
from floatbowl.shop.office.rules import next_number, office_settings, tax_rule
from floatbowl.shop.shelf.beginning import first_count
from floatbowl.shop.shelf.ledger import About, end_promises, item_of, promise, take, write
from floatbowl.shop.shelf.things import things_now


@dataclass(frozen=True, kw_only=True)
class Goods:
    """So many pieces of a kit or part that leave the shelf with one line of a paper (its place among the lines)."""

    place: int
    kind: str
    key: str
    pieces: int


@dataclass(frozen=True, kw_only=True)
class Draft:
    """What is to be offered."""

    to: str
    lines: Sequence[Line]
    goods: Sequence[Goods] = ()
    not_included: Sequence[str] = ()
    doubt: str = ""
    return_rule: str = ""
    valid_days: int | None = None
    enquiry: Enquiry | None = None
    job: Job | None = None
    #: What stands beside the lines (``floatbowl.shop.office.beside``), one entry a line or none.
    kinds: Sequence[str] = ()
    sizes: Sequence[Sequence[str]] = ()
    carburettor: str = ""
    reasons: Mapping[int, str] = field(default_factory=dict)
    #: The key of the kit that a line sells, by its place; also of one that the shelf does not count.
    kits: Mapping[int, str] = field(default_factory=dict)
    #: Why it comes to more than was agreed for its job.
    why_over: str = ""
    sent: str = field(default_factory=new_key)


def offer(draft: Draft, who: str) -> OfficePaper:
    """Make an offer under the shop's next number; the same ``sent`` again changes nothing. Raises ``Refused``."""
    if known := OfficePaper.objects.filter(sent=draft.sent).first():
        return known
    settings, today = office_settings(), timezone.localdate()
    days = settings.valid_days if draft.valid_days is None else draft.valid_days
    with transaction.atomic():
        made = document.Offer(
            number=next_number(OFFER, today),
            dated=today,
            valid_until=today + timedelta(days),
            to=draft.to,
            currency=settings.currency,
            rule=tax_rule(settings),
            lines=tuple(draft.lines),
            not_included=tuple(draft.not_included),
            doubt=draft.doubt,
            return_rule=draft.return_rule or settings.return_rule,
        )
        paper = OfficePaper.objects.create(
            kind=OFFER,
            number=made.number,
            dated=made.dated,
            to_name=made.to[:200],
            facts=kept_offer(made),
            goods=[[goods.place, goods.kind, goods.key, goods.pieces] for goods in draft.goods],
            total=made.totals.with_tax.value,
            currency=made.currency,
            enquiry=draft.enquiry,
            job=draft.job,
            state=OPEN,
            sent=draft.sent,
            who=who,
        )
        keep_beside(paper, draft.kinds, draft.sizes, draft.carburettor, draft.reasons, draft.kits, draft.why_over)
        return paper


def accept(paper: OfficePaper, who: str, why_out: str = "") -> None:
    """The caller says yes: the goods are kept back. A kit nobody read back needs ``why_out``.

    Raises NotEnoughError where the shelf has fewer, KitNotReadBackError, ``Refused``.
    """
    with transaction.atomic():
        paper = _offer(paper, OPEN)
        if timezone.localdate() > offer_of(paper.facts).valid_until:
            raise Refused(f"offer {paper.number} has run out; make a new one at today's prices")
        must_be_read_back(paper, why_out, who)
        if paper.enquiry is not None:
            kits = {key for _, kind, key, _ in paper.goods if kind == KIT}
            put_back(paper.enquiry, who, f"{_name(paper)} takes it", kits)
        things = things_now().all
        for _, kind, key, pieces in paper.goods:
            if thing := things.get((kind, key)):
                first_count(thing, who)
            promise(item_of(kind, key), pieces, _name(paper), who)
        _becomes(paper, ACCEPTED, f"accepted, noted by {who or 'somebody'}")


def decline(paper: OfficePaper, why: str, who: str) -> None:
    """The caller says no; what was kept back is free again. Raises ``Refused`` without a reason."""
    if not why.strip():
        raise Refused(f"offer {paper.number}: write why it was declined; lost sales are counted by it")
    with transaction.atomic():
        paper = _offer(paper, OPEN, ACCEPTED)
        end_promises(_name(paper), timezone.now())
        if paper.job is not None and not paper.job.is_open:
            draw(paper.job, who)
        _becomes(paper, DECLINED, f"declined: {why.strip()}, noted by {who or 'somebody'}")


def issue(paper: OfficePaper, who: str, why_out: str = "") -> OfficePaper:
    """The invoice of an accepted offer: goods leave the shelf and the invoice is written, both or neither.

    With it leaves what else went into its job. A kit whose read-back was taken back meanwhile needs ``why_out``.

    Raises NotEnoughError where somebody else took the last, KitNotReadBackError, ``Refused`` where the offer is not
    accepted or has run out.
    """
    with transaction.atomic():
        if known := OfficePaper.objects.filter(kind=INVOICE, follows=paper).first():
            return known
        paper = _offer(paper, ACCEPTED)
        must_be_read_back(paper, why_out, who)
        today = timezone.localdate()
        made = document.invoice_of(offer_of(paper.facts), next_number(INVOICE, today), today)
        end_promises(_name(paper), timezone.now())
        for place, kind, key, pieces in paper.goods:
            about = About(why="sale", who=who, document=f"invoice {made.number}", sent=f"{paper.sent}/{place}")
            take(item_of(kind, key), pieces, about)
        invoice = OfficePaper.objects.create(
            kind=INVOICE,
            number=made.number,
            dated=today,
            to_name=paper.to_name,
            facts=kept_invoice(made),
            seal=made.seal,
            goods=paper.goods,
            total=made.totals.with_tax.value,
            currency=made.currency,
            enquiry=paper.enquiry,
            job=paper.job,
            follows=paper,
            who=who,
        )
        keep_beside(invoice)
        if paper.job is not None:
            draw(paper.job, who)
        _becomes(paper, INVOICED, f"invoice {made.number}")
    return invoice


def credit(
    invoice: OfficePaper,
    reason: str,
    who: str,
    quantities: Mapping[int, Decimal] | None = None,
    back_at: str | None = None,
    sent: str = "",
) -> OfficePaper:
    """A credit note for an invoice or some of its lines; with ``back_at`` whole goods come back to that place.

    The same ``sent`` again changes nothing. Raises ``Refused`` for no reason or more than is left to credit.
    """
    with transaction.atomic():
        if sent and (known := OfficePaper.objects.filter(kind=CREDIT, sent=sent).first()):
            return known
        invoice = OfficePaper.objects.select_for_update().get(pk=invoice.pk, kind=INVOICE)
        today = timezone.localdate()
        whole, earlier = invoice_of(invoice.facts), credits_of(invoice)
        note = document.credit(whole, next_number(CREDIT, today), today, reason, quantities, earlier)
        paper = OfficePaper.objects.create(
            kind=CREDIT,
            number=note.number,
            dated=today,
            to_name=invoice.to_name,
            facts=kept_credit(note, whole.to, whole.currency),
            total=note.totals.with_tax.value,
            currency=invoice.currency,
            enquiry=invoice.enquiry,
            job=invoice.job,
            follows=invoice,
            sent=sent or new_key(),
            who=who,
        )
        keep_beside(paper)
        if back_at is not None:
            _take_back(invoice, note, back_at, who)
    return paper


def _take_back(invoice: OfficePaper, note: document.CreditNote, place: str, who: str) -> None:
    credited = {line.place: line.quantity for line in note.lines}
    lines = invoice_of(invoice.facts).lines
    for at, kind, key, pieces in invoice.goods:
        share = Fraction(abs(credited.get(at, Decimal(0)))) / Fraction(lines[at].quantity)
        if back := int(pieces * share):
            write(item_of(kind, key), back, About(why="return", who=who, document=f"credit note {note.number}"), place)


def pay(invoice: OfficePaper, amount: Decimal, how: str, says: str, who: str, sent: str) -> Payment:
    """Write down a payment; the same ``sent`` again changes nothing. Raises ``Refused`` for what is no payment."""
    if known := Payment.objects.filter(sent=sent).first():
        return known
    if invoice.kind != INVOICE:
        raise Refused(f"{invoice} is no invoice; a payment belongs to one")
    if how not in dict(Payment.HOWS):
        raise Refused(f"{how!r} is no way to pay here; use one of {', '.join(dict(Payment.HOWS))}")
    if amount == 0:
        raise Refused("a payment of nothing is none; write the sum, with a minus for money that went back")
    return Payment.objects.create(invoice=invoice, amount=amount, how=how, says=says[:200], who=who, sent=sent)


def credits_of(invoice: OfficePaper) -> list[document.CreditNote]:
    """The credit notes written against an invoice, oldest first."""
    rows = invoice.follow_ups.filter(kind=CREDIT).order_by("pk")
    return [credit_of(row.facts) for row in rows]


def owed(invoice: OfficePaper) -> Decimal:
    """What is still to pay; below nothing, what is to be paid back."""
    paid = sum((payment.amount for payment in invoice.payments.all()), Decimal(0))
    return document.owed(invoice_of(invoice.facts), credits_of(invoice)).value - paid


def _offer(paper: OfficePaper, *states: str) -> OfficePaper:
    """The offer as it stands now, locked; raises ``Refused`` where it is none or in another state."""
    found = OfficePaper.objects.select_for_update().get(pk=paper.pk)
    if found.kind != OFFER or found.state not in states:
        raise Refused(f"{found} is {found.state or 'no offer'}; it must be {' or '.join(states)}")
    return found


def _becomes(paper: OfficePaper, state: str, says: str) -> None:
    paper.state, paper.state_says = state, says
    paper.save(update_fields=["state", "state_says"])


def _name(paper: OfficePaper) -> str:
    return f"offer {paper.number}"
