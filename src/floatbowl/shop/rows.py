"""Facts to rows of the database and back, fast: plain tuples both ways, a cursor between them."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import MISSING
from itertools import repeat
from operator import attrgetter, itemgetter
from typing import Any, Final

from django.db import connection

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES
from floatbowl.shop.models.tables import column_of, keys_of, once, stored_fields

NOTHING_EXTRA: Final = "[]"

#: A row as the database holds it: own columns, then source, page, doubt, and the shop's own columns as JSON text.
Values = tuple[Any, ...]


@once
def field_order(fact: type[Fact]) -> tuple[str, ...]:
    """The order of a row's values: the table's own columns, then those that every row may carry."""
    own = [f.name for f in stored_fields(fact) if not f.kw_only]
    return (*own, *(f.name for f in stored_fields(fact) if f.kw_only))


@once
def values_maker(fact: type[Fact]) -> Callable[[Fact], Values]:
    """A function from a fact to the values of its row."""
    get = attrgetter(*field_order(fact))

    def values(row: Fact) -> Values:
        if not row.extra:
            return (*get(row)[:-1], NOTHING_EXTRA)
        return (*get(row)[:-1], json.dumps(row.extra, ensure_ascii=False))

    return values


def values_of(fact: Fact) -> Values:
    """A fact as the values of its row.

    >>> from floatbowl.reference.facts import Tool
    >>> values_of(Tool(tool="rule", spread=0.5, unit="mm", source="bench"))
    ('rule', 0.5, 'mm', 'bench', '', '', '[]')
    """
    return values_maker(type(fact))(fact)


@once
def fact_maker(fact: type[Fact]) -> Callable[[Values], Fact]:
    """A function from the values of a row to the fact."""
    make: Callable[..., Fact] = fact
    own = len(field_order(fact)) - 4

    def made(values: Values) -> Fact:
        # Half a million of these are made at once: what is empty anyway is left to the defaults.
        extra = () if values[own + 3] == NOTHING_EXTRA else _pairs(values[own + 3])
        return make(*values[:own], source=values[own], page=values[own + 1], doubt=values[own + 2], extra=extra)

    return made


def _pairs(text: str) -> tuple[tuple[str, str], ...]:
    return tuple((name, value) for name, value in json.loads(text))


@once
def describer(fact: type[Fact]) -> Callable[[Values], tuple[str, str, dict[str, Any]]]:
    """A function from the values of a row to the record it belongs to, its key as shown, and its filled columns."""
    names = field_order(fact)
    columns = [column_of(name) for name in names]
    keys = [names.index(name) for name in keys_of(fact)]

    def described(values: Values) -> tuple[str, str, dict[str, Any]]:
        filled = {c: v for c, v in zip(columns, values, strict=True) if v is not None and v != ""}
        extra = filled.pop("extra")
        if extra != NOTHING_EXTRA:
            filled["extra"] = json.loads(extra)
        key = " · ".join([str(values[k]) for k in keys if values[k] is not None and values[k] != ""])
        return str(values[keys[0]]), key, filled

    return described


@once
def key_getter(fact: type[Fact]) -> Callable[[Values], Any]:
    """A function from the values of a row to what names the row."""
    return itemgetter(*[field_order(fact).index(name) for name in keys_of(fact)])


def from_shown(kind: type[Fact], shown: dict[str, Any]) -> Fact:
    """The fact whose filled columns these are."""
    given = {f.name: shown[column_of(f.name)] for f in stored_fields(kind) if column_of(f.name) in shown}
    given["extra"] = tuple((name, value) for name, value in shown.get("extra", ()))
    empty = {f.name: "" for f in stored_fields(kind) if f.default is MISSING and f.default_factory is MISSING}
    return kind(**(empty | given))


def read_values(table: str) -> list[Values]:
    """The values of all rows of a table, in their order."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {_columns(table)} FROM {_quoted(table)} ORDER BY id")
        return list(cursor.fetchall())


def read_facts(table: str) -> list[Fact]:
    """All rows of a table, in their order."""
    return list(map(fact_maker(TABLES[table]), read_values(table)))


def read_numbered(
    table: str, where: str = "", given: Sequence[Any] = (), most: int | None = None
) -> tuple[list[int], list[Fact]]:
    """Numbers and facts of a table's rows, in their order; at most ``most`` of them."""
    limit = "" if most is None else f"LIMIT {most:d}"
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {_columns(table)}, id FROM {_quoted(table)} {where} ORDER BY id {limit}", given)
        found = cursor.fetchall()
    return [row[-1] for row in found], list(map(fact_maker(TABLES[table]), found))


def write_values(table: str, rows: list[Values]) -> None:
    """Put rows behind the table's rows, in their order."""
    columns = _columns(table)
    places = ", ".join(repeat("%s", columns.count(",") + 1))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {_quoted(table)} ({columns}) VALUES ({places})", rows)


def empty_table(table: str) -> None:
    """Remove all rows of a table."""
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {_quoted(table)}")


def _quoted(name: str) -> str:
    return connection.ops.quote_name(name)


@once
def _columns(table: str) -> str:
    return ", ".join(_quoted(column_of(name)) for name in field_order(TABLES[table]))
