"""The reference as the counter looks things up: by key, with names a caller would know."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from floatbowl.reference.facts import (
    CarburettorPart,
    FeatureKind,
    Kit,
    KitFit,
    KitPart,
    Machine,
    Mark,
    Part,
    PartSize,
    Reference,
    Setting,
)
from floatbowl.shop.pages.counter.choices import places_of


def grouped(facts: Iterable[Any], field: str) -> Mapping[str, list[Any]]:
    """Rows by one of their fields, in the reference's order."""
    rows: defaultdict[str, list[Any]] = defaultdict(list)
    for fact in facts:
        rows[getattr(fact, field)].append(fact)
    return rows


@dataclass(frozen=True)
class Book:
    """Look-ups over one version of the reference, each made when it is first needed."""

    reference: Reference

    @cached_property
    def makers(self) -> Mapping[str, str]:
        """Maker's key to the maker's name."""
        return {maker.maker: maker.name for maker in self.reference.makers}

    @cached_property
    def carburettors(self) -> Mapping[str, Any]:
        return {one.carburettor: one for one in self.reference.carburettors}

    @cached_property
    def marks(self) -> Mapping[str, list[Mark]]:
        return grouped((m for m in self.reference.marks if m.role in ("identifies", "family")), "carburettor")

    @cached_property
    def kinds(self) -> Mapping[str, FeatureKind]:
        return {kind.feature: kind for kind in self.reference.feature_kinds}

    @cached_property
    def kits(self) -> Mapping[str, Kit]:
        return {kit.kit: kit for kit in self.reference.kits}

    @cached_property
    def kit_parts(self) -> Mapping[str, list[KitPart]]:
        return grouped(self.reference.kit_parts, "kit")

    @cached_property
    def kits_of(self) -> Mapping[str, list[KitFit]]:
        """A carburettor's key to what fits it."""
        return grouped(self.reference.kit_fits, "carburettor")

    @cached_property
    def fits_of_kit(self) -> Mapping[str, list[KitFit]]:
        """A kit's key to the carburettors it fits."""
        return grouped(self.reference.kit_fits, "kit")

    @cached_property
    def parts(self) -> Mapping[str, Part]:
        return {part.part: part for part in self.reference.parts}

    @cached_property
    def sizes(self) -> Mapping[str, list[PartSize]]:
        return grouped(self.reference.part_sizes, "part")

    @cached_property
    def parts_of(self) -> Mapping[str, list[CarburettorPart]]:
        return grouped(self.reference.carburettor_parts, "carburettor")

    @cached_property
    def settings_of(self) -> Mapping[str, list[Setting]]:
        return grouped(self.reference.settings, "carburettor")

    @cached_property
    def machines(self) -> Mapping[str, Machine]:
        return {machine.machine: machine for machine in self.reference.machines}

    @cached_property
    def machine_names(self) -> Mapping[str, str]:
        """A machine's full name in small letters to its key."""
        return {self.machine_name(key).casefold(): key for key in self.machines}

    @cached_property
    def came_on(self) -> Mapping[str, list[Any]]:
        return grouped(self.reference.came_on, "machine")

    @cached_property
    def source_titles(self) -> Mapping[str, str]:
        return {source.source: source.title for source in self.reference.sources}

    @cached_property
    def places(self) -> list[tuple[str, str]]:
        """Where a number may stand, as (key, name)."""
        return places_of(self.reference)

    @cached_property
    def levels(self) -> list[str]:
        """Versions of kits: gaskets, full, ..."""
        return sorted({kit.level for kit in self.reference.kits if kit.level})

    @cached_property
    def fuels(self) -> list[str]:
        return sorted({kit.fuel for kit in self.reference.kits if kit.fuel})

    def machine_name(self, key: str) -> str:
        """Make and model, or nothing for a key the reference does not hold."""
        machine = self.machines.get(key)
        return f"{machine.make} {machine.model}" if machine else ""

    def number(self, carburettor: str) -> str:
        """The number that tells this carburettor from others, with its device where it has one."""
        marks = self.marks.get(carburettor, [])
        own = next((mark for mark in marks if mark.role == "identifies"), None)
        if own is None:
            known = self.carburettors.get(carburettor)
            return (known.name if known else "") or "no number recorded"
        devices = [m.text.strip("{}") for m in marks if m.role == "family" and m.text.startswith("{")]
        return " ".join([*devices[:1], own.text])

    def name(self, carburettor: str) -> str:
        """Maker and number, as the shop would say it; the shop's own name where two builds share a number."""
        known = self.carburettors.get(carburettor)
        if known is None:
            return "a carburettor no longer in our records"
        said = f"{self.makers.get(known.maker, '')} {self.number(carburettor)}".strip()
        extra = known.name.removeprefix(self.makers.get(known.maker, "")).strip()
        if extra and extra not in said and (self._shared_numbers.get(self.number(carburettor), 0) > 1):
            said = f"{said} ({extra})"
        return said

    @cached_property
    def _shared_numbers(self) -> Mapping[str, int]:
        count: defaultdict[str, int] = defaultdict(int)
        for key in self.carburettors:
            count[self.number(key)] += 1
        return count

    def kit_name(self, kit: str) -> str:
        known = self.kits.get(kit)
        return known.name if known else "a kit no longer in our records"

    def tools_for(self, kind: FeatureKind) -> list[str]:
        """Tools whose spread is given in this measure's unit (or in no unit)."""
        return [tool.tool for tool in self.reference.tools if tool.unit in ("", kind.unit)]

    @cached_property
    def machine_models(self) -> Mapping[str, list[str]]:
        """A model's name in small letters to the machines called so."""
        models: defaultdict[str, list[str]] = defaultdict(list)
        for machine in self.reference.machines:
            models[machine.model.casefold()].append(machine.machine)
        return models

    def find_machines(self, words: str, most: int = 8) -> list[Machine]:
        """Machines whose make and model hold every word, those starting with it first."""
        wanted = words.casefold().split()
        if not wanted:
            return []
        found: list[tuple[int, Machine]] = []
        for machine in self.reference.machines:
            name = f"{machine.make} {machine.model}".casefold()
            if all(word in name for word in wanted):
                starts = all(any(w.startswith(word) for w in name.split()) for word in wanted)
                found.append((0 if starts else 1, machine))
        found.sort(key=lambda row: (row[0], -(row[1].share or 0), row[1].make, row[1].model))
        return [machine for _, machine in found[:most]]

    def find_features(self, words: str, most: int = 12) -> list[FeatureKind]:
        """Looks whose question, name or part holds every word."""
        wanted = words.casefold().split()
        return [
            kind
            for kind in self.reference.feature_kinds
            if all(word in f"{kind.feature} {kind.question} {kind.part}".casefold() for word in wanted)
        ][:most]


_last: tuple[Reference, Book] | None = None


def book_of(reference: Reference) -> Book:
    """The look-ups of this reference; those of the last one asked for are kept."""
    global _last
    if _last is None or _last[0] is not reference:
        _last = (reference, Book(reference))
    return _last[1]
