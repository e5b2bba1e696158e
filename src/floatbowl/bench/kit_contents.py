"""What is in a kit, part by part with its sizes, and whether a part of it is the size that is wanted."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from floatbowl.bench.on_record import PartOnRecord, size_si
from floatbowl.bench.taking import Taken
from floatbowl.quantities import show_quantity
from floatbowl.reference.facts import PartSize, Reference

#: Allowed difference of two recorded sizes where neither says its tolerance (estimate: a caliper's doubt, twice).
USUAL_TOLERANCE_M: Final = 0.05e-3
#: Crests wear, so a thread reads small; the next size is at least 0.4 mm away (common practice, from memory).
THREAD_TOLERANCE_M: Final = 0.25e-3
WASHER_ROOM_M: Final = 0.2e-3
#: A bush is reamed to the shaft, so it may begin a little under or over; a tenth more is another bush.
BUSH_ROOM_M: Final = 0.02e-3
BUSH_TOLERANCE_M: Final = 0.1e-3


@dataclass(frozen=True, slots=True)
class Measured:
    """A size that a part must match, measured on this very carburettor, in SI: it outranks the record."""

    kind: str
    quantity: str
    value: float
    tolerance: float
    position_word: str = ""


def contents(reference: Reference, kit: str) -> tuple[PartOnRecord, ...]:
    """A kit's parts with their sizes, in the record's order. Raises ``KeyError`` naming a kit that is not recorded."""
    if all(row.kit != kit for row in reference.kits):
        raise KeyError(f"{kit!r} is no kit in the records; choose one that is")
    rows = [row for row in reference.kit_parts if row.kit == kit]
    wanted = {row.part for row in rows}
    parts = {row.part: row for row in reference.parts if row.part in wanted}
    sizes: dict[str, tuple[PartSize, ...]] = dict.fromkeys(wanted, ())
    for size in reference.part_sizes:
        if size.part in sizes:
            sizes[size.part] = (*sizes[size.part], size)
    return tuple(
        PartOnRecord(parts[row.part], row.position, row.quantity, sizes[row.part]) for row in rows if row.part in parts
    )


def to_match(taken: Iterable[Taken]) -> tuple[Measured, ...]:
    """Sizes that new parts must match, from the readings: seat thread, the washer on it, and bushes for the shaft.

    A washer's hole is some 0.2 mm wider than the thread, a bush some 0.02 mm wider than the unworn shaft before it is
    reamed (common practice, from memory).
    """
    readings = tuple(taken)
    return (*_for_the_seat(readings), *_for_the_shaft(readings))


def _for_the_seat(taken: Iterable[Taken]) -> tuple[Measured, ...]:
    threads = sorted(each.value for each in taken if each.measure == "seat_thread")
    if not threads:
        return ()
    thread = math.fsum(threads) / len(threads)
    return (
        Measured("needle and seat", "thread outside diameter", thread, THREAD_TOLERANCE_M),
        Measured("washer", "hole", thread + WASHER_ROOM_M, THREAD_TOLERANCE_M, "seat"),
    )


def _for_the_shaft(taken: Iterable[Taken]) -> tuple[Measured, ...]:
    shafts = sorted(each.value for each in taken if each.measure == "shaft_wear" and each.place == "unworn part")
    if not shafts:
        return ()
    shaft = math.fsum(shafts) / len(shafts)
    return (Measured("bush", "inside diameter", shaft + BUSH_ROOM_M, BUSH_TOLERANCE_M),)


def why_not(part: PartOnRecord, wanted: PartOnRecord | None, measured: Iterable[Measured]) -> str:
    """Why a kit's part will not do, in words; empty when it will.

    What was measured here counts before what is recorded; sizes that only one of them has are not compared.
    """
    given = tuple(measured)
    for size in part.sizes:
        found = next((each for each in given if _concerns(each, part, size)), None)
        if found is not None:
            if told := _apart(size, found.value, found.tolerance, "measured"):
                return told
            continue
        other = wanted.size(size.quantity) if wanted and wanted.part.part != part.part.part else None
        value = size_si(other) if other else None
        if value is not None and (told := _apart(size, value, _tolerance(size), "on record")):
            return told
    return ""


def _concerns(found: Measured, part: PartOnRecord, size: PartSize) -> bool:
    same = found.kind == part.part.kind and found.quantity == size.quantity
    return same and found.position_word in part.position


def _apart(size: PartSize, value: float, tolerance: float, how: str) -> str:
    mine = size_si(size)
    if mine is None or abs(mine - value) <= tolerance * (1 + 1e-9):
        return ""
    return f"its {size.quantity} is {_shown(mine, size.unit)}, {_shown(value, size.unit)} {how}"


def _tolerance(size: PartSize) -> float:
    try:
        number = float(size.tolerance)
    except ValueError:
        return USUAL_TOLERANCE_M if size.unit else 0.0
    return number * 1e-3 if size.unit in ("mm", "g") else number


def _shown(value: float, unit: str) -> str:
    kind = {"mm": "length", "g": "mass"}.get(unit, "number")
    return show_quantity(value, kind, unit if kind != "number" else "")
