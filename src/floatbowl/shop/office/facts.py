"""Offers, invoices and credit notes to facts that can be kept, and back, without loss."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from floatbowl.money.amount import Amount
from floatbowl.money.document import CreditLine, CreditNote, Invoice, Offer
from floatbowl.money.lines import Line, RateTotal, Totals
from floatbowl.money.tax import Rate, TaxRule


def kept_offer(offer: Offer) -> dict[str, Any]:
    """An offer as facts."""
    return {
        **_head(offer.number, offer.to, offer.currency),
        "dated": offer.dated.isoformat(),
        "valid_until": offer.valid_until.isoformat(),
        "rule": _kept_rule(offer.rule),
        "lines": [_kept_line(line) for line in offer.lines],
        "not_included": list(offer.not_included),
        "doubt": offer.doubt,
        "return_rule": offer.return_rule,
    }


def offer_of(facts: Mapping[str, Any]) -> Offer:
    """The offer that was kept."""
    return Offer(
        number=facts["number"],
        dated=date.fromisoformat(facts["dated"]),
        valid_until=date.fromisoformat(facts["valid_until"]),
        to=facts["to"],
        currency=facts["currency"],
        rule=_rule(facts["rule"]),
        lines=_lines(facts["lines"]),
        not_included=tuple(facts["not_included"]),
        doubt=facts["doubt"],
        return_rule=facts["return_rule"],
    )


def kept_invoice(invoice: Invoice) -> dict[str, Any]:
    """An invoice as facts."""
    return {
        **_head(invoice.number, invoice.to, invoice.currency),
        "issued": invoice.issued.isoformat(),
        "rule": _kept_rule(invoice.rule),
        "lines": [_kept_line(line) for line in invoice.lines],
        "offer": invoice.offer,
    }


def invoice_of(facts: Mapping[str, Any]) -> Invoice:
    """The invoice that was kept."""
    return Invoice(
        number=facts["number"],
        issued=date.fromisoformat(facts["issued"]),
        to=facts["to"],
        currency=facts["currency"],
        rule=_rule(facts["rule"]),
        lines=_lines(facts["lines"]),
        offer=facts["offer"],
    )


def kept_credit(note: CreditNote, to: str, currency: str) -> dict[str, Any]:
    """A credit note as facts."""
    return {
        **_head(note.number, to, currency),
        "issued": note.issued.isoformat(),
        "invoice": note.invoice,
        "invoice_seal": note.invoice_seal,
        "reason": note.reason,
        "lines": [[line.place, line.says, str(line.quantity), str(line.amount.value)] for line in note.lines],
        "totals": [_kept_total(each) for each in note.totals.by_rate],
        "sums": [str(amount.value) for amount in (note.totals.before_tax, note.totals.tax, note.totals.with_tax)],
    }


def credit_of(facts: Mapping[str, Any]) -> CreditNote:
    """The credit note that was kept."""
    code = facts["currency"]
    before, tax, whole = (Amount(Decimal(value), code) for value in facts["sums"])
    return CreditNote(
        number=facts["number"],
        issued=date.fromisoformat(facts["issued"]),
        invoice=facts["invoice"],
        invoice_seal=facts["invoice_seal"],
        reason=facts["reason"],
        lines=tuple(
            CreditLine(place, says, Decimal(quantity), Amount(Decimal(amount), code))
            for place, says, quantity, amount in facts["lines"]
        ),
        totals=Totals(tuple(_total(row, code) for row in facts["totals"]), before, tax, whole),
    )


def _head(number: str, to: str, currency: str) -> dict[str, Any]:
    return {"number": number, "to": to, "currency": currency}


def _kept_line(line: Line) -> list[str]:
    rate = line.rate
    return [
        line.says,
        str(line.quantity),
        str(line.unit_price),
        rate.name,
        str(rate.percent),
        str(line.discount_percent),
    ]


def _lines(rows: Sequence[Sequence[str]]) -> tuple[Line, ...]:
    return tuple(
        Line(
            says=says,
            quantity=Decimal(quantity),
            unit_price=Decimal(price),
            rate=Rate(name, Decimal(percent)),
            discount_percent=Decimal(discount),
        )
        for says, quantity, price, name, percent, discount in rows
    )


def _kept_rule(rule: TaxRule) -> list[str]:
    return [rule.prices, rule.rounded_by, rule.how, "" if rule.line_step is None else str(rule.line_step)]


def _rule(row: Sequence[str]) -> TaxRule:
    prices, rounded_by, how, step = row
    return TaxRule(
        prices=prices,  # type: ignore[arg-type]
        rounded_by=rounded_by,  # type: ignore[arg-type]
        how=how,  # type: ignore[arg-type]
        line_step=Decimal(step) if step else None,
    )


def _kept_total(total: RateTotal) -> list[str]:
    return [
        total.rate.name,
        str(total.rate.percent),
        *(str(amount.value) for amount in (total.before_tax, total.tax, total.with_tax)),
    ]


def _total(row: Sequence[str], code: str) -> RateTotal:
    name, percent, before, tax, whole = row
    return RateTotal(Rate(name, Decimal(percent)), *(Amount(Decimal(value), code) for value in (before, tax, whole)))
