"""What was asked of every kit and part, month by month: sold, used, built into kits, or asked in vain and lost.

Counted: sales, uses on jobs and parts taken for kits in the ledger that were not reversed; sales from files; kits read
back in enquiries that were then lost; and offers that were declined, once for a call and not where the call ended in
a sale of it, each kit or part as one enquiry that was lost, for no more pieces than were ever sold of it in one go (one
where none was). Not counted: enquiries that ended before any carburettor was settled, because nothing says which kit
they were about; goods that came back; and the month that is not over yet, unless there is nothing before it. A
superseded number's demand is put under the number that took its place. What goes into a kit that was sold before the
shelf was first counted was built into it, though no ledger line tells that.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import ceil
from typing import Final, NamedTuple

import numpy as np
from django.db.models import Min
from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.orders import Orders
from floatbowl.shelf.recipes import Recipe, taken
from floatbowl.shelf.supersede import Supersession, supersession
from floatbowl.shop.models import Enquiry, LedgerLine, OfficePaper, ReadBack, ToldSale
from floatbowl.shop.models.office import DECLINED, INVOICE, OFFER
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.things import Named, Things

#: Months looked back; what was asked before is no guide to what will be (estimate).
MOST_MONTHS: Final = 60
LEFT: Final = {"sale": "sold", "job": "used on jobs", "taken for a kit": "built into kits"}
LOST: Final = "asked in vain"
#: How the ledger names what was sold in a call without a paper; its number follows.
OF_A_CALL: Final = "enquiry "


class Event(NamedTuple):
    """So many of one item were asked for on one day, and how it ended."""

    named: Named
    day: date
    quantity: int
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The record: line i is ``named[i]``; month 0 begins on ``first``. ``counts`` tells each item's pieces by how."""

    named: tuple[Named, ...]
    orders: Orders
    first: date
    counts: Mapping[Named, Counter[str]] = field(repr=False)
    supersession_says: str = ""

    def line(self, named: Named) -> int | None:
        """The line of an item; None where the record has none for it."""
        try:
            return self.named.index(named)
        except ValueError:
            return None

    @property
    def ends(self) -> date:
        """The first day that is not counted yet: this month counts when it is over."""
        return self.month_begins(self.orders.months)

    def month_begins(self, month: int) -> date:
        """The first day of a month of the record."""
        at = self.first.year * 12 + self.first.month - 1 + month
        return date(at // 12, at % 12 + 1, 1)


def asked(things: Things, today: date | None = None) -> Asked | None:
    """The record up to the last whole month (with this month, where there is nothing before it); None for none."""
    today = today or timezone.localdate()
    known, says = _supersession(things)
    events = [_renamed(event, known, things) for event in all_events(recipes=things.recipes)]
    this_month = _month(today)
    before = [event for event in events if this_month - MOST_MONTHS <= _month(event.day) < this_month]
    last = this_month if before else this_month + 1
    kept = before or [event for event in events if _month(event.day) == this_month]
    if not kept:
        return None
    first = min(_month(event.day) for event in kept)
    named = tuple(dict.fromkeys([*things.all, *(event.named for event in kept)]))
    place = {name: number for number, name in enumerate(named)}
    counts: defaultdict[Named, Counter[str]] = defaultdict(Counter)
    for event in kept:
        counts[event.named][event.how] += event.quantity
    orders = Orders(
        lines=len(named),
        months=last - first,
        line=np.array([place[event.named] for event in kept], np.int64),
        month=np.array([_month(event.day) - first for event in kept], np.int64),
        quantity=np.array([event.quantity for event in kept], np.int64),
        known_from=_known_from(named, kept, first, last - first),
    )
    begins = date(first // 12, first % 12 + 1, 1)
    return Asked(named=named, orders=orders, first=begins, counts=counts, supersession_says=says)


def all_events(only: Named | None = None, recipes: Mapping[str, Recipe] | None = None) -> list[Event]:
    """Everything asked, of one item or of all; ``recipes`` say what went into kits sold before there was a ledger."""
    left = [*_from_ledger(only), *_from_files(only), *_into_kits_of_before(only, recipes or {})]
    most: dict[Named, int] = {}
    for event in left:
        most[event.named] = max(event.quantity, most.get(event.named, 0))
    return [*left, *lost_events(only, most)]


def _from_ledger(only: Named | None) -> Iterator[Event]:
    """One event for what left together, though it lay at several places."""
    lines = LedgerLine.objects.filter(why__in=LEFT, quantity__lt=0, reversed_by=None, told_sales=None)
    if only is not None:
        lines = lines.filter(item__kind=only[0], item__key=only[1])
    together: Counter[tuple[str, str, str, str, str, date]] = Counter()
    zone = timezone.get_current_timezone()
    rows = lines.order_by().values_list("item__kind", "item__key", "why", "document", "says", "at", "quantity")
    for kind, key, why, document, says, at, quantity in rows.iterator(chunk_size=5000):
        moment = document or f"{says} {at:%H:%M}"
        together[kind, key, why, moment, f"{at:%Y%m%d}", at.astimezone(zone).date()] -= quantity
    for (kind, key, why, _, _, day), quantity in together.items():
        yield Event((kind, key), day, quantity, LEFT[why])


def _from_files(only: Named | None) -> Iterator[Event]:
    rows = ToldSale.objects.filter(quantity__gt=0).exclude(lines__reversed_by__isnull=False)
    rows = rows if only is None else rows.filter(item__kind=only[0], item__key=only[1])
    for kind, key, day, quantity in rows.values_list("item__kind", "item__key", "day", "quantity"):
        yield Event((kind, key), day, quantity, "sold")


def _into_kits_of_before(only: Named | None, recipes: Mapping[str, Recipe]) -> Iterator[Event]:
    """Parts of kits whose sale is history only: no ledger line tells that they were taken."""
    if only is not None:
        recipes = {kit: recipe for kit, recipe in recipes.items() if only in ((PART, part) for part, _ in recipe.parts)}
    sales = ToldSale.objects.filter(quantity__gt=0, lines=None, item__kind=KIT, item__key__in=recipes)
    for kit, day, quantity in sales.values_list("item__key", "day", "quantity"):
        for part, pieces in taken(recipes[kit], quantity).items():
            if only in (None, (PART, part)):
                yield Event((PART, part), day, ceil(pieces), LEFT["taken for a kit"])


def lost_events(only: Named | None = None, most: Mapping[Named, int] | None = None) -> Iterator[Event]:
    """One for each kit of a lost enquiry, and one for each kit or part on the declined offers of other enquiries.

    What was declined is a wish: it counts for no more pieces than ``most``, what was ever sold of it in one go.
    """
    read_back = ReadBack.objects.filter(withdrawn_at=None, in_hand__enquiry__outcome="lost").exclude(kit="")
    declined = OfficePaper.objects.filter(kind=OFFER, state=DECLINED)
    told: set[tuple[int, str]] = set()
    rows = read_back.values_list("in_hand__enquiry_id", "kit", "in_hand__enquiry__closed_at", "at")
    for enquiry, kit, closed, at in rows:
        if (enquiry, kit) not in told and only in (None, (KIT, kit)):
            told.add((enquiry, kit))
            yield Event((KIT, kit), timezone.localdate(closed or at), 1, LOST)
    told |= _sold_in_calls()
    for enquiry_, dated, goods in declined.order_by("pk").values_list("enquiry_id", "dated", "goods"):
        wanted: Counter[Named] = Counter()
        for _, kind, key, pieces in goods:
            if (enquiry_, key) not in told:
                wanted[kind, key] += pieces
        told |= {(enquiry_, key) for _, key in wanted if enquiry_ is not None}
        for named, pieces in wanted.items():
            if pieces > 0 and only in (None, named):
                yield Event(named, dated, min(pieces, (most or {}).get(named, 1)), LOST)


def _sold_in_calls() -> set[tuple[int, str]]:
    """Call and key of what was sold in a call after all, by an invoice or straight off the shelf."""
    found = set()
    for enquiry, goods in OfficePaper.objects.filter(kind=INVOICE).values_list("enquiry_id", "goods"):
        found |= {(enquiry, key) for _, _, key, _ in goods if enquiry is not None}
    lines = LedgerLine.objects.filter(document__startswith=OF_A_CALL, why="sale", reversed_by=None, told_sales=None)
    for document, key in lines.order_by().values_list("document", "item__key"):
        number = document.removeprefix(OF_A_CALL)
        found |= {(int(number), key)} if number.isdecimal() else set()
    return found


def unsettled_lost() -> int:
    """How many lost enquiries name no kit, and so are counted for none."""
    lost = Enquiry.objects.filter(outcome="lost")
    return (
        lost.count()
        - lost.filter(in_hand__read_backs__withdrawn_at=None, in_hand__read_backs__pk__gt=0).distinct().count()
    )


def _supersession(things: Things) -> tuple[Supersession | None, str]:
    try:
        return supersession(things.book.reference.replacements), ""
    except Refused as wrong:
        return None, f"Replaced numbers are not put together: {wrong}."


def _renamed(event: Event, known: Supersession | None, things: Things) -> Event:
    kind, key = event.named
    now = known.now.get(key, key) if known else key
    return event._replace(named=(kind, now)) if (kind, now) in things.all else event


def _known_from(named: tuple[Named, ...], events: Iterable[Event], first: int, months: int) -> np.ndarray:
    """The month an item could first be asked for: where it first came by a receipt, that month, else the first."""
    begun = dict.fromkeys(named, first)
    firsts = LedgerLine.objects.order_by().values("item").annotate(first=Min("pk")).values("first")
    came = LedgerLine.objects.filter(pk__in=firsts, why="receipt").values_list("item__kind", "item__key", "at")
    for kind, key, at in came:
        if (kind, key) in begun:
            begun[kind, key] = max(first, min(_month(timezone.localdate(at)), first + months - 1))
    for event in events:
        begun[event.named] = min(begun[event.named], _month(event.day))
    return np.array([begun[name] - first for name in named], np.int64)


def _month(day: date) -> int:
    return day.year * 12 + day.month - 1
