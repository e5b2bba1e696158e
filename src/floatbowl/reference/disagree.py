"""Rows that contradict one another: two rows with one key, ranges that end before they begin, replacement cycles."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from floatbowl.reference.columns import cell_of, columns_of, number
from floatbowl.reference.cycles import cycles_of
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, Reference, key_fields, key_of
from floatbowl.reference.finding import Finding, found
from floatbowl.reference.links import THINGS

#: Settings with another datum, needle or unit are other figures, not a contradiction.
APART = {"settings": ("datum", "needle", "unit"), "part_sizes": ("unit",)}
WHERE_FROM = ("source", "page", "doubt")


def contradictions(reference: Reference) -> Iterator[Finding]:
    """All contradictions between rows."""
    for name, kind in TABLES.items():
        if name not in THINGS:
            yield from _disagreements(name, kind, getattr(reference, name))
    yield from _backward_ranges(reference)
    yield from _cycles(reference)


def _disagreements(name: str, kind: type[Fact], rows: tuple[Any, ...]) -> Iterator[Finding]:
    apart = APART.get(name, ())
    groups: dict[tuple[object, ...], list[Any]] = defaultdict(list)
    for row in rows:
        groups[(*key_of(row), *(getattr(row, field) for field in apart))].append(row)
    told = [column.field for column in columns_of(kind) if column.field not in (*key_fields(kind), *apart, *WHERE_FROM)]
    for group in groups.values():
        first = group[0]
        for row in group[1:]:
            fields = [f for f in told if _differ(getattr(first, f), getattr(row, f))]
            if fields:
                yield found(name, row.line, "sources disagree", _told_apart(first, row, fields))


def _differ(one: Any, other: Any) -> bool:
    """Whether both are known and are not the same figure or word."""
    if one in ("", None) or other in ("", None) or one == other:
        return False
    if not isinstance(one, str):
        return True
    try:
        return bool(number(one) != number(other))
    except ValueError:
        return bool(one.strip().casefold() != other.strip().casefold())


def _told_apart(first: Any, row: Any, fields: list[str]) -> str:
    named = ", ".join(str(part) for part in key_of(row) if part not in ("", None))
    sides = []
    for each in (row, first):
        figures = ", ".join(f"{f.rstrip('_')} {cell_of(getattr(each, f))}" for f in fields)
        sides.append(f"{figures} ({_where_from(each)})")
    return f"{named}: {sides[0]} against {sides[1]}"


def _where_from(row: Any) -> str:
    book = " ".join(word for word in (row.source, row.page) if word) or "no source"
    return f"{book}, line {row.line}" if row.line else book


def _backward_ranges(reference: Reference) -> Iterator[Finding]:
    for setting in reference.settings:
        if setting.low is not None and setting.high is not None and setting.low > setting.high:
            says = f"{setting.carburettor}, {setting.quantity}: low {setting.low:g} is above high {setting.high:g}"
            yield found("settings", setting.line, "backward range", says)
    for came in reference.came_on:
        if came.year_from is not None and came.year_to is not None and came.year_from > came.year_to:
            says = f"{came.carburettor} on {came.machine}: year_from {came.year_from} is after year_to {came.year_to}"
            yield found("came_on", came.line, "backward range", says)
        one, other = came.serial_from.strip(), came.serial_to.strip()
        if one.isdecimal() and other.isdecimal() and int(one) > int(other):
            says = f"{came.carburettor} on {came.machine}: serial_from {one} is above serial_to {other}"
            yield found("came_on", came.line, "backward range", says)


def _cycles(reference: Reference) -> Iterator[Finding]:
    """Replacements that go both ways are exchanges and may well go round."""
    one_way = {(r.old, r.new): r.line for r in reference.replacements if r.both_ways != "yes"}
    for cycle in cycles_of(one_way):
        round_trip = " -> ".join((*cycle, cycle[0]))
        line = one_way[(cycle[-1], cycle[0])]
        yield found("replacements", line, "cycle of replacements", f"{round_trip}; none of these is the newest")
