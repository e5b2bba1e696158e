"""Sales of a table that look like sales that are here already, though the table names another paper, or none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time
from typing import Final

from django.db.models import Sum
from django.utils import timezone

from floatbowl.shelf.supplier_columns import Choice, Question, answered
from floatbowl.shop.models.shelf import LedgerLine
from floatbowl.shop.models.told import ToldSale
from floatbowl.shop.shelf.tables import TableRow
from floatbowl.shop.shelf.things import Named

#: A row with its item and its own name.
Found = tuple[TableRow, Named, str]
#: What a sale is known by where its paper is not: the item, the day, the pieces. Prices and customers are not kept.
_Like = tuple[str, str, date, int]
SAME: Final = "the same sales"
OTHERS: Final = "other sales"
_LINES_SHOWN: Final = 12


def look_alikes(rows: Sequence[Found]) -> list[Found]:
    """The rows that equal a sale that is here in item, day and pieces, and are not that sale by their own name.

    A sale that is here stands for one row only, and for none where its own row is in the table.
    """
    days = [row.day for row, _, _ in rows if row.day]
    if not days:
        return []
    names = {sent for _, _, sent in rows}
    here = Counter(like for like, sent in _here(min(days), max(days)) if sent not in names)
    known = _known(names)
    alike = []
    for row, named, sent in rows:
        if sent in known or row.day is None:
            continue
        like = (*named, row.day, row.quantity)
        if here[like] > 0:
            here[like] -= 1
            alike.append((row, named, sent))
    return alike


def are_they_the_same(alike: Sequence[Found], answers: Mapping[str, str]) -> bool | Question:
    """What was answered about the rows that look alike, or the question."""
    several = len(alike) > 1
    said = f"{len(alike)} rows look like sales that are" if several else "1 row looks like a sale that is"
    lines = ", ".join(str(row.line) for row, _, _ in alike[:_LINES_SHOWN])
    more = f" and {len(alike) - _LINES_SHOWN} more" if len(alike) > _LINES_SHOWN else ""
    question = Question(
        "rows that look alike",
        f"{said} already here: the same item, day and pieces, under another paper or none "
        f"({'lines' if several else 'line'} {lines}{more}). {'Which are they' if several else 'Which is it'}?",
        (Choice(SAME, "left out, so that nothing counts twice"), Choice(OTHERS, "brought in as well")),
    )
    told = answered(question, answers)
    return question if told is None else told == SAME


def _here(first: date, last: date) -> Iterator[tuple[_Like, str]]:
    """Sales of these days: from tables with their own names, and those that left the shelf here."""
    told = ToldSale.objects.filter(day__range=(first, last)).order_by()
    rows = told.values_list("item__kind", "item__key", "day", "quantity", "sent")
    for kind, key, day, quantity, sent in rows.iterator(chunk_size=5000):
        yield (kind, key, day, quantity), sent
    between = (_moment(first, time.min), _moment(last, time.max))
    left = LedgerLine.objects.filter(why="sale", quantity__lt=0, reversed_by=None, told_sales=None, at__range=between)
    # What left together lay at several places, perhaps.
    together = left.order_by().values_list("item__kind", "item__key", "at__date", "document", "says")
    for kind, key, day, _, _, quantity in together.annotate(pieces=Sum("quantity")):
        yield (kind, key, day, -quantity), ""


def _moment(day: date, at: time) -> datetime:
    return timezone.make_aware(datetime.combine(day, at))


def _known(names: Iterable[str]) -> set[str]:
    """The names that are here already, looked up a few hundred at a time."""
    listed = sorted(names)
    found: set[str] = set()
    for start in range(0, len(listed), 500):
        found |= set(ToldSale.objects.filter(sent__in=listed[start : start + 500]).values_list("sent", flat=True))
    return found
