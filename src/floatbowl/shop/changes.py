"""Writing down what changes: the counter counts up and the change is kept, in the change's own transaction."""

from __future__ import annotations

import json
import secrets
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple, cast

from django.db import connection
from django.db.models import F
from django.utils import timezone

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES
from floatbowl.shop.models import Change, ReferenceVersion
from floatbowl.shop.rows import Values, describer, key_getter, values_of

ONLY_ROW = 1


class Version(NamedTuple):
    """A state of the reference: its number, and a stamp that no other database's same number has."""

    number: int
    stamp: str


def version_now() -> Version:
    """The reference's version; number 0 before anything was loaded or written."""
    found = ReferenceVersion.objects.filter(pk=ONLY_ROW).values_list("number", "stamp").first()
    return Version(*found) if found else Version(0, "")


def count_up() -> Version:
    """Count the reference's version up by one and return it. Call inside a transaction, before its changes."""
    if not connection.in_atomic_block:
        raise RuntimeError("The version counts up only together with a change: inside a transaction.")
    stamp = secrets.token_hex(8)
    if not ReferenceVersion.objects.filter(pk=ONLY_ROW).update(number=F("number") + 1, stamp=stamp):
        ReferenceVersion.objects.create(pk=ONLY_ROW, number=1, stamp=stamp)
    return version_now()


def write_down(table: str, row: int, *, who: str, version: Version, before: Fact | None, after: Fact | None) -> None:
    """Keep one change of one row. Raises ValueError without a row before or after."""
    described = describer(TABLES[table])
    told = [described(values_of(fact)) if fact else None for fact in (before, after)]
    named = told[1] or told[0]
    if named is None:
        raise ValueError("A change needs the row before it or after it.")
    was, became = (one and one[2] for one in told)
    Change.objects.create(
        who=who,
        version=version.number,
        stamp=version.stamp,
        table=table,
        record=named[0],
        key=named[1],
        row=row,
        before=was,
        after=became,
    )


def write_down_all(table: str, old: list[Values], new: list[Values], *, who: str, version: Version) -> None:
    """Keep every difference between two states of one table."""
    described = describer(TABLES[table])
    written = json.JSONEncoder(ensure_ascii=False).encode
    when = connection.ops.adapt_datetimefield_value(timezone.now())

    def rows() -> Iterator[tuple[Any, ...]]:
        for before, after in differences(old, new, key_getter(TABLES[table])):
            told = [described(values) if values else None for values in (before, after)]
            record, key, _ = told[1] or told[0] or ("", "", None)
            was, became = (written(one[2]) if one else None for one in told)
            yield (when, who, *version, table, record, key, was, became)

    columns = ("at", "who", "version", "stamp", "table", "record", "key", "before", "after")
    names = ", ".join(map(connection.ops.quote_name, columns))
    places = ", ".join(["%s"] * len(columns))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO changes ({names}) VALUES ({places})", cast(Any, rows()))


def differences(
    old: Iterable[Values], new: Iterable[Values], key: Any
) -> Iterator[tuple[Values | None, Values | None]]:
    """Pairs (before, after) of rows that are not alike in two states of one table; rows of one key are paired.

    >>> def first(row):
    ...     return row[0]
    >>> list(differences([("rule", 0.5)], [("rule", 0.3), ("tape", 1.0)], first))
    [(('rule', 0.5), ('rule', 0.3)), (None, ('tape', 1.0))]
    """
    surplus = Counter(old)
    surplus.subtract(new)
    gone: defaultdict[object, list[Values]] = defaultdict(list)
    come: list[Values] = []
    for row, times in surplus.items():
        if times > 0:
            gone[key(row)].extend([row] * times)
        elif times < 0:
            come.extend([row] * -times)
    for row in come:
        same_key = gone.get(key(row))
        yield (same_key.pop(0) if same_key else None), row
    for left in gone.values():
        yield from ((row, None) for row in left)
