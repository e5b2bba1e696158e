"""Offer, invoice and credit note as frozen facts: an invoice never changes, a credit note names its invoice.

What an invoice comes to is worked out from what it holds, its own rule of tax included, so a later change of the shop's
rule touches nothing issued. Its seal tells whether a stored copy is still what was issued.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, currency, nothing
from floatbowl.money.lines import Line, Totals, less, totals
from floatbowl.money.tax import TaxRule


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What a caller is offered, until when, what is not included, the stated doubt and the rule for returns."""

    number: str
    dated: date
    valid_until: date
    to: str
    currency: str
    rule: TaxRule
    lines: tuple[Line, ...]
    not_included: tuple[str, ...] = ()
    doubt: str = ""
    return_rule: str = ""

    def __post_init__(self) -> None:
        _refuse_empty("offer", self.number, self.lines, self.currency)
        if self.valid_until < self.dated:
            raise Refused(f"offer {self.number} ends on {self.valid_until}, before its date {self.dated}")

    @property
    def totals(self) -> Totals:
        """What the offer comes to."""
        return totals(self.lines, self.rule, self.currency)


@dataclass(frozen=True, slots=True, kw_only=True)
class Invoice:
    """An invoice as issued. There is no way to change one: credit it, in whole or in part, and issue another."""

    number: str
    issued: date
    to: str
    currency: str
    rule: TaxRule
    lines: tuple[Line, ...]
    offer: str = ""

    def __post_init__(self) -> None:
        _refuse_empty("invoice", self.number, self.lines, self.currency)

    @property
    def totals(self) -> Totals:
        """What the invoice comes to."""
        return totals(self.lines, self.rule, self.currency)

    @property
    def seal(self) -> str:
        """SHA-256 of all that it says, to be kept beside it: another seal means that it is not what was issued."""
        return hashlib.sha256(_plainly(self).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class CreditLine:
    """So many of the invoice's line at ``place`` (from 0); ``amount`` is theirs with the other sign."""

    place: int
    says: str
    quantity: Decimal
    amount: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class CreditNote:
    """A credit for one invoice, named by number and seal. Its amounts are the invoice's with the other sign."""

    number: str
    issued: date
    invoice: str
    invoice_seal: str
    reason: str
    lines: tuple[CreditLine, ...]
    totals: Totals


def invoice_of(offer: Offer, number: str, issued: date) -> Invoice:
    """The invoice of an accepted offer, line for line. ``Refused`` when the offer has run out."""
    if issued > offer.valid_until:
        raise Refused(f"offer {offer.number} was good until {offer.valid_until}; make a new one at today's prices")
    return Invoice(
        number=number,
        issued=issued,
        to=offer.to,
        currency=offer.currency,
        rule=offer.rule,
        lines=offer.lines,
        offer=offer.number,
    )


def credit(
    invoice: Invoice,
    number: str,
    issued: date,
    reason: str,
    quantities: Mapping[int, Decimal] | None = None,
    earlier: Sequence[CreditNote] = (),
) -> CreditNote:
    """A credit note for so many of the lines named by their place, or for all that is not credited yet.

    What is credited is the difference between the invoice at what had been credited before and after. So however the
    whole is credited, in one note or line by line, invoice and notes come to nothing to the penny, at every rate.
    Raises ``Refused`` for no reason, a note of another invoice, a date before it, or more than is left.
    """
    if not reason.strip():
        raise Refused(f"credit note {number}: say why; the reason is part of the paper")
    if issued < invoice.issued:
        raise Refused(f"credit note {number} of {issued} is older than invoice {invoice.number} of {invoice.issued}")
    before = _credited(invoice, earlier)
    asked = _asked(invoice, before, quantities)
    after = [had + asked.get(place, Decimal(0)) for place, had in enumerate(before)]
    code, rule = invoice.currency, invoice.rule
    return CreditNote(
        number=number,
        issued=issued,
        invoice=invoice.number,
        invoice_seal=invoice.seal,
        reason=reason,
        lines=tuple(_credit_line(invoice, place, before[place], after[place]) for place in asked),
        totals=less(totals(invoice.lines, rule, code, before), totals(invoice.lines, rule, code, after), code),
    )


def _credit_line(invoice: Invoice, place: int, before: Decimal, after: Decimal) -> CreditLine:
    line, code = invoice.lines[place], invoice.currency
    worth = line.amount(code, before) - line.amount(code, after)
    return CreditLine(place, line.says, after - before, Amount(worth, code))


def _credited(invoice: Invoice, earlier: Sequence[CreditNote]) -> list[Decimal]:
    """How many of each line earlier notes have credited."""
    credited = [Decimal(0)] * len(invoice.lines)
    for note in earlier:
        if (note.invoice, note.invoice_seal) != (invoice.number, invoice.seal):
            raise Refused(f"credit note {note.number} is for invoice {note.invoice}, or that invoice was changed since")
        for line in note.lines:
            credited[line.place] += line.quantity
    return credited


def _asked(invoice: Invoice, before: Sequence[Decimal], quantities: Mapping[int, Decimal] | None) -> dict[int, Decimal]:
    left = {place: line.quantity - before[place] for place, line in enumerate(invoice.lines)}
    asked = dict(quantities) if quantities is not None else {place: count for place, count in left.items() if count}
    for place, count in asked.items():
        if place not in left:
            raise Refused(f"invoice {invoice.number} has no line {place + 1}")
        if not 0 < count <= left[place]:
            says = invoice.lines[place].says
            raise Refused(f"invoice {invoice.number}, {says}: {left[place]} can still be credited, not {count}")
    if not asked:
        raise Refused(f"nothing of invoice {invoice.number} is left to credit")
    return asked


def owed(invoice: Invoice, credits: Iterable[CreditNote] = (), paid: Iterable[Amount] = ()) -> Amount:
    """What is still to pay; below nothing, what is to be paid back."""
    left = invoice.totals.with_tax
    for note in credits:
        if note.invoice != invoice.number:
            raise Refused(f"credit note {note.number} is for invoice {note.invoice}, not {invoice.number}")
        left += note.totals.with_tax
    return left - sum(paid, nothing(invoice.currency))


def _refuse_empty(what: str, number: str, lines: Sequence[Line], code: str) -> None:
    currency(code)
    if not number.strip():
        raise Refused(f"the {what} has no number; give it the next one of the shop's own")
    if not isinstance(lines, tuple):
        raise Refused(f"{what} {number}: give its lines as a tuple, which nobody can add to later")
    if not lines:
        raise Refused(f"{what} {number} has no lines; nothing is sold by it")


def _plainly(invoice: Invoice) -> str:
    """All that an invoice says, in one order and one spelling: 2 and 2.00 of a thing are the same."""
    rule = invoice.rule
    told = {
        "number": invoice.number,
        "issued": invoice.issued.isoformat(),
        "to": invoice.to,
        "currency": invoice.currency,
        "offer": invoice.offer,
        "rule": [rule.prices, rule.rounded_by, rule.how, _number(rule.line_step)],
        "lines": [
            [
                line.says,
                _number(line.quantity),
                _number(line.unit_price),
                line.rate.name,
                _number(line.rate.percent),
                _number(line.discount_percent),
            ]
            for line in invoice.lines
        ],
    }
    return json.dumps(told, ensure_ascii=True, separators=(",", ":"))


def _number(value: Decimal | None) -> str:
    if value is None:
        return ""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
