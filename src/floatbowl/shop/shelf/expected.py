"""What is expected to be asked of every item, worked out once for each state of the record."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from django.db.models import Count, Max
from django.utils import timezone

from floatbowl.shelf.choosing import BOOTSTRAP, LONG_MEMORY, POOLED, POOLINGS, Choice, choose, methods
from floatbowl.shelf.compound import DemandTable
from floatbowl.shelf.demand import Demand, demand_over, expect
from floatbowl.shelf.orders import Whole
from floatbowl.shop.models import Enquiry, LedgerLine, OfficePaper, ReadBack, ToldSale
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.shelf.asked import Asked, asked
from floatbowl.shop.shelf.things import Named, Things

#: Above so many lines times months the ways to forecast are not held against each other while somebody waits.
MOST_COMPARED: Final = 60_000
LEDGER_GOOD_FOR_S: Final = 600.0
#: 19 of 20 such spans.
NEARLY_ALWAYS: Final = 0.95
#: The ways of forecasting, as a page says them.
WAYS: Final = {
    POOLED: "all lines judged together, the last months most",
    LONG_MEMORY: "all lines judged together, with a long memory",
    BOOTSTRAP: "each line by its own past months, drawn again",
    "tsb": "each line by its own record, fading while nothing is asked",
    "sba": "each line by its own record, smoothed",
}


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


class Expected:
    """The record, and what it says of the time to come. ``group``: kits apart from parts."""

    def __init__(self, record: Asked, group: Whole, choice: Choice | None = None) -> None:
        self.asked, self.group, self._choice = record, group, choice
        self._tables: dict[float, DemandTable] = {}
        self._place = {named: place for place, named in enumerate(record.named)}

    @cached_property
    def choice(self) -> Choice:
        """Which way of forecasting told this shop's own past best, and why."""
        if self._choice is not None:
            return self._choice
        orders = self.asked.orders
        if orders.lines * orders.months > MOST_COMPARED:
            why = "the record is too large to compare ways of forecasting here; floatbowl shelf backtest does it"
            return Choice(method=POOLED, scores={}, origins=(), why=why)
        return choose(orders, 4, group=self.group)

    @property
    def choice_says(self) -> str:
        """The same in words."""
        if not self.choice.scores:
            return f"{WAYS[POOLED]}; there is too little of a record, or too much, to compare it with others here"
        others = len(self.choice.scores) - 1
        way = WAYS.get(self.choice.method, self.choice.method)
        return f"{way}, held against {others} other ways at {len(self.choice.origins)} past times of this shop's own"

    @property
    def together(self) -> bool:
        """Whether all lines are judged together, so that levels can be weighed against one another."""
        return self.choice.method in POOLINGS

    @cached_property
    def demand(self) -> Demand:
        """What is expected of every line, all judged together."""
        return expect(self.asked.orders, POOLINGS.get(self.choice.method), self.group)

    def over(self, months: float) -> DemandTable:
        """Chances of every number of pieces in so many months, by the way that told this shop's past best."""
        if months not in self._tables:
            if self.together:
                self._tables[months] = demand_over(self.demand, months)
            else:
                way = methods(self.group)[self.choice.method]
                self._tables[months] = way(self.asked.orders, max(1, round(months)))
        return self._tables[months]

    def line(self, named: Named) -> int | None:
        """The line of an item."""
        return self._place.get(named)

    def span(self, named: Named, months: float) -> Span | None:
        """What is expected of one item in so many months."""
        line = self.line(named)
        if line is None:
            return None
        chance = self.over(months).of(line)
        places = np.arange(len(chance))
        most = int(np.searchsorted(np.cumsum(chance), NEARLY_ALWAYS * chance.sum() - 1e-12))
        return Span(float(chance @ places / chance.sum()), most)


@dataclass(frozen=True, slots=True)
class _Held:
    """What was worked out last: for which records, from what (day and what was told; the ledger), and when."""

    things: Things
    told: tuple[object, ...]
    ledger: object
    at_s: float
    found: Expected | None

    def still_good(self, now_s: float) -> bool:
        """Whether it is young, and today's lines cannot change the record: it ends with the last whole month."""
        if self.found is None or now_s - self.at_s >= LEDGER_GOOD_FOR_S:
            return False
        return self.found.asked.month_begins(0) < timezone.localdate().replace(day=1)


_last: _Held | None = None
#: Held while it is worked out: who asks meanwhile waits for that, instead of working it out as well.
_working = threading.Lock()


def expected(things: Things) -> Expected | None:
    """What is expected of the shelf as it stands; None while nothing was ever asked.

    Worked out anew when a file, a lost enquiry or another day tells more; for new ledger lines alone at most every
    ``LEDGER_GOOD_FOR_S``, since the record ends with the last whole month (a reversal of an old line waits so long).
    """
    with _working:
        return _held_or_new(things)


def _held_or_new(things: Things) -> Expected | None:
    global _last
    held = _last if _last is not None and _last.things is things else None
    told, ledger, now = _told(), LedgerLine.objects.aggregate(Max("pk"))["pk__max"], time.monotonic()
    if held is not None and held.told == told and (held.ledger == ledger or held.still_good(now)):
        return held.found
    # Which way told the past best is asked once a day: a sale more does not change it.
    same_day = held is not None and held.told[0] == told[0]
    choice = held.found.choice if same_day and held is not None and held.found is not None else None
    _last = _Held(things, told, ledger, now, _worked_out(things, choice))
    return _last.found


def _worked_out(things: Things, choice: Choice | None) -> Expected | None:
    record = asked(things)
    if record is None:
        return None
    group = np.array([0 if kind == KIT else 1 for kind, _ in record.named], np.int64)
    return Expected(record, group, choice)


def _told() -> tuple[object, ...]:
    """The day, and what changes whenever a file, an enquiry or an offer tells more."""
    files = ToldSale.objects.aggregate(Max("pk"))["pk__max"]
    lost = Enquiry.objects.filter(outcome="lost").aggregate(Count("pk"), Max("closed_at"))
    declined = OfficePaper.objects.filter(kind="offer", state="declined").count()
    read_back = ReadBack.objects.filter(withdrawn_at=None).count()
    return (timezone.localdate(), files, lost["pk__count"], lost["closed_at__max"], declined, read_back)
