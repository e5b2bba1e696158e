"""The kinds of record the Notebook shows, and the sections of each, from ``layout.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES
from floatbowl.shop.models.tables import keys_of


@dataclass(frozen=True, slots=True)
class Section:
    """Rows of one table that belong to a record, or use it: those whose column ``by`` holds the record's key."""

    table: str
    by: str
    title: str
    columns: tuple[str, ...]
    empty: str
    add: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of record with a page of its own."""

    name: str
    table: str
    sections: tuple[Section, ...]

    @property
    def fact(self) -> type[Fact]:
        """The dataclass of the record's own row."""
        return TABLES[self.table]

    @property
    def key(self) -> str:
        """The column that names the record."""
        return keys_of(self.fact)[0]

    @property
    def own_tables(self) -> tuple[str, ...]:
        """The tables whose rows belong to the record itself: its history is theirs."""
        return (self.table, *(s.table for s in self.sections if keys_of(TABLES[s.table])[0] == s.by))


@cache
def kinds() -> Mapping[str, Kind]:
    """All kinds of record by name."""
    text = files(__package__).joinpath("layout.toml").read_text(encoding="utf-8")
    return {name: _kind(name, **told) for name, told in tomllib.loads(text).items()}


def kind_of_table(table: str) -> Kind | None:
    """The kind of record whose own row is in this table, or None."""
    return next((kind for kind in kinds().values() if kind.table == table), None)


def _kind(name: str, table: str, sections: list[dict[str, object]] = []) -> Kind:  # noqa: B006 - never changed
    made = (Section(**section | {"columns": tuple(section["columns"])}) for section in sections)  # type: ignore[arg-type]
    return Kind(name, table, tuple(made))
