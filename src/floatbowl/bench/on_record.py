"""What the shop's records say of one carburettor, gathered once for the bench."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from floatbowl.quantities import to_si, unit_named
from floatbowl.reference.facts import CarburettorPart, Feature, Part, PartSize, Reference, Setting, Source

#: What a magnet that sticks says of a casting; the other answer leaves zinc and aluminium open.
_STICKS = {"sticks": "iron"}


@dataclass(frozen=True, slots=True)
class PartOnRecord:
    """A service part of this carburettor, where it goes, and its sizes."""

    part: Part
    position: str
    quantity: float
    sizes: tuple[PartSize, ...] = ()

    def size(self, quantity: str) -> PartSize | None:
        """The recorded size of this name, if there is one."""
        return next((size for size in self.sizes if size.quantity == quantity), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRecord:
    """One carburettor: its looks, settings and parts, with the sources they came from.

    ``family_settings`` are figures that all recorded siblings agree on, for quantities it has none of itself.
    """

    carburettor: str
    name: str
    features: Mapping[str, str] = field(default_factory=dict)
    feature_rows: tuple[Feature, ...] = ()
    settings: tuple[Setting, ...] = ()
    family_settings: tuple[Setting, ...] = ()
    parts: tuple[PartOnRecord, ...] = ()
    sources: Mapping[str, Source] = field(default_factory=dict)

    def parts_of(self, kind: str, position_word: str = "") -> tuple[PartOnRecord, ...]:
        """Its parts of one kind, whose place names ``position_word`` where one is given."""
        return tuple(each for each in self.parts if each.part.kind == kind and position_word in each.position)

    def size_si(self, kind: str, quantity: str) -> float | None:
        """A recorded size of its part of this kind in SI, or None where none, or no plain number, is recorded."""
        for each in self.parts_of(kind):
            size = each.size(quantity)
            if size is not None and (value := size_si(size)) is not None:
                return value
        return None

    def seen(self, told: Mapping[str, str] | None = None) -> dict[str, str]:
        """Facts that decide what applies: the recorded looks, what they imply, then what was seen at the bench."""
        facts = dict(self.features)
        metal = _STICKS.get((told or {}).get("magnet body", facts.get("magnet body", "")))
        return facts | ({"body metal": metal} if metal else {}) | dict(told or {})


def on_record(reference: Reference, carburettor: str) -> OnRecord:
    """Everything recorded of one carburettor. Raises ``KeyError`` naming one that is not recorded."""
    known = next((row for row in reference.carburettors if row.carburettor == carburettor), None)
    if known is None:
        raise KeyError(f"{carburettor!r} is not in the records; look it up in the Notebook first")
    settings = tuple(row for row in reference.settings if row.carburettor == carburettor)
    looks = [row for row in reference.features if row.carburettor == carburettor]
    return OnRecord(
        carburettor=carburettor,
        name=known.name or carburettor,
        features={row.feature: row.value for row in reversed(looks)},
        feature_rows=tuple(looks),
        settings=settings,
        family_settings=_family_settings(reference, carburettor, {row.quantity for row in settings}),
        parts=_parts(reference, carburettor),
        sources={row.source: row for row in reference.sources},
    )


def size_si(size: PartSize) -> float | None:
    """A recorded size in SI; a bare number is itself, and one that is no plain number is None."""
    try:
        value = float(size.value)
    except ValueError:
        return None
    for kind in ("length", "mass"):
        try:
            unit_named(kind, size.unit)
        except ValueError:
            continue
        return to_si(value, kind, size.unit)
    return value


def _parts(reference: Reference, carburettor: str) -> tuple[PartOnRecord, ...]:
    takes = [row for row in reference.carburettor_parts if row.carburettor == carburettor]
    wanted = {row.part for row in takes}
    parts = {row.part: row for row in reference.parts if row.part in wanted}
    sizes = _sizes(reference, wanted)
    return tuple(_with_sizes(row, parts[row.part], sizes) for row in takes if row.part in parts)


def _with_sizes(row: CarburettorPart, part: Part, sizes: Mapping[str, tuple[PartSize, ...]]) -> PartOnRecord:
    return PartOnRecord(part, row.position, row.quantity if row.quantity is not None else 1.0, sizes.get(row.part, ()))


def _sizes(reference: Reference, wanted: Iterable[str]) -> dict[str, tuple[PartSize, ...]]:
    found: dict[str, list[PartSize]] = {part: [] for part in wanted}
    for row in reference.part_sizes:
        if row.part in found:
            found[row.part].append(row)
    return {part: tuple(rows) for part, rows in found.items()}


def _family_settings(reference: Reference, carburettor: str, own: set[str]) -> tuple[Setting, ...]:
    """What every sibling that has the figure agrees on: same figure, unit and datum."""
    marks = [row for row in reference.marks if row.role == "family"]
    mine = {row.text for row in marks if row.carburettor == carburettor}
    siblings = {row.carburettor for row in marks if row.text in mine} - {carburettor}
    by_quantity: dict[str, list[Setting]] = {}
    for row in reference.settings:
        if row.carburettor in siblings and row.quantity not in own:
            by_quantity.setdefault(row.quantity, []).append(row)
    return tuple(rows[0] for rows in by_quantity.values() if len({(r.value, r.unit, r.datum) for r in rows}) == 1)
