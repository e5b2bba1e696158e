"""Dead stock: plain rules for what lies on the shelf without a buyer. Each rule is the shop's own to set.

The figures that stand here to begin with are common practice, from memory: no sale for 24 months is dead, and more than
five years' demand on hand is too much. How long cork, rubber and foam keep is the supplier's to say.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from floatbowl.engine.refusal import within

Why = Literal["no sale", "too much", "past keeping"]
_DAYS_PER_MONTH = 365.2425 / 12


@dataclass(frozen=True, slots=True, kw_only=True)
class OnShelf:
    """What is known of one line. ``received`` is the newest receipt; ``keeps_months`` for what does not keep for ever.

    Where nobody knows when it came (it lay there when it was first counted), ``received`` is the day from which the
    record of what was asked for runs, and ``by_record`` says so. ``last_sold``: sold, used, or asked for in vain,
    itself or in a kit. ``for_offers``: pieces that an open job or offer waits for are never dead.
    """

    part: str
    on_hand: float
    cost: Decimal
    received: date
    last_sold: date | None = None
    per_year: float = 0.0
    keeps_months: float | None = None
    for_offers: float = 0.0
    by_record: bool = False


@dataclass(frozen=True, slots=True)
class Rules:
    """The shop's rules; see the module for where the figures come from."""

    no_sale_months: float = 24.0
    most_years: float = 5.0

    def __post_init__(self) -> None:
        within("months without a sale", self.no_sale_months, 0.0, open_low=True, unit="months")
        within("years of demand on hand", self.most_years, 0.0, open_low=True, unit="years")


@dataclass(frozen=True, slots=True)
class Dead:
    """A dead line: how many of it, the money in them, why, and the sentence that says so."""

    part: str
    quantity: float
    tied_up: Decimal
    why: Why
    says: str


def dead_stock(lines: Iterable[OnShelf], today: date, rules: Rules | None = None) -> tuple[Dead, ...]:
    """Dead lines, most money first. The first rule that holds is told: past keeping, no sale, too much.

    A line received less than ``no_sale_months`` ago has not had its time yet and is not called unsold; too much it is
    where it was asked for before, so that its rate is its own.
    """
    found = [dead for line in lines if (dead := _judged(line, today, rules or Rules())) is not None]
    return tuple(sorted(found, key=lambda dead: (-dead.tied_up, dead.part)))


def _judged(line: OnShelf, today: date, rules: Rules) -> Dead | None:
    free = line.on_hand - line.for_offers
    if free <= 0:
        return None
    age = _months(line.received, today)
    if line.keeps_months is not None and age > line.keeps_months:
        return _dead(line, free, "past keeping", f"received {age:.0f} months ago, keeps {line.keeps_months:g}")
    if age > rules.no_sale_months and (line.last_sold is None or _months(line.last_sold, today) > rules.no_sale_months):
        last = "never asked for" if line.last_sold is None else f"last asked for {line.last_sold:%d %B %Y}"
        runs = f"the record runs over {age:.0f} months" if line.by_record else f"on the shelf for {age:.0f} months"
        return _dead(line, free, "no sale", f"{last}; {runs}")
    too_many = free - rules.most_years * line.per_year
    if (age > rules.no_sale_months or line.last_sold) and line.per_year > 0 and too_many >= 1:
        years = free / line.per_year
        return _dead(line, float(int(too_many)), "too much", f"{years:.1f} years of demand on hand")
    return None


def _dead(line: OnShelf, quantity: float, why: Why, says: str) -> Dead:
    return Dead(line.part, quantity, Decimal(str(quantity)) * line.cost, why, says)


def _months(since: date, today: date) -> float:
    return (today - since).days / _DAYS_PER_MONTH
