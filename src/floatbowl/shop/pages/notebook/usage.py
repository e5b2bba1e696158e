"""Where a record is named by others: before it is taken out, and on the page of a source."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import connection

from floatbowl.reference.facts import TABLES
from floatbowl.shop.models.tables import REFERS_TO, column_of, stored_fields
from floatbowl.shop.pages.notebook import labels
from floatbowl.shop.pages.notebook.layout import Kind
from floatbowl.shop.pages.notebook.names import CASTINGS


@dataclass(frozen=True, slots=True)
class Use:
    """Rows of one table that name a record."""

    table: str
    what: str
    count: int


def uses(kind: Kind, key: str) -> list[Use]:
    """The tables whose rows name this record, with how many do."""
    found = []
    for table, fact in TABLES.items():
        names = [column_of(f.name) for f in stored_fields(fact)]
        columns = [name for name in names if _names(table, name, kind) and table != kind.table]
        if columns and (count := _count(table, columns, key)):
            found.append(Use(table, labels.one(table) if count == 1 else labels.many(table), count))
    return found


def _names(table: str, column: str, kind: Kind) -> bool:
    if column in ("old", "new"):
        return kind.name in ("kit", "part")
    return REFERS_TO.get(column) == kind.table and not (column == "part" and table in CASTINGS)


def _count(table: str, columns: list[str], key: str) -> int:
    name = connection.ops.quote_name
    where = " OR ".join(f"{name(column)} = %s" for column in columns)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM {name(table)} WHERE {where}", [key] * len(columns))
        return int(cursor.fetchone()[0])
