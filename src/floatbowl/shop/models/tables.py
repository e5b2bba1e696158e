"""One table of the database for each table of a reference pack, made from the same dataclasses.

A table's columns have the names of the pack's columns (``with_`` is the column ``with``), after a number of its own
(``id``) that keeps the rows in order. Keys are indexed but not unique: two rows with one key disagree, and both are
kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import Field, fields
from functools import cache
from typing import Any, Final, TypeVar, cast

from django.db import models

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, key_fields

#: Fields of a fact that are no columns: where a pack's file had the row.
NOT_STORED: Final = frozenset({"line"})

#: Where Django keeps a field's name for itself, the model's attribute is called otherwise; the column is not.
ATTRIBUTES: Final[Mapping[str, str]] = {"check": "check_rule", "with_": "counts_with"}

#: Columns that name a row of another table.
REFERS_TO: Final[Mapping[str, str]] = {
    "carburettor": "carburettors",
    "maker": "makers",
    "feature": "feature_kinds",
    "kit": "kits",
    "part": "parts",
    "machine": "machines",
    "source": "sources",
}


Work = TypeVar("Work", bound=Callable[..., Any])


def once(work: Work) -> Work:
    """``functools.cache`` for functions of a dataclass: mypy takes the rows' own ``__hash__`` for the class's."""
    return cast(Work, cache(work))


#: The fields that name a row of a table.
keys_of: Final = cast(Callable[[type[Fact]], tuple[str, ...]], key_fields)


class Row(models.Model):
    """A row of the reference in the database."""

    table: str
    fact: type[Fact]

    class Meta:
        abstract = True


@once
def stored_fields(fact: type[Fact]) -> tuple[Field[Any], ...]:
    """The fields of a fact that are columns, in the dataclass's order."""
    return tuple(f for f in fields(fact) if f.name not in NOT_STORED)


def attribute_of(field_name: str) -> str:
    """The model's attribute that holds a fact's field."""
    return ATTRIBUTES.get(field_name, field_name)


def column_of(field_name: str) -> str:
    """A field's column: Python's keywords have an underscore behind them there, columns have none."""
    return field_name.rstrip("_")


def _indexed(table: str, fact: type[Fact]) -> frozenset[str]:
    """The first part of the key, and what names a row of another table."""
    names = {f.name for f in stored_fields(fact)}
    links = {name for name in names if name in REFERS_TO and name != "source"}
    if table in ("marks", "feature_kinds"):
        links.discard("part")  # a casting there, not a part of the shelf
    return frozenset(links | {keys_of(fact)[0]})


def _column(field: Field[Any], indexed: bool) -> Any:
    kind, name = str(field.type), column_of(field.name)
    if field.name == "extra":
        return models.JSONField(default=list, blank=True, db_column=name)
    if "float" in kind:
        return models.FloatField(null="None" in kind, blank=True, db_column=name)
    if "int" in kind:
        return models.IntegerField(null="None" in kind, blank=True, db_column=name)
    return models.TextField(default="", blank=True, db_index=indexed, db_column=name)


def _model(table: str, fact: type[Fact]) -> type[Row]:
    indexed = _indexed(table, fact)
    columns = {attribute_of(f.name): _column(f, f.name in indexed) for f in stored_fields(fact)}
    meta = type("Meta", (), {"db_table": table, "ordering": ("id",), "app_label": "shop"})
    body = {"__module__": __name__, "__doc__": f"A row of ``{table}``.", "table": table, "fact": fact, "Meta": meta}
    return type(f"{fact.__name__}Row", (Row,), body | columns)


#: Table name to the model of its rows.
ROWS: Final[Mapping[str, type[Row]]] = {table: _model(table, fact) for table, fact in TABLES.items()}
globals().update({model.__name__: model for model in ROWS.values()})
