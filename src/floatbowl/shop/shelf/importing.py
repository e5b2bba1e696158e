"""Counts and sales from a table into the shelf: all rows or none, and the same table twice changes nothing.

Each row has a name of its own, made of what it says (and, of rows that say the same, which one it is), so that a
table sent again, or one that holds last month's rows too, brings in only what is new.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time

from django.db import transaction
from django.db.models import Min, Sum
from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.shop.models.shelf import KIT, PART, Item, LedgerLine
from floatbowl.shop.models.told import Counted, ToldSale
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, take
from floatbowl.shop.shelf.tables import TableRow
from floatbowl.shop.shelf.things import Named, Things


@dataclass(slots=True)
class BroughtIn:
    """What a table did: rows new to the shelf, rows known already, and those that are kept as history only."""

    new: int = 0
    known: int = 0
    history: int = 0
    left_out: list[str] = field(default_factory=list)


def bring_in_counts(rows: Sequence[TableRow], things: Things, who: str, day: date | None = None) -> BroughtIn:
    """Write counts; ``day`` is for rows that name none. What happened to an item after its count's day is kept.

    Raises ``Refused`` naming every row that cannot be, and then nothing is written.
    """
    if any(row.day is None for row in rows) and day is None:
        raise Refused("the table does not say on which day was counted; say it")
    done, faults = BroughtIn(), []
    with transaction.atomic():
        for row, named, sent in _with_names("count", rows, things, faults, day):
            if Counted.objects.filter(sent=sent).exists():
                done.known += 1
            elif fault := _count(row, named, row.day or day or timezone.localdate(), sent, who):
                faults.append(fault)
            else:
                done.new += 1
        _refuse(faults)
    return done


def _count(row: TableRow, named: Named, day: date, sent: str, who: str) -> str:
    """Write one count as of the end of its day; returns what is wrong with it."""
    item = item_of(*named)
    after = LedgerLine.objects.filter(item=item, place=row.place, at__gt=_end_of(day))
    since = after.aggregate(Sum("quantity"))["quantity__sum"] or 0
    try:
        count_at(*named, row.quantity + since, row.place, About(why="count", who=who, says=f"counted {day}", sent=sent))
    except (ValueError, NotEnoughError) as wrong:
        return f"line {row.line}: {row.item}: {wrong}"
    return ""


def _end_of(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.max))


def bring_in_sales(rows: Sequence[TableRow], things: Things, who: str) -> BroughtIn:
    """Write sales. Those of the day an item was first counted, or before, are history; later ones leave the shelf.

    Raises ``Refused`` naming every row that cannot be, and then nothing is written.
    """
    done, faults = BroughtIn(), []
    faults += [f"line {row.line}: {row.item}: the sale has no day" for row in rows if row.day is None]
    _refuse(faults)
    with transaction.atomic():
        for row, named, sent in _with_names("sale", rows, things, faults, None):
            if row.quantity <= 0:
                done.left_out.append(f"line {row.line}: {row.item}: {row.quantity} is no sale; goods that came back")
            elif ToldSale.objects.filter(sent=sent).exists():
                done.known += 1
            else:
                _sell(row, named, sent, who, done, faults)
        _refuse(faults)
    return done


def _sell(row: TableRow, named: Named, sent: str, who: str, done: BroughtIn, faults: list[str]) -> None:
    item = item_of(*named)
    assert row.day
    told = ToldSale(item=item, quantity=row.quantity, day=row.day, document=row.document, sent=sent, who=who)
    begun = LedgerLine.objects.filter(item=item).aggregate(Min("at"))["at__min"]
    if begun is None or row.day <= timezone.localdate(begun):
        told.save()
        done.history += 1
        return
    about = About(why="sale", who=who, document=row.document, says=f"sold {row.day}", sent=sent)
    try:
        lines = take(item, row.quantity, about)
    except NotEnoughError as wrong:
        faults.append(f"line {row.line}: {row.item}: {wrong}")
        return
    told.save()
    told.lines.set(lines)
    done.new += 1


def _with_names(
    what: str, rows: Sequence[TableRow], things: Things, faults: list[str], day: date | None
) -> Iterable[tuple[TableRow, Named, str]]:
    """Each row with its item and its own name; a row whose item is not known goes to the faults."""
    folded = _folded(things)
    seen: Counter[tuple[object, ...]] = Counter()
    for row in rows:
        named = _item(row, folded)
        if isinstance(named, str):
            faults.append(f"line {row.line}: {named}")
            continue
        says = (what, *named, row.place, row.quantity, row.day or day, row.document)
        seen[says] += 1
        yield row, named, hashlib.sha256(repr((*says, seen[says])).encode()).hexdigest()[:48]


def _folded(things: Things) -> dict[str, list[Named]]:
    keys = dict.fromkeys([*things.all, *Item.objects.values_list("kind", "key")])
    found: dict[str, list[Named]] = {}
    for kind, key in keys:
        found.setdefault(key.casefold(), []).append((kind, key))
    return found


def _item(row: TableRow, folded: dict[str, list[Named]]) -> Named | str:
    found = folded.get(row.item.casefold(), [])
    if row.kind:
        found = [named for named in found if named[0] == row.kind.casefold()]
    if len(found) > 1:
        found = [named for named in found if named[1] == row.item] or found
    if len(found) == 1:
        return found[0]
    if found:
        return f"{row.item}: is it the kit or the part? Add a column headed kind, with {KIT} or {PART}"
    return f"{row.item}: no kit or part of this number is in the records; correct it, or write it down in the Notebook"


def _refuse(faults: list[str]) -> None:
    if faults:
        more = f"; and {len(faults) - 20} more" if len(faults) > 20 else ""
        raise Refused(f"nothing was brought in. {'; '.join(faults[:20])}{more}")
