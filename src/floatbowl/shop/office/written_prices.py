"""How recorded prices and numbers are written into the fields of a draft."""

from __future__ import annotations

from decimal import Decimal

from floatbowl.money.amount import currency
from floatbowl.shop.models import OfficeSettings
from floatbowl.shop.office.rules import office_settings
from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.standing import current_reference


def begun_settings() -> OfficeSettings:
    """The shop's rules; while nobody has set any, money is in the currency of the recorded prices."""
    if not OfficeSettings.objects.exists() and (code := current_reference().currency):
        OfficeSettings.objects.get_or_create(pk=1, defaults={"currency": code})
    return office_settings()


def plain_number(number: float | Decimal) -> str:
    """A recorded number with the digits it was written with.

    >>> plain_number(12.5), plain_number(2.0), plain_number(0.1), plain_number(1e-05)
    ('12.5', '2', '0.1', '0.00001')
    """
    text = f"{Decimal(repr(number) if isinstance(number, float) else number):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def recorded_price(recorded: float | None, book: Book) -> tuple[str, str]:
    """The recorded price as it is written with the shop's places, and what to know about it."""
    if recorded is None:
        return "", "No price is recorded for it."
    theirs, ours = book.reference.currency, begun_settings().currency
    if theirs and theirs != ours:
        return "", f"Recorded at {plain_number(recorded)} {theirs}; write what it costs in {ours}."
    return own_price(Decimal(plain_number(recorded))), ""


def own_price(price: Decimal | None) -> str:
    """A price with at least the places of the shop's currency; empty where there is none."""
    if price is None:
        return ""
    text = plain_number(price)
    places = currency(begun_settings().currency).places
    return f"{Decimal(text):.{places}f}" if len(text.partition(".")[2]) < places else text
