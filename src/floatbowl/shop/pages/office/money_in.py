"""What is typed when money comes in or is credited, checked against what is owed and what is left to credit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, amount, currency
from floatbowl.shop.models import OfficePaper
from floatbowl.shop.office import issuing
from floatbowl.shop.office.facts import invoice_of
from floatbowl.shop.pages.office.forms import read_number
from floatbowl.shop.pages.office.says import money


class AskBackError(ValueError):
    """What was typed may be a slip. ``may_insist``: it can be sent again with a tick."""

    def __init__(self, says: str, *, may_insist: bool = False) -> None:
        super().__init__(says)
        self.may_insist = may_insist


@dataclass(frozen=True, slots=True, kw_only=True)
class CreditAsked:
    """What is to be credited: all that is left (``None``) or so many of some lines; and where goods come back to."""

    reason: str
    quantities: dict[int, Decimal] | None
    back_at: str | None


def payment(invoice: OfficePaper, typed: Mapping[str, str]) -> tuple[Decimal, str]:
    """The sum and the way of a payment. Raises ``Refused`` for what is no sum, AskBackError for more than is owed."""
    code = invoice.currency
    if not typed.get("amount", "").strip():
        raise AskBackError(f"Write the sum in {code}.")
    paid = amount(typed["amount"], code)
    if paid.rounded() != paid:
        places = currency(code).places
        raise AskBackError(f"{code} is paid with {places or 'no'} places after the point; write the sum so.")
    if not typed.get("how"):
        raise AskBackError("Choose how it was paid: cash, card or transfer.")
    owed = money(issuing.owed(invoice), code)
    if not (_within(paid, owed) or typed.get("insist")):
        left = f"{owed} is owed" if owed.value >= 0 else f"{-owed} is to be paid back"
        raise AskBackError(f"{left}, not {paid}. Tick below if it is meant so.", may_insist=True)
    return paid.value, typed["how"]


def _within(paid: Amount, owed: Amount) -> bool:
    """Whether a payment goes towards what is owed, or towards what coins can pay of it."""
    if paid == owed.in_cash():
        return True
    low, high = min(Decimal(0), owed.value), max(Decimal(0), owed.value)
    return low <= paid.value <= high


def left_to_credit(invoice: OfficePaper) -> list[Decimal]:
    """How many of each line can still be credited."""
    left = [line.quantity for line in invoice_of(invoice.facts).lines]
    for note in issuing.credits_of(invoice):
        for line in note.lines:
            left[line.place] -= abs(line.quantity)
    return left


def credit_asked(invoice: OfficePaper, typed: Mapping[str, str]) -> CreditAsked:
    """What is to be credited. Raises ``Refused`` for what is no number, for nothing at all, and for no place."""
    back_at = " ".join(typed.get("back_at", "").split())[:80] if typed.get("back") else None
    if back_at == "":
        raise Refused("write the place on the shelf that the goods come back to, or take its tick out")
    if typed.get("what") == "whole":
        return CreditAsked(reason=typed.get("reason", ""), quantities=None, back_at=back_at)
    quantities = {}
    for place, line in enumerate(invoice_of(invoice.facts).lines):
        if text := typed.get(f"count-{place}", "").strip():
            try:
                count = read_number(text)
            except Refused as wrong:
                raise Refused(f"{line.says}: {wrong}") from wrong
            if count:
                quantities[place] = count
    if not quantities:
        raise Refused("write how many of which line are credited, or choose the whole invoice")
    return CreditAsked(reason=typed.get("reason", ""), quantities=quantities, back_at=back_at)
