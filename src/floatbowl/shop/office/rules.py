"""The shop's own rules: currency, tax, numbers and usual prices."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal, InvalidOperation

from django.db import transaction

from floatbowl.engine.refusal import Refused
from floatbowl.money.tax import NO_TAX, Rate, TaxRule
from floatbowl.shop.models.office import CREDIT, INVOICE, OFFER, OfficePaper, OfficeSettings

#: ``{year}``, ``{n}`` or ``{n:04}``: the running number, filled up with noughts.
_PLACE = re.compile(r"\{(year|n(:0([1-9]))?)\}")
NUMBERED = {OFFER: "offer_number", INVOICE: "invoice_number", CREDIT: "credit_number"}


def office_settings() -> OfficeSettings:
    """The one row of the shop's rules, made with usual ones when there is none."""
    return OfficeSettings.objects.get_or_create(pk=1)[0]


def tax_rule(settings: OfficeSettings) -> TaxRule:
    """How this shop works out tax. Raises ``Refused``."""
    return TaxRule(prices=settings.prices, rounded_by=settings.rounded_by)


def rates(settings: OfficeSettings) -> tuple[Rate, ...]:
    """The shop's rates, the usual one first; none where it charges no tax. Raises ``Refused`` for what is no rate."""
    if settings.prices == "no tax":
        return (NO_TAX,)
    return tuple(_rate(name, percent) for name, percent in settings.rates) or (NO_TAX,)


def _rate(name: str, percent: str) -> Rate:
    try:
        return Rate(name, Decimal(percent))
    except InvalidOperation:
        raise Refused(f"tax rate {name}: {percent!r} is no percentage; write one like 20 or 5.5") from None


def next_number(kind: str, dated: date) -> str:
    """The next number of the shop's own; none is given twice and none is left out. Call inside a transaction."""
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("a number is given in the transaction that uses it, or a gap would stay")
    settings = OfficeSettings.objects.select_for_update().get(pk=office_settings().pk)
    counter, n, number = _to_come(settings, kind, dated)
    settings.next_numbers = {**settings.next_numbers, counter: n + 1}
    settings.save(update_fields=["next_numbers"])
    return number


def number_to_come(kind: str, dated: date) -> str:
    """The number that the next paper of a kind would get that day; it is not given by asking."""
    return _to_come(office_settings(), kind, dated)[2]


def _to_come(settings: OfficeSettings, kind: str, dated: date) -> tuple[str, int, str]:
    """The counter that is used, where it stands, and the number it gives."""
    pattern = getattr(settings, NUMBERED[kind])
    counter = f"{kind} {dated.year}" if "{year}" in pattern else kind
    n = int(settings.next_numbers.get(counter, 1))
    number = filled(pattern, dated.year, n)
    while OfficePaper.objects.filter(number=number).exists():
        n += 1
        number = filled(pattern, dated.year, n)
    return counter, n, number


def filled(pattern: str, year: int, n: int) -> str:
    """A numbering pattern with its year and running number put in.

    >>> filled("I-{year}-{n:04}", 2026, 7)
    'I-2026-0007'
    """
    return _PLACE.sub(lambda place: str(year) if place[1] == "year" else f"{n:0{int(place[3] or 1)}d}", pattern)


def check_pattern(pattern: str) -> str:
    """A numbering pattern that can be used, as it is; raises ValueError that says what it needs.

    >>> check_pattern("{year}/{n:05}")
    '{year}/{n:05}'
    """
    if any(sign in _PLACE.sub("", pattern) for sign in "{}"):
        raise ValueError("Write the number as text with {n} for the running number, such as I-{year}-{n:04}.")
    if filled(pattern, 2026, 1) == filled(pattern, 2026, 2):
        raise ValueError("The number must hold {n}, the running number: else every paper would have the same one.")
    return pattern
