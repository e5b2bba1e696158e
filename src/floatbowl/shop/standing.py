"""The reference and its weigher as this process holds them, kept in step with the database.

Every change counts the reference's version up. A process that holds an older one patches the rows that changed since
(the changes say which), instead of reading half a million rows again, and compiles again only what they touch.
"""

from __future__ import annotations

import logging
import threading
import time
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import connection

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES, Reference
from floatbowl.shop.changes import Version, version_now
from floatbowl.shop.load import no_collecting, reference_of
from floatbowl.shop.models import Change
from floatbowl.shop.rows import from_shown, read_numbered

if TYPE_CHECKING:
    from floatbowl.identify.weigh import Weigher


@dataclass(slots=True)
class _Held:
    """One version of the reference: rows and their numbers, both in the rows' order."""

    version: Version
    facts: dict[str, list[Fact]]
    numbers: dict[str, list[int]]
    reference: Reference
    weigher: Weigher | None = None
    #: The weigher of an earlier version: what it worked out from tables nobody touched is used again.
    earlier: Weigher | None = None


_log = logging.getLogger(__name__)
_lock = threading.Lock()
_building = threading.Lock()
_held: _Held | None = None


def current_reference() -> Reference:
    """The reference as it stands in the database now."""
    return _current().reference


def current_weigher() -> Weigher:
    """What weighs enquiries against the reference as it stands in the database now."""
    held = _current()
    if held.weigher is None:
        with _building:
            if held.weigher is None:
                from floatbowl.identify.weigh import Weigher
                from floatbowl.shop.rates import own_rates

                with no_collecting():
                    held.weigher = Weigher(held.reference, *own_rates(), earlier=held.earlier)
                held.earlier = None
    return held.weigher


def keep_up(every_seconds: float = 0.2) -> threading.Thread:
    """Start a thread that follows the database, so that a page seldom has to wait until an edit is compiled."""

    def follow() -> None:
        while True:
            try:
                current_weigher()
            except Exception:  # The pages say what is wrong to whoever asks; this must go on.
                _log.exception("Could not follow the reference; trying again.")
                connection.close()
                time.sleep(10 * every_seconds)
            time.sleep(every_seconds)

    thread = threading.Thread(target=follow, name="follows the reference", daemon=True)
    thread.start()
    return thread


def forget() -> None:
    """Hold nothing: the next answer reads the database whole."""
    global _held
    with _lock:
        _held = None


def _current() -> _Held:
    global _held
    held = _held
    if held is not None and held.version == version_now():
        return held
    with _lock:
        version = version_now()
        if _held is None or _held.version != version:
            _held = (_held and _patched(_held)) or _read_whole()
        return _held


def _read_whole() -> _Held:
    """All rows; read again should somebody change one meanwhile."""
    while True:
        version = version_now()
        with no_collecting():
            read = {table: read_numbered(table) for table in TABLES}
            facts = {table: rows for table, (_, rows) in read.items()}
            reference = reference_of({table: tuple(rows) for table, rows in facts.items()})
        if version_now() == version:
            return _Held(version, facts, {table: numbers for table, (numbers, _) in read.items()}, reference)


def _patched(held: _Held) -> _Held | None:
    """The held rows with every change since; None where a pack was loaded or the database is another one."""
    if not Change.objects.filter(version=held.version.number, stamp=held.version.stamp).exists():
        return None
    changes = list(Change.objects.filter(version__gt=held.version.number).order_by("id"))
    if not changes or any(not change.table or change.row is None for change in changes):
        return None
    facts, numbers = dict(held.facts), dict(held.numbers)
    for table in {change.table for change in changes}:
        facts[table], numbers[table] = list(facts[table]), list(numbers[table])
    for change in changes:
        _apply(change, facts[change.table], numbers[change.table])
    # Tables nobody touched stay the same objects: what was worked out from them alone still holds.
    same = held.reference
    touched = {change.table for change in changes}
    reference = reference_of({t: tuple(rows) if t in touched else getattr(same, t) for t, rows in facts.items()})
    version = Version(changes[-1].version, changes[-1].stamp)
    return _Held(version, facts, numbers, reference, earlier=held.weigher or held.earlier)


def _apply(change: Change, facts: list[Fact], numbers: list[int]) -> None:
    """Put one row in, change it, or take it out, keeping the rows in the order of their numbers."""
    row = change.row or 0
    place = bisect_left(numbers, row)
    known = place < len(numbers) and numbers[place] == row
    if known:
        del facts[place], numbers[place]
    if change.after is not None:
        facts.insert(place, from_shown(TABLES[change.table], change.after))
        numbers.insert(place, row)
