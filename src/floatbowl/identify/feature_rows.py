"""The recorded values of every feature as arrays. There are hundreds of thousands: they are read column by column."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise, repeat

import numpy as np

from floatbowl.identify.compiled import Numbers
from floatbowl.reference.facts import Reference


@dataclass(frozen=True, slots=True)
class FeatureRows:
    """The recorded values of one feature, in their order: hypotheses, and numbers of the values among ``words``."""

    hypothesis: Numbers
    value: Numbers
    words: tuple[str, ...]

    @property
    def distinct(self) -> Numbers:
        """Numbers of the values that occur, in the order of their first row."""
        found, first = np.unique(self.value, return_index=True)
        return found[np.argsort(first)]

    def further(self) -> Numbers:
        """Places of the rows of hypotheses that have one already: the sources disagree."""
        size = int(self.hypothesis.max(initial=-1)) + 1
        if self.hypothesis.size == 0 or int(np.bincount(self.hypothesis).max()) < 2:
            return np.zeros(0, np.intp)
        first = np.zeros(size, np.intp)
        here = np.arange(self.hypothesis.size)
        first[self.hypothesis[::-1]] = here[::-1]
        return np.flatnonzero(first[self.hypothesis] != here)


def rows_of(reference: Reference, at: Mapping[str, int]) -> dict[str, FeatureRows]:
    """The rows of each feature kind. Column by column, since there are hundreds of thousands."""
    facts, kinds = reference.features, [kind.feature for kind in reference.feature_kinds]
    kind_at = {feature: i for i, feature in enumerate(kinds)}
    words = tuple(dict.fromkeys([fact.value for fact in facts]))
    word_at = {word: i for i, word in enumerate(words)}
    kind = _numbers(kind_at, [fact.feature for fact in facts])
    hypothesis = _numbers(at, [fact.carburettor for fact in facts])
    value = _numbers(word_at, [fact.value for fact in facts])
    kind[hypothesis < 0] = -1
    order = np.argsort(kind.astype(np.int16), kind="stable")
    ends = np.searchsorted(kind[order], np.arange(len(kinds) + 1))
    parts = [order[low:high] for low, high in pairwise(ends.tolist())]
    return {f: FeatureRows(hypothesis[rows], value[rows], words) for f, rows in zip(kinds, parts, strict=True)}


def _numbers(place: Mapping[str, int], keys: list[str]) -> Numbers:
    """The place of each key; -1 where it has none."""
    return np.fromiter(map(place.get, keys, repeat(-1)), np.intp, len(keys))
