"""Counts and sales from a table into the shelf: all rows or none, and the same table twice changes nothing.

Each row has a name of its own, made of what it says (and, of rows that say the same, which one it is), so that a
table sent again, or one that holds last month's rows too, brings in only what is new.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db import transaction
from django.db.models import Min
from django.utils import timezone

from floatbowl.shelf.supplier_columns import Question
from floatbowl.shelf.supplier_list import Asked
from floatbowl.shop.models.shelf import KIT, PART, Item, LedgerLine
from floatbowl.shop.models.told import Counted, ToldSale
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.faults import Fault, at_line, refuse_any
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, take
from floatbowl.shop.shelf.sold_before import Found, are_they_the_same, look_alikes
from floatbowl.shop.shelf.spelling import plainly_spelt
from floatbowl.shop.shelf.tables import Table, TableRow, UnreadRow
from floatbowl.shop.shelf.things import Named, Things


@dataclass(slots=True)
class BroughtIn:
    """What a table did: rows new to the shelf, rows known already, and those that are kept as history only."""

    new: int = 0
    known: int = 0
    history: int = 0
    left_out: list[str] = field(default_factory=list)
    #: What counts of earlier days changed, in words.
    earlier: list[str] = field(default_factory=list)


def bring_in_counts(table: Table, things: Things, who: str, day: date | None = None, or_say: str = "") -> BroughtIn:
    """Write counts, oldest first; ``day`` is for rows that name none. What happened after a count's day is kept.

    ``or_say`` tells how else than by a column the day can be given. Raises ``RowsRefused`` naming every row that
    cannot be, and then nothing is written.
    """
    done, faults = BroughtIn(), list(table.faults)
    if day is None:
        faults += _without_a_day(table, or_say)
    of_day = day or timezone.localdate()
    with transaction.atomic():
        found = list(_with_names("count", table, things, faults, of_day))
        twice, two_ways = _told_two_ways(found, of_day)
        faults += two_ways
        for row, named, sent in sorted(found, key=lambda each: each[0].day or of_day):
            if Counted.objects.filter(sent=sent).exists():
                done.known += 1
            elif row.line not in twice and (fault := _count(row, named, row.day or of_day, sent, who, done)):
                faults.append(at_line(row.line, fault))
        refuse_any(faults)
    done.left_out += table.left_out
    return done


def _without_a_day(table: Table, or_say: str) -> list[Fault]:
    lines = [row.line for row in table.rows if row.day is None]
    if len(lines) == len(table.rows) and lines:
        add = f"add a column headed day{or_say}"
        return [Fault(0, f"the table does not say on which day was counted; {add}")]
    return [at_line(line, f"it has no day; write it in{or_say}") for line in lines]


def _told_two_ways(rows: Iterable[Found], day: date) -> tuple[set[int], list[Fault]]:
    """Rows that say another number of a place and day than a row before them: their lines, and what is wrong."""
    first: dict[tuple[object, ...], TableRow] = {}
    faults = []
    for row, named, _ in rows:
        other = first.setdefault((named, plainly_spelt(row.place), row.day or day), row)
        if other.quantity != row.quantity:
            where = f"at {row.place}" if row.place else "without a place"
            says = (
                f"lines {other.line} and {row.line}: {row.item} {where} "
                f"was counted twice on one day, {other.quantity} and {row.quantity}; leave one of them"
            )
            faults.append(Fault(row.line, says))
    return {fault.line for fault in faults}, faults


def _count(row: TableRow, named: Named, day: date, sent: str, who: str, done: BroughtIn) -> str:
    """Write one count as of the end of its day; returns what is wrong with it."""
    about = About(why="count", who=who, says=f"counted {day}", sent=sent)
    try:
        kept = count_at(*named, row.quantity, row.place, about, day)
    except (ValueError, NotEnoughError) as wrong:
        return f"{row.item}: {wrong}"
    done.new += 1
    if kept.changed and day < timezone.localdate() and LedgerLine.objects.filter(item=kept.item).count() > 1:
        said = f"{abs(kept.changed)} {'more' if kept.changed > 0 else 'fewer'}"
        where = f" at {kept.place}" if kept.place else ""
        had = kept.counted - kept.changed
        done.earlier.append(
            f"line {row.line}: {row.item}{where}: {kept.counted} counted on {day}, the ledger had {had} at the end of "
            f"that day; {said} written"
        )
    return ""


def bring_in_sales(table: Table, things: Things, who: str, answers: Mapping[str, str]) -> BroughtIn | Asked:
    """Write sales. Those of the day an item was first counted, or before, are history; later ones leave the shelf.

    Rows that look like sales that are here already are asked about, and nothing is written until it is answered.
    Raises ``RowsRefused`` naming every row that cannot be, and then nothing is written either.
    """
    done, faults = BroughtIn(), list(table.faults)
    with transaction.atomic():
        found = list(_with_names("sale", table, things, faults, None))
        sold = [each for each in found if _is_sale(each[0], done, faults)]
        alike = look_alikes(sold)
        same = are_they_the_same(alike, answers) if alike and not faults else False
        if isinstance(same, Question):
            return Asked((same,))
        left = {sent for _, _, sent in alike} if same else set()
        for row, named, sent in sold:
            if sent in left or ToldSale.objects.filter(sent=sent).exists():
                done.known += 1
            else:
                _sell(row, named, sent, who, done, faults)
        refuse_any(faults)
    done.left_out += table.left_out
    return done


def _is_sale(row: TableRow, done: BroughtIn, faults: list[Fault]) -> bool:
    """Whether a row can be a sale; what came back is left out, what has no day that was is a fault."""
    if row.day is None:
        faults.append(at_line(row.line, f"{row.item}: the sale has no day"))
    elif row.day > timezone.localdate():
        faults.append(at_line(row.line, f"{row.item}: {row.day} is still to come; write the day of the sale"))
    elif row.quantity <= 0:
        done.left_out.append(f"line {row.line}: {row.item}: {row.quantity} is no sale; goods that came back")
    else:
        return True
    return False


def _sell(row: TableRow, named: Named, sent: str, who: str, done: BroughtIn, faults: list[Fault]) -> None:
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
        faults.append(at_line(row.line, f"{row.item}: {wrong}"))
        return
    told.save()
    told.lines.set(lines)
    done.new += 1


def _with_names(what: str, table: Table, things: Things, faults: list[Fault], day: date | None) -> Iterable[Found]:
    """Each row with its item and its own name; one that cannot be read, or whose item is not known, is a fault."""
    folded = _folded(things)
    seen: Counter[tuple[object, ...]] = Counter()
    for unread in table.unread:
        named = _item(unread, folded) if unread.item else ""
        also = [named] if isinstance(named, str) and named else []
        faults.append(at_line(unread.line, "; ".join([*unread.wrong, *also])))
    for row in table.rows:
        named = _item(row, folded)
        if isinstance(named, str):
            faults.append(at_line(row.line, named))
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


def _item(row: TableRow | UnreadRow, folded: dict[str, list[Named]]) -> Named | str:
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
