"""Money, rules and the shelf as the office's pages say them; every amount bears its currency."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from floatbowl.money.amount import Amount
from floatbowl.money.lines import Totals
from floatbowl.money.tax import Rate
from floatbowl.shop.models import Item, OfficeSettings

PRICES_SAY: Final = {
    "no tax": "No tax is charged.",
    "before tax": "Prices are before tax; the tax is added below.",
    "with tax": "Prices have their tax in them.",
}


@dataclass(frozen=True)
class Sum:
    """One row under the lines."""

    says: str
    amount: str
    is_whole: bool = False


def money(value: Decimal, code: str) -> Amount:
    """An amount as it was kept, with its currency's places and no noughts beyond them.

    >>> str(money(Decimal("5.0000"), "EUR")), str(money(Decimal("1500.0000"), "JPY"))
    ('5.00 EUR', '1,500 JPY')
    """
    kept = Amount(value, code)
    return kept.rounded() if kept.rounded() == kept else Amount(value.normalize(), code)


def says_sums(totals: Totals | None, prices: str) -> list[Sum]:
    """The totals by rate and in all, in the order they are printed."""
    if totals is None:
        return []
    if prices == "no tax":
        return [Sum("In all", str(totals.with_tax), True)]
    rows = []
    for each in totals.by_rate:
        rows.append(Sum(f"Before tax at {says_rate(each.rate)}", str(each.before_tax)))
        rows.append(Sum(f"Tax at {says_rate(each.rate)}", str(each.tax)))
    if len(totals.by_rate) > 1:
        rows += [Sum("Before tax in all", str(totals.before_tax)), Sum("Tax in all", str(totals.tax))]
    return [*rows, Sum("In all, with tax", str(totals.with_tax), True)]


def says_rate(rate: Rate) -> str:
    """A rate as people say it: ``20 % (standard)``."""
    percent = f"{rate.percent:f}"
    percent = percent.rstrip("0").rstrip(".") if "." in percent else percent
    return f"{percent} % ({rate.name})"


def says_rule(settings: OfficeSettings) -> str:
    """How this shop's prices and tax are meant."""
    said = PRICES_SAY.get(settings.prices, "")
    if settings.prices != "no tax":
        said += " Tax is rounded on each line." if settings.rounded_by == "line" else " Tax is rounded on the total."
    return said


def says_shelf(item: Item | None, is_counted: bool) -> str:
    """What the shelf holds of a line's goods."""
    if item is None or not is_counted:
        return "The shelf does not count this yet: nothing would be kept back."
    promised = f", {item.promised} of them promised" if item.promised else ""
    return f"{item.on_hand} on the shelf{promised}; {max(0, item.free)} free."
