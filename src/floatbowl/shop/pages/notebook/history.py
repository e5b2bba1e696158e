"""What changed in a record: who, when, before and after, in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db.models import Q

from floatbowl.reference.columns import cell_of
from floatbowl.shop.models import Change
from floatbowl.shop.pages.notebook import labels
from floatbowl.shop.pages.notebook.layout import Kind

MOST_SHOWN: Final = 100


@dataclass(frozen=True, slots=True)
class Altered:
    """One column that changed."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Told:
    """One change, ready to show."""

    at: datetime
    who: str
    what: str
    altered: tuple[Altered, ...]


def of_record(kind: Kind, key: str, most: int = MOST_SHOWN) -> list[Told]:
    """The record's changes, and those of the rows that belong to it or name it, newest first."""
    wanted = Q(table__in=kind.own_tables, record=key)
    for section in kind.sections:
        if section.table not in kind.own_tables:
            names_it = Q(**{f"before__{section.by}": key}) | Q(**{f"after__{section.by}": key})
            wanted |= Q(table=section.table) & names_it
    return [told(change) for change in Change.objects.filter(wanted).order_by("-id")[:most]]


def latest(most: int = MOST_SHOWN) -> list[Told]:
    """The newest changes of all."""
    return [told(change) for change in Change.objects.order_by("-id")[:most]]


def told(change: Change) -> Told:
    """A change in words."""
    if not change.table:
        return Told(change.at, change.who, "loaded a whole pack", tuple(_counts(change)))
    before, after = change.before or {}, change.after or {}
    verb = "added" if change.before is None else "removed" if change.after is None else "changed"
    names = dict.fromkeys([*before, *after])
    altered = (_altered(change.table, name, before, after) for name in names if before.get(name) != after.get(name))
    return Told(change.at, change.who, f"{verb} the {labels.one(change.table)} {change.key}", tuple(altered))


def _altered(table: str, name: str, before: dict[str, Any], after: dict[str, Any]) -> Altered:
    return Altered(labels.label(table, name), _text(before.get(name)), _text(after.get(name)))


def _counts(change: Change) -> Iterable[Altered]:
    before, after = change.before or {}, change.after or {}
    for table, count in after.items():
        if count or before.get(table):
            yield Altered(labels.many(table), f"{before[table]} rows" if before.get(table) else "", f"{count} rows")


def _text(value: Any) -> str:
    if isinstance(value, list):
        return "; ".join(f"{name}: {text}" for name, text in value)
    return cell_of(value)
