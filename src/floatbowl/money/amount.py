"""An amount of money: an exact decimal of one currency. Never a binary fraction, and never two currencies added."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib import resources
from types import MappingProxyType

from floatbowl.engine.refusal import Refused
from floatbowl.money.rounding import How, rounded
from floatbowl.money.typed import TwoMeaningsError, typed_number
from floatbowl.reference.fault import shown


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency: ``places`` after the point are paid without cash; ``cash_step`` is the least that coins can pay."""

    code: str
    places: int
    cash_step: Decimal
    name: str

    @property
    def step(self) -> Decimal:
        """The least amount that is written, such as 0.01."""
        return Decimal(1).scaleb(-self.places)


@cache
def currencies() -> MappingProxyType[str, Currency]:
    """Every currency known here by its code. Sources: ``data/currencies.csv``, row by row."""
    text = resources.files("floatbowl.money").joinpath("data/currencies.csv").read_text("utf-8")
    rows = csv.DictReader(text.splitlines())
    known = {r["code"]: Currency(r["code"], int(r["places"]), Decimal(r["cash_step"]), r["name"]) for r in rows}
    return MappingProxyType(known)


def currency(code: str) -> Currency:
    """The currency of a code; ``Refused`` names those that are known.

    >>> currency("GBP").step
    Decimal('0.01')
    """
    try:
        return currencies()[code]
    except KeyError:
        raise Refused(f"{shown(code)} is no currency known here; write one of {', '.join(currencies())}") from None


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of one currency. Adding another currency's is refused: change it first, at a rate somebody named.

    >>> amount("12.50", "GBP") + amount("0.05", "GBP")
    Amount(value=Decimal('12.55'), currency='GBP')
    """

    value: Decimal
    currency: str

    def __post_init__(self) -> None:
        if not isinstance(self.value, Decimal) or not self.value.is_finite():
            raise Refused(f"{self.value!r} is no exact amount; give a Decimal made from text, such as Decimal('12.50')")
        currency(self.currency)

    def _same(self, other: Amount) -> Decimal:
        if self.currency != other.currency:
            raise Refused(f"{self} and {other} are of two currencies; change one of them first")
        return other.value

    def __add__(self, other: Amount) -> Amount:
        return Amount(self.value + self._same(other), self.currency)

    def __sub__(self, other: Amount) -> Amount:
        return Amount(self.value - self._same(other), self.currency)

    def __neg__(self) -> Amount:
        return Amount(-self.value, self.currency)

    def __lt__(self, other: Amount) -> bool:
        return self.value < self._same(other)

    def __le__(self, other: Amount) -> bool:
        return self.value <= self._same(other)

    def __bool__(self) -> bool:
        return bool(self.value)

    def __str__(self) -> str:
        """As it is written on papers: ``1,234.50 GBP``; places beyond the currency's are kept, never hidden."""
        places = max(currency(self.currency).places, -int(self.value.as_tuple().exponent))
        return f"{self.value + 0:,.{places}f} {self.currency}"

    def rounded(self, how: How = "half up") -> Amount:
        """To the currency's own places."""
        return Amount(rounded(Fraction(self.value), currency(self.currency).step, how), self.currency)

    def in_cash(self) -> Amount:
        """What coins and notes can pay, to the nearest: the tax stays as it was worked out.

        >>> str(amount("4.92", "CAD").in_cash())
        '4.90 CAD'
        """
        return Amount(rounded(Fraction(self.value), currency(self.currency).cash_step), self.currency)


def amount(text: str, code: str) -> Amount:
    """An amount from what was typed; ``Refused`` says what is wrong, also where a comma may mean two things.

    >>> amount("1,234.50", "GBP")
    Traceback (most recent call last):
    floatbowl.engine.refusal.Refused: '1,234.50' is no amount of GBP; write digits with a decimal point, such as 1234.50
    """
    try:
        value = typed_number(text)
    except TwoMeaningsError:
        raise
    except Refused:
        says = f"{shown(text)} is no amount of {code}; write digits with a decimal point, such as 1234.50"
        raise Refused(says) from None
    return Amount(value, code)


def nothing(code: str) -> Amount:
    """No money at all, in one currency and with its places."""
    return Amount(0 * currency(code).step, code)
