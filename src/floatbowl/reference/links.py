"""Keys that must be known or must not be repeated across the tables of a pack."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from operator import attrgetter
from typing import Any, Final

from floatbowl.reference.columns import number
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, key_fields, key_of
from floatbowl.reference.fault import FaultList, shown

#: Table and column to the table whose key it must name. An empty cell names nothing.
LINKS: Final[Mapping[str, Mapping[str, str]]] = {
    "carburettors": {"maker": "makers"},
    "marks": {"carburettor": "carburettors"},
    "features": {"carburettor": "carburettors"},
    "carburettor_parts": {"carburettor": "carburettors"},
    "kit_parts": {"kit": "kits"},
    "kit_fits": {"kit": "kits", "carburettor": "carburettors"},
    "settings": {"carburettor": "carburettors"},
    "came_on": {"machine": "machines", "carburettor": "carburettors"},
}
#: Tables whose rows are things of their own, so that a key may stand once only.
THINGS: Final = ("makers", "carburettors", "feature_kinds", "tools", "parts", "kits", "machines", "sources")


def find_link_faults(tables: Mapping[str, tuple[Any, ...]], files: Mapping[str, str], faults: FaultList) -> None:
    """Note every unknown key, repeated row and measure that is no number."""
    for name, links in LINKS.items():
        for column, target in links.items():
            if name in files and tables[name]:
                _unknown(tables[name], files[name], column, target, _keys(tables, target), faults)
    for name in TABLES:
        _repeated(name, tables[name], files.get(name, name), faults)
    _not_measured(tables, files, faults)


def _keys(tables: Mapping[str, tuple[Any, ...]], name: str) -> set[Any]:
    (column,) = key_fields(TABLES[name])
    return set(map(attrgetter(column), tables[name]))


def _unknown(rows: tuple[Any, ...], file: str, column: str, target: str, known: set[object], faults: FaultList) -> None:
    used = set(map(attrgetter(column), rows)) - known - {""}
    if not used:
        return
    for row in rows:
        value = getattr(row, column)
        if value in used:
            faults.add(file, row.line, column, f"{shown(value)} is not in {target}; add it there or correct it")


def _repeated(name: str, rows: tuple[Fact, ...], file: str, faults: FaultList) -> None:
    """A thing told twice, or the very same row twice. Other rows with one key disagree, which the check reports."""
    first: dict[object, int] = {}
    if name in THINGS:
        (column,) = key_fields(TABLES[name])
        for row in rows:
            value = getattr(row, column)
            if value and first.setdefault(value, row.line) != row.line:
                says = f"{shown(value)} is told twice, first on line {first[value]}; keep one"
                faults.add(file, row.line, column, says)
        return
    keys = Counter(map(attrgetter(*key_fields(TABLES[name])), rows))
    if len(keys) == len(rows):
        return
    for row in rows:
        if keys[key_of(row)] > 1 and first.setdefault(row, row.line) != row.line:
            faults.add(file, row.line, "", f"is the same as line {first[row]}; keep one")


def _not_measured(tables: Mapping[str, tuple[Any, ...]], files: Mapping[str, str], faults: FaultList) -> None:
    measures = {kind.feature for kind in tables["feature_kinds"] if kind.kind == "measure"}
    good: set[str] = {""}
    for row in tables["features"]:
        if row.feature in measures and row.value not in good:
            try:
                number(row.value)
                good.add(row.value)
            except ValueError as problem:
                says = f"{row.feature} is a measure, but {problem}"
                faults.add(files["features"], row.line, "value", says)
