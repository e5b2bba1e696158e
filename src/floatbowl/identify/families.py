"""Families of numbers: at which places a maker's numbers differ from their next, and how densely they lie.

Makers count up, so numbers of one family share all but a place or two. Which places those are shows in the records
themselves. Opening such a place of a number gives a *pattern*; of what may stand there some is recorded, and the rest
are gaps, where the number of an unlisted carburettor of the family may be.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify.compiled import Numbers
from floatbowl.identify.numbers import DIGITS_AND_LETTERS, Alphabet
from floatbowl.identify.wear import Floats
from floatbowl.reference.check_letter import CheckRule

Symbols = npt.NDArray[np.uint16]

#: Stand in patterns for the open place, and for the check letter that changes with it.
OPEN_PLACE: Final = 0xFFF0
OPEN_LETTER: Final = 0xFFF1
#: Weight of a character that the maker never used at a place, beside one that it did (estimate).
NEVER_SEEN: Final = 0.1
#: Chance that numbers of a family differ at their last place, and the factor for each place before it: numbers count
#: up at their right end (estimate, worth so many recorded neighbours).
LAST_PLACE: Final = 0.3
PLACE_BEFORE: Final = 0.3
WORTH: Final = 20.0
#: How many neighbours a maker's usual density is worth beside those recorded with one pattern (estimate).
USUAL_WORTH: Final = 2.0
#: Places where another number is recorded less often than this stay closed, save the two densest.
OPEN_FROM: Final = 0.02
OPEN_AT_LEAST: Final = 2


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """One place of a maker's numbers of one length, opened.

    ``patterns``: the distinct numbers with that place open; ``pattern_of``: which of them each number belongs to.
    ``may_stand``: weights of the characters there; ``letters``: chances of the check letter that changes with it, if
    one does. ``usual``: the chance that another number that differs there alone is recorded, too.
    """

    patterns: Symbols
    pattern_of: Numbers
    may_stand: Floats
    letters: Floats | None
    usual: float

    @property
    def counts(self) -> Floats:
        """How many recorded numbers each pattern covers."""
        return np.bincount(self.pattern_of, minlength=self.patterns.shape[0]).astype(np.float64)

    @property
    def density(self) -> Floats:
        """For each pattern, the chance that one more number of it is in use: from its own numbers and the usual one."""
        return np.asarray((self.counts - 1 + USUAL_WORTH * self.usual) / (_others(self.may_stand) + USUAL_WORTH))


def open_places(symbols: Symbols, rule: CheckRule | None, alphabet: Alphabet) -> list[OpenPlace]:
    """The places at which one maker's numbers of one length (numbers x places) differ from their next, densest first.

    Counting recorded neighbours with a prior; a check letter is never a place of its own, but changes with the digits
    before it. Devices are not counted up.
    """
    check = _check_place(symbols) if rule else symbols.shape[1]
    found = []
    for place in range(symbols.shape[1]):
        seen = np.unique(symbols[:, place])
        if place != check and seen[-1] < len(DIGITS_AND_LETTERS):
            letters = _letters(rule, alphabet) if rule and place < check < symbols.shape[1] else None
            found.append(_opened(symbols, place, check, letters, _may_stand(seen, alphabet)))
    found.sort(key=lambda one: -one.usual)
    return [one for i, one in enumerate(found) if i < OPEN_AT_LEAST or one.usual >= OPEN_FROM]


def _opened(symbols: Symbols, place: int, check: int, letters: Floats | None, may_stand: Floats) -> OpenPlace:
    wide = symbols.copy()
    wide[:, place] = OPEN_PLACE
    if letters is not None:
        wide[:, check] = OPEN_LETTER
    patterns, pattern_of, counts = np.unique(wide, axis=0, return_inverse=True, return_counts=True)
    before = LAST_PLACE * PLACE_BEFORE ** (symbols.shape[1] - 1 - place)
    neighbours, could_be = float((counts * (counts - 1)).sum()), float(counts.sum()) * _others(may_stand)
    return OpenPlace(
        patterns, pattern_of.ravel(), may_stand, letters, (neighbours + WORTH * before) / (could_be + WORTH)
    )


def _others(may_stand: Floats) -> float:
    """How many other characters may stand at a place."""
    return max(float(may_stand.sum()) - 1.0, 1.0)


def _may_stand(seen: Symbols, alphabet: Alphabet) -> Floats:
    """Weights of the characters at a place: those seen there, and a little for the others of their class."""
    weights = np.zeros(alphabet.size)
    for low, high in ((0, 10), (10, len(DIGITS_AND_LETTERS))):
        if ((seen >= low) & (seen < high)).any():
            weights[low:high] = NEVER_SEEN
    weights[seen] = 1.0
    return weights


def _letters(rule: CheckRule, alphabet: Alphabet) -> Floats:
    weights = np.zeros(alphabet.size)
    first = DIGITS_AND_LETTERS.index(rule.first)
    weights[first : first + rule.modulus] = 1.0 / rule.modulus
    return weights


def _check_place(symbols: Symbols) -> int:
    """Where these numbers mostly bear their check letter: the first letter after the first digits."""
    begun = np.cumsum(symbols < 10, axis=1) > 0
    after = begun & (symbols >= 10) & (symbols < len(DIGITS_AND_LETTERS))
    first = np.where(after.any(axis=1), after.argmax(axis=1), symbols.shape[1])
    return int(np.bincount(first).argmax())
