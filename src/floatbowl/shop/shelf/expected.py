"""What is expected to be asked of every item, worked out once for each state of the record."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from django.db.models import Count, Max
from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.choosing import POOLED, Choice, choose, methods
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.demand import Demand, expect
from floatbowl.shop.models import Enquiry, LedgerLine, OfficePaper, ToldSale
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.shelf.asked import Asked, asked
from floatbowl.shop.shelf.things import Named, Things

#: Above so many lines times months the ways to forecast are not held against each other while somebody waits.
MOST_COMPARED: Final = 300_000
#: 19 of 20 such spans.
NEARLY_ALWAYS: Final = 0.95


@dataclass(frozen=True, slots=True)
class Span:
    """What is expected in a time, and the most in 19 of 20 such times."""

    mean: float
    most: int

    @property
    def says(self) -> str:
        """In words.

        >>> Span(4.2, 9).says
        'expected 4, at most 9 in 19 of 20 such spans'
        """
        return f"expected {about(self.mean)}, at most {self.most} in 19 of 20 such spans"


def about(mean: float) -> str:
    """A mean as people say it.

    >>> about(0.04), about(0.42), about(4.2)
    ('hardly any', '0.4', '4')
    """
    if mean < 0.05:
        return "hardly any"
    return f"{mean:.1f}" if mean < 2 else f"{mean:.0f}"


@dataclass
class Expected:
    """The record, and what it says of the time to come. ``group``: kits apart from parts."""

    asked: Asked
    demand: Demand
    group: np.ndarray

    def __post_init__(self) -> None:
        self._tables: dict[tuple[str, float], DemandTable] = {}
        self._place = {named: place for place, named in enumerate(self.asked.named)}

    def over(self, months: float) -> DemandTable:
        """Chances of every number of pieces in so many months, by the way that told this shop's past best."""
        whole = max(1, round(months))
        name = self.choice.method
        if (name, months) not in self._tables:
            orders = self.asked.orders
            if name == POOLED:
                from floatbowl.shelf.demand import demand_over

                self._tables[name, months] = demand_over(self.demand, months)
            else:
                self._tables[name, months] = methods(self.group)[name](orders, whole)
        return self._tables[name, months]

    def line(self, named: Named) -> int | None:
        """The line of an item."""
        return self._place.get(named)

    @cached_property
    def choice(self) -> Choice:
        """Which way of forecasting told this shop's own past best, and why."""
        orders = self.asked.orders
        if orders.lines * orders.months > MOST_COMPARED:
            why = "the record is too large to compare ways of forecasting here; floatbowl shelf backtest does it"
            return Choice(method=POOLED, scores={}, origins=(), why=why)
        return choose(orders, 4, group=self.group)

    def span(self, named: Named, months: float) -> Span | None:
        """What is expected of one item in so many months."""
        line = self.line(named)
        if line is None:
            return None
        chance = self.over(months).of(line)
        places = np.arange(len(chance))
        most = int(np.searchsorted(np.cumsum(chance), NEARLY_ALWAYS * chance.sum() - 1e-12))
        return Span(float(chance @ places / chance.sum()), most)


_last: tuple[tuple[object, ...], Expected | None] | None = None


def expected(things: Things) -> Expected | None:
    """What is expected of the shelf as it stands; None while nothing was ever asked."""
    global _last
    state = (id(things), timezone.localdate(), *_state())
    if _last is None or _last[0] != state:
        _last = (state, _worked_out(things))
    return _last[1]


def _worked_out(things: Things) -> Expected | None:
    record = asked(things)
    if record is None:
        return None
    group = np.array([0 if kind == KIT else 1 for kind, _ in record.named], np.int64)
    try:
        return Expected(record, expect(record.orders, group=group), group)
    except Refused:
        return None


def _state() -> tuple[object, ...]:
    """What changes whenever something more was asked."""
    lines = LedgerLine.objects.aggregate(Max("pk"))["pk__max"]
    told = ToldSale.objects.aggregate(Max("pk"))["pk__max"]
    lost = Enquiry.objects.filter(outcome="lost").aggregate(Count("pk"), Max("closed_at"))
    papers = OfficePaper.objects.filter(state="declined").count()
    return (lines, told, lost["pk__count"], lost["closed_at__max"], papers)
