"""Counting what lies at a place: the ledger gets a line where it differs, and the count itself is always kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from django.db import transaction
from django.db.models import Min, Sum
from django.utils import timezone

from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.models.told import Counted
from floatbowl.shop.shelf import ledger
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of
from floatbowl.shop.shelf.spelling import spelt_first

#: No shelf here holds more of one thing; a larger number is a slip of the hand.
MOST = 1_000_000


def count_at(kind: str, key: str, counted: int, place: str, about: About, day: date | None = None) -> Counted:
    """Keep a count of today, or of an earlier ``day``; the same ``about.sent`` again changes nothing.

    A count of an earlier day is held against what the ledger says lay there at the end of that day; what happened
    since stays. The first count of an item that only the records knew is what is counted: the record's number is not
    added to it. Raises ValueError for a number that cannot lie anywhere, and for a day that nothing can be said of.
    """
    if not 0 <= counted <= MOST:
        raise ValueError(f"{counted} cannot lie there; count again and write a whole number from 0 to {MOST:,}")
    with transaction.atomic():
        if about.sent and (known := Counted.objects.filter(sent=about.sent).first()):
            return known
        item = item_of(kind, key)
        place = spelt_first(item, place)
        if day is None or day == timezone.localdate():
            line = ledger.count(item, counted, place, about)
            at = timezone.now()
        else:
            is_first = _refuse_day(item, place, day)
            had = "" if is_first else f"; the ledger had {lay_there(item, place, day)} at the end of that day"
            about = replace(about, says=f"counted {counted} on {said(day)}{had}", at=end_of(day))
            line, at = _count_of(item, counted - lay_there(item, place, day), place, about), end_of(day)
        told = {"sent": about.sent} if about.sent else {}
        changed = line.quantity if line else 0
        return Counted.objects.create(
            item=item, place=place, counted=counted, changed=changed, who=about.who, at=at, **told
        )


def lay_there(item: Item, place: str, day: date) -> int:
    """How many lay at a place at the end of a day, by the ledger."""
    lines = LedgerLine.objects.filter(item=item, place=place, at__lte=end_of(day))
    return int(lines.aggregate(Sum("quantity"))["quantity__sum"] or 0)


def end_of(day: date) -> datetime:
    """The last moment of a day at the shop."""
    return timezone.make_aware(datetime.combine(day, time.max))


def _refuse_day(item: Item, place: str, day: date) -> bool:
    """Raises ValueError for a day that nothing can be said of; returns whether nothing is written of the item yet."""
    if day > timezone.localdate():
        raise ValueError(f"{said(day)} is still to come; write the day on which it was counted")
    begun = LedgerLine.objects.filter(item=item).aggregate(Min("at"))["at__min"]
    if begun is not None and day < timezone.localdate(begun):
        raise ValueError(
            f"{said(day)} is before its first line here, of {said(timezone.localdate(begun))}: nothing is known of "
            "what lay there then; count it today"
        )
    later = Counted.objects.filter(item=item, place=place, at__gt=end_of(day)).order_by("at").first()
    if later is not None:
        again = timezone.localdate(later.at)
        raise ValueError(f"it was counted again on {said(again)}; a count of {said(day)} changes nothing any more")
    return begun is None


def _count_of(item: Item, change: int, place: str, about: About) -> LedgerLine | None:
    """Write the difference to what the ledger says lay there at the end of the day, with that day."""
    try:
        return ledger.write(item, change, about, place) if change else None
    except NotEnoughError as wrong:
        raise NotEnoughError(
            f"{about.says}: {-change} fewer, but not so many lie there today; count it today"
        ) from wrong


def said(day: date) -> str:
    """A day as people write it.

    >>> said(date(2026, 3, 9))
    '9 March 2026'
    """
    return f"{day.day} {day:%B %Y}"
