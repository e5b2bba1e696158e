"""The shelf's beginning: what the records say is on hand becomes a first count, once for each item.

An item that was counted or moved before has lines already: those go before the records and stay as they are.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from floatbowl.shop.models.shelf import LedgerLine
from floatbowl.shop.shelf.ledger import About, item_of, write
from floatbowl.shop.shelf.on_hand import all_stands
from floatbowl.shop.shelf.things import Thing, things_now

SAYS = "as the records had it"


@dataclass(frozen=True, slots=True)
class Begun:
    """How many items got a first count, of how many pieces; and those whose record is no whole number."""

    items: int
    pieces: int
    not_whole: tuple[Thing, ...] = ()


def not_begun() -> list[Thing]:
    """Items with a number on hand in the records and no line in the ledger."""
    things = things_now()
    stands = all_stands(things)
    return [thing for named, thing in things.all.items() if (thing.recorded or 0) > 0 and not stands[named].counted]


def begin(who: str) -> Begun:
    """Write the first counts that are still missing; done again, it writes none."""
    pieces, items, not_whole = 0, 0, []
    with transaction.atomic():
        for thing in not_begun():
            if (count := _whole(thing)) is None:
                not_whole.append(thing)
                continue
            first_count(thing, who)
            items, pieces = items + 1, pieces + count
    return Begun(items, pieces, tuple(not_whole))


def first_count(thing: Thing, who: str) -> None:
    """Write one item's first count from the records, unless it has lines or the record has nothing to count.

    Called before anything is added to or taken from an item, so that the record's number is not lost by it.
    """
    count = _whole(thing)
    if not count:
        return
    item = item_of(thing.kind, thing.key)
    if not LedgerLine.objects.filter(item=item).exists():
        about = About(why="first count", who=who, says=SAYS, sent=f"first count {item.pk}")
        write(item, count, about, thing.place)


def _whole(thing: Thing) -> int | None:
    recorded = thing.recorded or 0
    return int(recorded) if recorded == int(recorded) else None
