"""The truth of a catalogue, indexed for drawing cases from it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from benchmarks.grammar import GRAMMARS, Grammar
from floatbowl.reference.facts import CameOn, Confusion, Mark, Reference


@dataclass(slots=True)
class World:
    """The truth, indexed for drawing from it."""

    truth: Reference
    unlisted: frozenset[str]
    marks: dict[str, list[Mark]] = field(default_factory=lambda: defaultdict(list))
    values: dict[str, dict[str, str]] = field(default_factory=lambda: defaultdict(dict))
    kits: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    options: dict[str, list[CameOn]] = field(default_factory=lambda: defaultdict(list))
    machines_of: dict[str, list[CameOn]] = field(default_factory=lambda: defaultdict(list))
    confusions: dict[tuple[str, str], list[Confusion]] = field(default_factory=lambda: defaultdict(list))

    maker: dict[str, str] = field(default_factory=dict)
    grammar: dict[str, Grammar] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.maker.update((c.carburettor, c.maker) for c in self.truth.carburettors)
        self.grammar.update((m.maker, g) for m, g in zip(self.truth.makers, GRAMMARS, strict=True))
        for mark in self.truth.marks:
            self.marks[mark.carburettor].append(mark)
        for feature in self.truth.features:
            self.values[feature.carburettor][feature.feature] = feature.value
        for fit in self.truth.kit_fits:
            self.kits[fit.carburettor].add(fit.kit)
        for row in self.truth.came_on:
            self.options[row.machine].append(row)
            self.machines_of[row.carburettor].append(row)
        for confusion in self.truth.confusions:
            self.confusions[confusion.feature, confusion.true].append(confusion)
