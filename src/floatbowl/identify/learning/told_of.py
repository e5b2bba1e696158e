"""Readings of confirmed carburettors, laid out so that new rates and shares can be tried on all of them at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.identify.learning.cases import Case
from floatbowl.identify.numbers import Alphabet, symbols_of_mark
from floatbowl.identify.pairs import Pairs, lay_out
from floatbowl.identify.readings import Spoken, spoken_by
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.observed import PLACE_BOOK, Reading

#: Readings of one way beyond these are left out: more would take long and change little.
MOST_READINGS: Final = 3000
#: Marks that hold less than this of a reading's likelihood are taken as they are under the present rates.
LEAST_PART: Final = 1e-4


@dataclass(frozen=True, slots=True)
class Heard:
    """One reading of a confirmed carburettor. ``worth``: several readings of one casting share its wear."""

    reading: Reading
    spoken: Spoken
    worth: float


@dataclass(frozen=True, slots=True)
class Layout:
    """Readings of one way: P(reading | its carburettor) is ``weight @ pairs`` by reading, plus ``rest``."""

    heard: tuple[Heard, ...]
    pairs: Pairs
    owner: np.ndarray
    role: np.ndarray
    weight: Floats
    rest: Floats
    worth: Floats

    def values(self, by_pair: Floats) -> Floats:
        """P(reading | its carburettor) of every reading, from the likelihoods of the pairs."""
        spoken = np.bincount(self.owner, self.weight * by_pair, minlength=self.rest.shape[0])
        return np.asarray(spoken + self.rest)


def readings_of(weigher: Weigher, cases: Sequence[Case]) -> dict[str, list[Heard]]:
    """Readings of recorded carburettors by the way they came, in the order of the cases."""
    found: dict[str, list[Heard]] = {}
    catalogue = weigher.catalogue
    for case in cases:
        hypothesis = catalogue.at.get(case.confirmed or "")
        if hypothesis is None:
            continue
        alike = Counter((reading.part, reading.via) for reading in case.enquiry.readings)
        for reading in case.enquiry.readings:
            of_way = found.setdefault(reading.via, [])
            if len(of_way) >= MOST_READINGS:
                continue
            spoken = spoken_by(catalogue, reading, hypothesis, weigher.error_model, weigher.assumptions)
            if spoken is not None:
                times = alike[reading.part, reading.via]
                of_way.append(Heard(reading, spoken, (1 + weigher.assumptions.repeat_worth * (times - 1)) / times))
    return found


def lay_out_readings(weigher: Weigher, heard: Sequence[Heard], via: str, least: float = LEAST_PART) -> Layout:
    """Pairs of all readings with those marks of the carburettor that hold ``least`` of the reading's likelihood."""
    alphabet, index = weigher.catalogue.alphabet, weigher.catalogue.index
    symbols = {mark: symbols_of_mark(index.marks[index.order[mark]], alphabet) for mark in _marks(heard)}
    whole = _pairs(heard, symbols, alphabet, via)
    weights = np.concatenate([each.spoken.weight for each in heard])
    owner = np.repeat(np.arange(len(heard)), [each.spoken.mark.size for each in heard])
    parts = weights * whole.likelihoods(weigher.error_model.rates(via))
    rest = np.array([each.spoken.unrecorded * each.spoken.elsewhere for each in heard])
    total = np.bincount(owner, parts, minlength=len(heard)) + rest
    matters = parts >= least * total[owner]
    rest = rest + np.bincount(owner[~matters], parts[~matters], minlength=len(heard))
    return Layout(
        tuple(heard),
        _pairs(heard, symbols, alphabet, via, matters),
        owner[matters],
        np.concatenate([each.spoken.role for each in heard])[matters],
        weights[matters],
        rest,
        np.array([each.worth for each in heard]),
    )


def by_role(layout: Layout, by_pair: Floats, roles: int) -> Floats:
    """What each role's marks (columns) add to each reading (rows), as by ``Layout.values``."""
    found = np.bincount(
        layout.owner * roles + layout.role, layout.weight * by_pair, minlength=len(layout.heard) * roles
    )
    return np.asarray(found.reshape(-1, roles))


def from_the_carburettor(heard: Sequence[Heard]) -> list[Heard]:
    """Readings of the carburettor itself: a number from a book follows other shares."""
    return [each for each in heard if each.reading.part != PLACE_BOOK]


def _marks(heard: Sequence[Heard]) -> set[int]:
    return {int(mark) for each in heard for mark in each.spoken.mark}


def _pairs(
    heard: Sequence[Heard],
    symbols: dict[int, tuple[int, ...]],
    alphabet: Alphabet,
    via: str,
    chosen: np.ndarray | None = None,
) -> Pairs:
    kept = iter(chosen) if chosen is not None else None
    return lay_out(
        [
            (
                each.spoken.places,
                [symbols[int(mark)] for mark in each.spoken.mark if kept is None or next(kept)],
            )
            for each in heard
        ],
        alphabet,
        via,
    )
