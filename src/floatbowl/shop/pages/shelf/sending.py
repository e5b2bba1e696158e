"""What a form of the shelf sends: whole pieces, a place, sums and days, each refused in words beside its field."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.http import HttpRequest

from floatbowl.engine.refusal import Refused
from floatbowl.money.typed import TwoMeaningsError, typed_number
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.pages.bench.steps import sent_name

UNPROCESSABLE, CONFLICT = 422, 409
LONGEST_PLACE = 80
MOST = 1_000_000


class AtFieldError(ValueError):
    """What was typed cannot be; ``field`` is where."""

    def __init__(self, field: str, says: str) -> None:
        super().__init__(says)
        self.field = field


def pieces(request: HttpRequest, field: str = "pieces") -> int:
    """A whole number of pieces. Raises AtFieldError."""
    text = " ".join(request.POST.get(field, "").split())
    if not (text.isascii() and text.isdecimal()) or int(text[:9]) > MOST:
        raise AtFieldError(field, "Write how many pieces, in figures: a whole number such as 4.")
    return int(text)


def place(request: HttpRequest, field: str = "place") -> str:
    """A place on the shelf; empty for none. Raises AtFieldError."""
    text = " ".join(request.POST.get(field, "").split())
    if len(text) > LONGEST_PLACE:
        raise AtFieldError(field, f"A place's name has at most {LONGEST_PLACE} letters.")
    return text


def text_of(request: HttpRequest, field: str, most: int = 300) -> str:
    """Words, single-spaced, cut to what can be kept."""
    return " ".join(request.POST.get(field, "").split())[:most]


def sum_of(request: HttpRequest, field: str, needed: bool = True) -> Decimal | None:
    """A sum of money. Raises AtFieldError, also where point and comma leave it open what is meant."""
    text = request.POST.get(field, "").strip()
    if not text:
        if needed:
            raise AtFieldError(field, "Write a sum such as 12.50.")
        return None
    try:
        number = typed_number(text)
    except TwoMeaningsError as asked:
        raise AtFieldError(field, f"It can be read two ways: {asked}.") from asked
    except Refused:
        number = Decimal(-1)
    if number < 0 or number >= 10**8:
        raise AtFieldError(field, "Write a sum such as 12.50, not below nothing.")
    return number


def share_of(request: HttpRequest, field: str) -> Decimal:
    """So many in 100, from 0 to 99; none for an empty field. Raises AtFieldError."""
    try:
        number = typed_number(request.POST.get(field, "").strip() or "0", "%")
    except Refused:
        number = Decimal(-1)
    if not 0 <= number <= 99:
        raise AtFieldError(field, "Write a number from 0 to 99.")
    return number


def day_of(request: HttpRequest, field: str) -> date | None:
    """A day, or None where none is written. Raises AtFieldError."""
    text = request.POST.get(field, "").strip()
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise AtFieldError(field, "Write the day as year-month-day, such as 2026-03-31.") from None


def chosen_number(request: HttpRequest, field: str, usual: float, low: float, high: float) -> tuple[float, str]:
    """A figure asked for in the address, and what is wrong with it; then the usual one is taken."""
    text = request.GET.get(field, "").strip()
    if not text:
        return usual, ""
    try:
        number = typed_number(text, "h", "%")
    except Refused:
        return usual, f"Write a number from {low:g} to {high:g}."
    if not low <= number <= high:
        return usual, f"Write a number from {low:g} to {high:g}."
    return float(number), ""


def with_names(door: str = "", **more: Any) -> dict[str, Any]:
    """What every page of the shelf is given: where it is, and a new name for what its forms send."""
    return {"place": "shelf", "door": door, "sent": new_key()} | more


__all__ = ["CONFLICT", "UNPROCESSABLE", "AtFieldError", "sent_name"]
