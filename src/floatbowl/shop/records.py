"""Changing one row of the reference: in one transaction, written down, and never over somebody else's change unseen."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from django.db import connection, transaction

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES
from floatbowl.shop.changes import count_up, write_down
from floatbowl.shop.models import ROWS, Change
from floatbowl.shop.models.tables import attribute_of, column_of, stored_fields
from floatbowl.shop.rows import read_numbered, values_of


@dataclass(frozen=True, slots=True)
class Stored:
    """A row as it stands in the database: its number there, and what it says."""

    table: str
    row: int
    fact: Fact

    @property
    def print(self) -> str:
        """Tells whether a row still says what was shown: the same text for the same values."""
        return fingerprint(self.fact)


class ChangedMeanwhileError(Exception):
    """The row no longer says what was shown. ``now`` is the row as it stands, or None when it is gone; ``last`` is the
    change that made it so, where it was written down row by row."""

    def __init__(self, now: Stored | None, last: Change | None) -> None:
        super().__init__("The record changed while it was being edited.")
        self.now = now
        self.last = last


def fingerprint(fact: Fact) -> str:
    """A short text that differs between rows that differ."""
    return sha256(json.dumps(values_of(fact)).encode("utf-8", "surrogatepass")).hexdigest()[:20]


def stored(table: str, row: int) -> Stored | None:
    """One row by its number, or None."""
    numbers, facts = read_numbered(table, "WHERE id = %s", [row])
    return Stored(table, numbers[0], facts[0]) if facts else None


def rows_where(table: str, most: int | None = None, **wanted: Any) -> list[Stored]:
    """The rows whose columns hold these values, in the reference's order; at most ``most`` of them."""
    where = " AND ".join(f"{connection.ops.quote_name(column_of(name))} = %s" for name in wanted)
    numbers, facts = read_numbered(table, f"WHERE {where}" if wanted else "", list(wanted.values()), most)
    return [Stored(table, number, fact) for number, fact in zip(numbers, facts, strict=True)]


def add(fact: Fact, who: str) -> Stored:
    """Put a row behind the others of its table and write it down."""
    table = _table_of(fact)
    with transaction.atomic():
        version = count_up()
        row = ROWS[table].objects.create(**_attributes(fact)).pk
        write_down(table, row, who=who, version=version, before=None, after=fact)
    return Stored(table, row, fact)


def change(table: str, row: int, *, shown: str, after: Fact | None, who: str) -> None:
    """Let a row say ``after`` (or take it out: None), if it still says what was ``shown``.

    Raises ChangedMeanwhileError, with nothing written, when somebody changed it in between.
    """
    with transaction.atomic():
        version = count_up()  # Also holds other writers off until this is done.
        now = stored(table, row)
        if now is None or now.print != shown:
            raise ChangedMeanwhileError(now, Change.objects.filter(table=table, row=row).order_by("id").last())
        if now.fact == after:
            transaction.set_rollback(True)
            return
        rows = ROWS[table].objects.filter(pk=row)
        rows.delete() if after is None else rows.update(**_attributes(after))
        write_down(table, row, who=who, version=version, before=now.fact, after=after)


def _attributes(fact: Fact) -> dict[str, object]:
    shown = {attribute_of(f.name): getattr(fact, f.name) for f in stored_fields(type(fact))}
    return shown | {"extra": [list(pair) for pair in fact.extra]}


def _table_of(fact: Fact) -> str:
    return next(table for table, kind in TABLES.items() if kind is type(fact))
