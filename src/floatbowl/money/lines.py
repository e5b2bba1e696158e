"""The lines of an offer or invoice, and their totals by rate of tax."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, currency
from floatbowl.money.rounding import rounded
from floatbowl.money.tax import NO_TAX, Rate, TaxRule, tax_of

_ALL: Decimal = Decimal(100)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line: kit, loose part, labour, core deposit, postage. ``unit_price`` may be below nothing (a deposit back).

    Whether the price has its tax in it is the rule's to say. ``discount_percent`` is off this line alone.
    """

    says: str
    quantity: Decimal
    unit_price: Decimal
    rate: Rate = NO_TAX
    discount_percent: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        for name in ("quantity", "unit_price", "discount_percent"):
            value = getattr(self, name)
            if not isinstance(value, Decimal) or not value.is_finite():
                raise Refused(f"{self.says}: {name} is {value!r}; give an exact Decimal, such as Decimal('2')")
        if self.quantity <= 0:
            raise Refused(f"{self.says}: the quantity is {self.quantity}; it must be above 0")
        if not 0 <= self.discount_percent <= _ALL:
            raise Refused(f"{self.says}: {self.discount_percent} % off; a discount is from 0 to 100 %")

    def amount(self, code: str, quantity: Decimal | None = None) -> Decimal:
        """What the line comes to, or so many of it, rounded to the currency's places with half up."""
        count = Fraction(self.quantity if quantity is None else quantity)
        left = 1 - Fraction(self.discount_percent) / 100
        return rounded(count * Fraction(self.unit_price) * left, currency(code).step)


@dataclass(frozen=True, slots=True)
class RateTotal:
    """What the lines of one rate come to."""

    rate: Rate
    before_tax: Amount
    tax: Amount
    with_tax: Amount


@dataclass(frozen=True, slots=True)
class Totals:
    """The totals of a document: those by rate, in the order the rates first appear, and their sums."""

    by_rate: tuple[RateTotal, ...]
    before_tax: Amount
    tax: Amount
    with_tax: Amount


def totals(lines: Sequence[Line], rule: TaxRule, code: str, quantities: Sequence[Decimal] | None = None) -> Totals:
    """What the lines come to, or so many of each of them (0 leaves a line out, yet keeps its rate).

    Sums by rate are rounded one by one, so that what is printed adds up to the penny.
    """
    counts = [line.quantity for line in lines] if quantities is None else quantities
    prices: dict[Rate, list[Decimal]] = {}
    for line, count in zip(lines, counts, strict=True):
        rate = NO_TAX if rule.prices == "no tax" else line.rate
        prices.setdefault(rate, []).append(line.amount(code, count))
    return summed((_rate_total(rate, each, rule, code) for rate, each in prices.items()), code)


def _rate_total(rate: Rate, prices: Sequence[Decimal], rule: TaxRule, code: str) -> RateTotal:
    step = currency(code).step
    written = Amount(sum(prices, 0 * step), code)
    tax = Amount(tax_of(prices, rate, rule, step), code)
    if rule.prices == "with tax":
        return RateTotal(rate, written - tax, tax, written)
    return RateTotal(rate, written, tax, written + tax)


def summed(by_rate: Iterable[RateTotal], code: str) -> Totals:
    """Totals from those by rate."""
    each = tuple(by_rate)
    none = 0 * currency(code).step
    return Totals(
        each,
        Amount(sum((r.before_tax.value for r in each), none), code),
        Amount(sum((r.tax.value for r in each), none), code),
        Amount(sum((r.with_tax.value for r in each), none), code),
    )


def less(one: Totals, other: Totals, code: str) -> Totals:
    """The difference, rate by rate; both must have the same rates in the same order."""
    pairs = zip(one.by_rate, other.by_rate, strict=True)
    return summed(
        (RateTotal(a.rate, a.before_tax - b.before_tax, a.tax - b.tax, a.with_tax - b.with_tax) for a, b in pairs),
        code,
    )
