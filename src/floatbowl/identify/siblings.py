"""Numbers of unlisted siblings: carburettors of recorded families whose own numbers nobody wrote down.

An unlisted sibling bears a number that is missing between those recorded of its family (see ``families``), or, now and
then, the very number of a recorded one, being another build of it; how often, each maker's records show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from floatbowl.identify.compiled import CompiledMarks, Numbers
from floatbowl.identify.encoded import encode
from floatbowl.identify.families import OPEN_LETTER, OPEN_PLACE, OpenPlace, Symbols, open_places
from floatbowl.identify.marks import MarkIndex, over_orders
from floatbowl.identify.numbers import Alphabet, Places
from floatbowl.identify.spoken import of_siblings
from floatbowl.identify.wear import Floats, Rates, Tables, tables
from floatbowl.reference.check_letter import CheckRule

#: Chance that an unlisted sibling bears the same number, another build of it (estimate, worth so many carburettors of
#: which it is recorded whether their number is borne by another, too).
SAME_NUMBER: Final = 0.04
SAME_WORTH: Final = 20.0
_NONE: Final = 0xFFFF


@dataclass(frozen=True, slots=True)
class Borne:
    """Recorded identifying marks on carburettors, row by row: the mark (its place in the index), the carburettor's
    maker, and how common it is."""

    mark: Numbers
    maker: Numbers
    share: Floats


@dataclass(frozen=True, slots=True)
class SiblingNumbers:
    """Every pattern of every family, compiled, and what is recorded of each; patterns are in compiled order.

    ``density``: what one gap weighs beside each recorded number of its pattern. ``room``: the weights of all that may
    stand at the open place. Pairs (``pattern``, ``number``) say which recorded numbers a pattern covers, ``letter``
    with what chance each has its check letter. ``letter_of``: the maker whose check letter changes along, or -1.
    ``mark``: each number's place in the index of marks; ``same``: the chance that an unlisted sibling of it bears the
    same number. ``number_of``: the number on each row of recorded marks.
    """

    compiled: CompiledMarks
    distributions: Floats
    density: Floats
    room: Floats
    pattern: Numbers
    number: Numbers
    letter: Floats
    letter_of: Numbers
    mark: Numbers
    number_of: Numbers
    same: Floats
    alphabet: Alphabet

    @classmethod
    def find(cls, index: MarkIndex, borne: Borne, rules: Sequence[CheckRule | None]) -> SiblingNumbers:
        """Finds the families among recorded marks. ``rules``: each maker's check rule, if it has one."""
        numbers, number_of = np.unique(borne.maker * len(index) + borne.mark, return_inverse=True)
        maker, mark = np.divmod(numbers, max(1, len(index)))
        symbols, lengths = encode([index.marks[i] for i in index.order[mark].tolist()], index.alphabet)
        found = _Patterns(index.alphabet, symbols.shape[1])
        for members in _alike(maker * (symbols.shape[1] + 1) + lengths):
            one = int(maker[members[0]])
            rule = rules[one] if one < len(rules) else None
            same_length = symbols[members, : lengths[members[0]]].astype(np.uint16)
            for place in open_places(same_length, rule, index.alphabet):
                found.add(place, one, members)
        return found.compiled(mark, number_of.ravel(), borne, _borne_twice(maker, number_of.ravel()))

    def likelihoods(self, places: Places, via: str, rates: Rates, by_mark: Floats, letters: Floats) -> Floats:
        """P(reading | the number of an unlisted sibling) beside each recorded number (see ``number_of``), scaled as
        ``by_mark`` (the recorded marks' own likelihoods) is.

        It is to be taken with the recorded carburettor's prior: a family with many gaps has the more unlisted
        siblings, and over all families they are as many as the prior says. ``letters``: for each maker, then for none,
        the factor of a check letter that is right or wrong.
        """
        open_ = over_orders(places, rates, lambda p, r: self.compiled.sum(self._tables(p, via, r)))
        found: Floats = of_siblings(
            self.mark, self.same, self.number, self.pattern, self.letter, self.letter_of, self.density, self.room,
            open_, np.append(letters, 1.0), by_mark,
        )  # fmt: skip
        return found

    def _tables(self, places: Places, via: str, rates: Rates) -> Tables:
        plain = tables(places, self.alphabet, rates, via)
        clean = np.vstack([plain.clean, self.distributions @ plain.clean])
        return replace(plain, clean=clean, worn=np.vstack([plain.worn, self.distributions @ plain.worn]))


def _alike(groups: Numbers) -> list[Numbers]:
    """Places of equal numbers, group by group."""
    if not groups.size:
        return []
    order = np.argsort(groups, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(groups[order])) + 1)


def _borne_twice(maker: Numbers, number_of: Numbers) -> Floats:
    """For each number, the share of its maker's carburettors whose number another bears as well, with a prior."""
    bearers = np.bincount(number_of, minlength=maker.size)
    everyone = np.bincount(maker, bearers)
    shared = np.bincount(maker, np.where(bearers > 1, bearers, 0))
    return np.asarray((shared + SAME_WORTH * SAME_NUMBER) / (everyone + SAME_WORTH))[maker]


class _Patterns:
    """Gathers the patterns of all makers, then compiles them."""

    def __init__(self, alphabet: Alphabet, width: int) -> None:
        self.alphabet, self.width, self.total = alphabet, width, 0
        self.distributions: list[Floats] = []
        self.rows: list[Symbols] = []
        self.density: list[Floats] = []
        self.room: list[Floats] = []
        self.counts: list[Floats] = []
        self.letter_of: list[Numbers] = []
        self.pattern: list[Numbers] = []
        self.number: list[Numbers] = []
        self.letter: list[Floats] = []

    def add(self, place: OpenPlace, maker: int, numbers: Numbers) -> None:
        """The patterns of one open place of some numbers of a maker."""
        size = place.patterns.shape[0]
        rows = np.full((size, self.width), _NONE, np.uint16)
        rows[:, : place.patterns.shape[1]] = place.patterns
        for stand_in, weights in ((OPEN_PLACE, place.may_stand), (OPEN_LETTER, place.letters)):
            if weights is not None:
                rows[rows == stand_in] = self.alphabet.size + len(self.distributions)
                self.distributions.append(weights / weights.sum())
        self.rows.append(rows)
        self.density.append(place.density)
        self.room.append(np.full(size, place.may_stand.sum()))
        self.counts.append(place.counts)
        self.letter_of.append(np.full(size, -1 if place.letters is None else maker, np.intp))
        self.pattern.append(place.pattern_of + self.total)
        self.number.append(numbers)
        self.letter.append(np.full(numbers.size, 1.0 if place.letters is None else place.letters.max()))
        self.total += size

    def compiled(self, mark: Numbers, number_of: Numbers, borne: Borne, same: Floats) -> SiblingNumbers:
        """Everything in the compiled order of the patterns, the gaps shared out to the numbers they lie beside."""
        rows = np.vstack([np.zeros((0, self.width), np.uint16), *self.rows])
        marks = CompiledMarks(rows, (rows != _NONE).sum(axis=1).astype(np.int32))
        order = marks.order
        place = np.empty(self.total, np.intp)
        place[order] = np.arange(self.total)
        density, room, counts = (_joined(each)[order] for each in (self.density, self.room, self.counts))
        pattern, number = place[_places(self.pattern)], _places(self.number)
        share = np.bincount(number_of, borne.share, minlength=mark.size)
        each = density / np.maximum(counts, 1.0)
        everything = float(np.dot(share[number], (each * np.maximum(room - counts, 0.0))[pattern]))
        return SiblingNumbers(
            marks,
            np.array(self.distributions).reshape(-1, self.alphabet.size),
            each * float(borne.share.sum()) / max(everything, 1e-300),
            room,
            pattern,
            number,
            _joined(self.letter),
            _places(self.letter_of)[order],
            mark,
            number_of,
            same,
            self.alphabet,
        )


def _joined(parts: list[Floats]) -> Floats:
    return np.concatenate([np.zeros(0), *parts])


def _places(parts: list[Numbers]) -> Numbers:
    return np.concatenate([np.zeros(0, np.intp), *parts])
