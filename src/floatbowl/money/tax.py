"""Tax on sales: a rate for each line, prices before tax or with it, rounded for each line or once for each rate.

The equations are those of HMRC, "Calculating VAT for VAT-inclusive and VAT-exclusive prices": on a price before tax
``tax = price * rate``; in a price with tax ``tax = price * rate / (1 + rate)`` (the VAT fraction: 1/6 at 20 %).
The rates themselves and which of them a line bears are the shop's to know and its tax authority's to rule.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from floatbowl.engine.refusal import Refused
from floatbowl.money.rounding import How, rounded

Prices = Literal["before tax", "with tax", "no tax"]
RoundedBy = Literal["line", "total"]


@dataclass(frozen=True, slots=True)
class Rate:
    """One rate of tax in percent, with the name it goes by on papers.

    >>> Rate("standard", Decimal(20)).of_price_with_tax
    Fraction(1, 6)
    """

    name: str
    percent: Decimal

    def __post_init__(self) -> None:
        if not (isinstance(self.percent, Decimal) and self.percent.is_finite() and 0 <= self.percent <= 100):
            raise Refused(f"tax rate {self.name}: {self.percent!r} is no percentage from 0 to 100 as a Decimal")

    @property
    def share(self) -> Fraction:
        """Tax as a share of the price before tax."""
        return Fraction(self.percent) / 100

    @property
    def of_price_with_tax(self) -> Fraction:
        """Tax as a share of the price with tax."""
        return self.share / (1 + self.share)


NO_TAX: Final = Rate("no tax", Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRule:
    """How a shop works out tax. ``line_step`` is what a line's tax is rounded to where that is finer than a penny.

    Rounding by line is the "taxable supply rule", by total the "total invoice rule" of the Australian GST Act s 9-90.
    Whichever is chosen must be kept to (IRAS, "Calculate GST on tax invoices"; New Zealand GST Act s 19O(3)).
    """

    prices: Prices = "before tax"
    rounded_by: RoundedBy = "total"
    how: How = "half up"
    line_step: Decimal | None = None

    def __post_init__(self) -> None:
        if self.prices not in ("before tax", "with tax", "no tax"):
            raise Refused(f"{self.prices!r}: prices are before tax, with tax or no tax")
        if self.rounded_by not in ("line", "total"):
            raise Refused(f"{self.rounded_by!r}: tax is rounded by line or by total")

    def share(self, rate: Rate) -> Fraction:
        """Tax as a share of the price as it is written under this rule."""
        if self.prices == "no tax":
            return Fraction(0)
        return rate.share if self.prices == "before tax" else rate.of_price_with_tax


def tax_of(prices: Iterable[Decimal], rate: Rate, rule: TaxRule, step: Decimal) -> Decimal:
    """The tax of lines that bear one rate, rounded as the rule says and at last to ``step``, the currency's own.

    >>> pens = [Decimal("1.77")] * 3  # the two ways that a cent apart are both allowed
    >>> by_line, by_total = TaxRule(rounded_by="line"), TaxRule(rounded_by="total")
    >>> [tax_of(pens, Rate("standard", Decimal(6)), rule, Decimal("0.01")) for rule in (by_line, by_total)]
    [Decimal('0.33'), Decimal('0.32')]
    """
    share = rule.share(rate)
    if rule.rounded_by == "line":
        line_step = rule.line_step or step
        exact = sum((Fraction(rounded(Fraction(price) * share, line_step, rule.how)) for price in prices), Fraction(0))
    else:
        exact = sum((Fraction(price) for price in prices), Fraction(0)) * share
    return rounded(exact, step, rule.how)


def before_tax(price_with_tax: Decimal, rate: Rate, step: Decimal, how: How = "half up") -> Decimal:
    """The price before tax of a price with tax.

    >>> before_tax(Decimal("120.00"), Rate("standard", Decimal(20)), Decimal("0.01"))
    Decimal('100.00')
    """
    tax = rounded(Fraction(price_with_tax) * rate.of_price_with_tax, step, how)
    return rounded(Fraction(price_with_tax) - Fraction(tax), step, how)


def with_tax(price_before_tax: Decimal, rate: Rate, step: Decimal, how: How = "half up") -> Decimal:
    """The price with tax of a price before tax.

    >>> with_tax(Decimal("100.00"), Rate("reduced", Decimal(5)), Decimal("0.01"))
    Decimal('105.00')
    """
    tax = rounded(Fraction(price_before_tax) * rate.share, step, how)
    return rounded(Fraction(price_before_tax) + Fraction(tax), step, how)
