"""A number as somebody typed it: digits with a decimal point or comma; what may mean two things is refused."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from floatbowl.engine.refusal import Refused
from floatbowl.reference.fault import shown

_NUMBER: Final = re.compile(r"[+-]?\d{1,15}([.,]\d{1,12})?", re.ASCII)
#: One to three digits, then a comma and three more: thousands to some, a decimal comma to others.
_TWO_MEANINGS: Final = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}", re.ASCII)


class TwoMeaningsError(Refused):
    """What was typed may be one number or a thousand times as much."""


def typed_number(text: str, *units: str) -> Decimal:
    """The number that was typed, with one of ``units`` behind it or without.

    ``Refused`` for what is no number, TwoMeaningsError (a ``Refused`` too) for what may be two.

    >>> typed_number("20,00"), typed_number("2.75"), typed_number("5,5 %", "%")
    (Decimal('20.00'), Decimal('2.75'), Decimal('5.5'))
    >>> typed_number("1,234")
    Traceback (most recent call last):
    floatbowl.money.typed.TwoMeaningsError: '1,234' may mean 1234 or 1.234; write it without the comma
    >>> typed_number("1,234.50")
    Traceback (most recent call last):
    floatbowl.engine.refusal.Refused: '1,234.50' is no number; write digits with one point or comma, such as 1234.50
    """
    plain = text.strip()
    for unit in units:
        plain = plain.removesuffix(unit).rstrip()
    if _TWO_MEANINGS.fullmatch(plain):
        thousands, point = plain.replace(",", ""), plain.replace(",", ".")
        raise TwoMeaningsError(f"{shown(text.strip())} may mean {thousands} or {point}; write it without the comma")
    if not _NUMBER.fullmatch(plain):
        raise Refused(f"{shown(text)} is no number; write digits with one point or comma, such as 1234.50")
    return Decimal(plain.replace(",", "."))
