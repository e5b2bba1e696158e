"""A whole reference into the database and out of it again, without loss."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from django.db import DatabaseError, transaction

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, Costs, Reference
from floatbowl.shop.changes import ONLY_ROW, Version, count_up, version_now, write_down_all
from floatbowl.shop.models import Change, ReferenceVersion
from floatbowl.shop.rows import empty_table, read_facts, read_values, values_maker, write_values

READS_TRIED: Final = 3


class LoadError(ValueError):
    """A reference could not be written; the one that was there is untouched. Says which table and why."""


def load_reference(reference: Reference, who: str) -> None:
    """Replace the whole reference by another, in one transaction, and write down what differs and who did it.

    Raises LoadError when a row cannot be kept; the reference that was there then stays as it was.
    """
    with transaction.atomic(), no_collecting():
        version = count_up()
        counts = {table: _replace(table, getattr(reference, table), who, version) for table in TABLES}
        costs = reference.costs
        ReferenceVersion.objects.filter(pk=ONLY_ROW).update(
            currency=reference.currency, wrong_kit=costs.wrong_kit, minute=costs.minute, bench=costs.bench
        )
        Change.objects.create(
            who=who,
            version=version.number,
            stamp=version.stamp,
            before={table: before for table, (before, _) in counts.items()},
            after={table: after for table, (_, after) in counts.items()},
        )


def _replace(table: str, facts: tuple[Fact, ...], who: str, version: Version) -> tuple[int, int]:
    """Put ``facts`` in the place of a table's rows; return how many rows there were and are."""
    old, new = read_values(table), list(map(values_maker(TABLES[table]), facts))
    if old == new:
        return len(old), len(new)
    try:
        if old:
            # The first load has nothing to compare with: the pack itself is then the record of what came in.
            write_down_all(table, old, new, who=who, version=version)
            empty_table(table)
        write_values(table, new)
    except (DatabaseError, OverflowError, UnicodeError) as fault:
        raise LoadError(f"A row of {table} cannot be kept in the database ({fault}). Nothing was loaded.") from fault
    return len(old), len(new)


def dump_reference() -> Reference:
    """The whole reference as it stands, equal to what was loaded and edited since."""
    for _ in range(READS_TRIED):
        version = version_now()
        reference = _read()
        if version_now() == version:
            return reference
    with transaction.atomic():  # Holds writers off; only where they kept changing it while it was read.
        return _read()


def _read() -> Reference:
    with no_collecting():
        return reference_of({table: tuple(read_facts(table)) for table in TABLES})


def reference_of(tables: dict[str, tuple[Fact, ...]]) -> Reference:
    """A reference of these tables, with the currency and costs that stand in the database."""
    stored: dict[str, Any] = (
        ReferenceVersion.objects.filter(pk=ONLY_ROW).values("currency", "wrong_kit", "minute", "bench").first() or {}
    )
    currency = stored.pop("currency", "")
    return Reference(**tables, currency=currency, costs=Costs(**stored))  # type: ignore[arg-type]


@contextmanager
def no_collecting() -> Iterator[None]:
    """Half a million small objects that all stay: looking for garbage among them doubles the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
