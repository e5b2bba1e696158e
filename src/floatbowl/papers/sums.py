"""Money as it is written on papers: lines, totals by rate, and amounts with the places their currency asks for.

Nothing is reckoned here but what a money fact says of itself, and no amount ever becomes a binary fraction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from floatbowl.money.amount import Amount, currency
from floatbowl.money.lines import Line, RateTotal, Totals
from floatbowl.money.tax import NO_TAX, Rate, TaxRule

MINUS: Final = "\N{MINUS SIGN}"
#: Keeps a figure and its unit on one line.
HELD: Final = "\N{NO-BREAK SPACE}"

BEFORE_TAX: Final = "The price of each line is before tax; the tax is added below."
WITH_TAX: Final = "The price of each line has its tax in it; how much that is stands below."
UNTAXED: Final = "No tax is charged."


@dataclass(frozen=True, slots=True)
class Row:
    """One line as it is printed; ``sizes`` stand under what it says."""

    says: str
    sizes: tuple[str, ...]
    quantity: str
    each: str
    off: str
    rate: str
    amount: str


@dataclass(frozen=True, slots=True)
class RateRow:
    """The totals of one rate as they are printed."""

    rate: str
    before_tax: str
    tax: str
    with_tax: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """All the money of a paper as text. There is a column for the rate only when ``taxed``."""

    currency: str
    currency_name: str
    taxed: bool
    prices: str
    rows: tuple[Row, ...]
    by_rate: tuple[RateRow, ...]
    before_tax: str
    tax: str
    with_tax: str


def figure(amount: Amount) -> str:
    """The amount without its currency's code: its places, a comma at every thousand, a true minus sign.

    Places beyond the currency's are kept unless they are noughts.

    >>> from floatbowl.money.amount import amount
    >>> figure(amount("1234567.5", "GBP")), figure(amount("0.1250", "GBP")), figure(amount("1500.00", "JPY"))
    ('1,234,567.50', '0.125', '1,500')
    >>> figure(amount("-3", "GBP"))
    '−3.00'
    """
    whole, _, parts = f"{amount.value.copy_abs():f}".partition(".")
    places = parts.rstrip("0").ljust(currency(amount.currency).places, "0")
    sign = MINUS if amount.value < 0 else ""
    return f"{sign}{int(whole):,}{'.' if places else ''}{places}"


def money(amount: Amount) -> str:
    """The amount with its currency's code.

    >>> from floatbowl.money.amount import amount
    >>> money(amount("12.5", "GBP"))
    '12.50\\xa0GBP'
    """
    return f"{figure(amount)}{HELD}{amount.currency}"


def count(quantity: Decimal) -> str:
    """How many, without noughts at the end.

    >>> [count(Decimal(text)) for text in ("2", "2.50", "1E+3", "0.25")]
    ['2', '2.5', '1,000', '0.25']
    """
    whole, _, parts = f"{quantity.copy_abs():f}".partition(".")
    places = parts.rstrip("0")
    return f"{MINUS if quantity < 0 else ''}{int(whole):,}{'.' if places else ''}{places}"


def rate_in_words(rate: Rate) -> str:
    """The rate's name and its percentage, since two rates may have the same one.

    >>> rate_in_words(Rate("reduced", Decimal("5.0"))), rate_in_words(NO_TAX)
    ('reduced 5\\xa0%', 'no tax')
    """
    return rate.name if rate == NO_TAX else f"{rate.name} {count(rate.percent)}{HELD}%".strip()


def price_row(
    line: Line, code: str, sizes: tuple[str, ...] = (), amount: Amount | None = None, counted_in: str = ""
) -> Row:
    """A line as it is printed, at its own amount or another one; ``counted_in`` is a unit, such as ``h``."""
    return Row(
        says=line.says,
        sizes=sizes,
        quantity=f"{count(line.quantity)}{HELD if counted_in else ''}{counted_in}",
        each=figure(Amount(line.unit_price, code)),
        off=f"{count(line.discount_percent)}{HELD}% off" if line.discount_percent else "",
        rate=rate_in_words(line.rate),
        amount=figure(Amount(line.amount(code), code) if amount is None else amount),
    )


def price_rows(
    lines: Sequence[Line], code: str, sizes: Sequence[tuple[str, ...]] = (), counted_in: Sequence[str] = ()
) -> tuple[Row, ...]:
    """The lines as they are printed, with their sizes and what they are counted in: none, or one entry for each line.

    Raises ``ValueError`` when either are not as many as the lines, since they would stand beside the wrong ones.
    """
    if sizes and len(sizes) != len(lines):
        raise ValueError(f"sizes for {len(sizes)} lines, but there are {len(lines)}: give each line its own, or ()")
    if counted_in and len(counted_in) != len(lines):
        raise ValueError(f"units for {len(counted_in)} lines, but there are {len(lines)}: give each its own, or ()")
    under, units = sizes or ((),) * len(lines), counted_in or ("",) * len(lines)
    return tuple(
        price_row(line, code, each, counted_in=unit) for line, each, unit in zip(lines, under, units, strict=True)
    )


def sums(rows: tuple[Row, ...], lines: Sequence[Line], rule: TaxRule, totals: Totals) -> Sums:
    """The printed sums of rows whose lines fall under one rule of tax."""
    taxed = rule.prices != "no tax" and any(line.rate != NO_TAX for line in lines)
    words = {"before tax": BEFORE_TAX, "with tax": WITH_TAX}.get(rule.prices, UNTAXED)
    code = totals.with_tax.currency
    return Sums(
        currency=code,
        currency_name=currency(code).name,
        taxed=taxed,
        prices=words if taxed else UNTAXED,
        rows=rows,
        by_rate=tuple(_rate_row(each) for each in totals.by_rate),
        before_tax=figure(totals.before_tax),
        tax=figure(totals.tax),
        with_tax=figure(totals.with_tax),
    )


def _rate_row(total: RateTotal) -> RateRow:
    return RateRow(rate_in_words(total.rate), figure(total.before_tax), figure(total.tax), figure(total.with_tax))
