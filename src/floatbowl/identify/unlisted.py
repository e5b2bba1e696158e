"""Numbers that are not in the records: what an unlisted carburettor's number, or a number nobody wrote down, looks like.

There are two pictures of such numbers. *Profiles*: for each maker and length, every position has its own frequencies of
characters, so that a number of the maker's grammar is likely even if nobody recorded it. *Siblings*: a recorded number with
one character or so replaced by another of its class, since unlisted carburettors often belong to recorded families.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from floatbowl.identify.compiled import CompiledMarks, Ints
from floatbowl.identify.marks import MarkIndex, over_orders
from floatbowl.identify.numbers import DIGITS_AND_LETTERS, Alphabet, Places, symbols_of_mark
from floatbowl.identify.wear import Floats, Rates, Tables, same_class, tables
from floatbowl.reference.check_letter import CheckRule, parse_check_rule, passes
from floatbowl.reference.facts import Reference

#: Pseudo-counts spread over the characters of a position's class, and over all characters (estimate).
_CLASS_COUNTS: Final = 1.0
_ANY_COUNTS: Final = 0.05
#: Probability that a number of no known grammar has any one length, when scaled likelihoods are compared (estimate).
_ANY_LENGTH: Final = 1.0 / 12.0


@dataclass(frozen=True, slots=True)
class UnlistedNumbers:
    """Profiles of each maker's numbers, compiled for the forward sum."""

    compiled: CompiledMarks
    distributions: Floats
    profile_maker: Ints
    profile_share: Floats
    makers: int
    rules: tuple[CheckRule | None, ...]
    alphabet: Alphabet

    @classmethod
    def learn(
        cls, reference: Reference, alphabet: Alphabet, maker_at: Mapping[str, int], shares: Floats
    ) -> UnlistedNumbers:
        """Learns profiles from the identifying marks of a reference."""
        counts = _count(reference, alphabet, maker_at, shares)
        symbols: list[list[int]] = []
        lengths: list[int] = []
        rows: list[Floats] = []
        for (_, length), (table, _) in counts.items():
            symbols.append(list(range(len(rows), len(rows) + length)))
            lengths.append(length)
            rows += list(_smooth(table))
        padded = np.full((len(symbols), max(lengths, default=1)), np.iinfo(np.uint16).max, np.uint16)
        for line, codes in zip(padded, symbols, strict=True):
            line[: len(codes)] = codes
        maker = np.array([maker for maker, _ in counts], np.int32)
        weight = np.array([weight for _, weight in counts.values()])
        total = np.bincount(maker, weight, minlength=len(maker_at)) if len(maker) else np.zeros(len(maker_at))
        return cls(
            CompiledMarks(padded, np.array(lengths, np.int32)),
            np.array(rows).reshape(-1, alphabet.size),
            maker,
            weight / total[maker] if len(maker) else weight,
            len(maker_at),
            tuple(_rule(m.check) for m in reference.makers),
            alphabet,
        )

    def likelihoods(self, places: Places, text: str, via: str, rates: Rates) -> Floats:
        """P(reading | some number of each maker), then of no known grammar; scaled as the marks' likelihoods are."""
        found = np.zeros(self.makers + 1)
        found[-1] = _ANY_LENGTH * _given(places, rates)
        if self.profile_maker.size:
            each = np.empty(self.profile_maker.size)
            each[self.compiled.order] = over_orders(
                places, rates, lambda p, r: self.compiled.sum(self._tables(p, via, r))
            )
            np.add.at(found, self.profile_maker, self.profile_share * each)
            found *= self.check_factors(places, text)
        return found

    def _tables(self, places: Places, via: str, rates: Rates) -> Tables:
        plain = tables(places, self.alphabet, rates, via)
        return replace(plain, clean=self.distributions @ plain.clean, worn=self.distributions @ plain.worn)

    def check_factors(self, places: Places, text: str) -> Floats:
        """For each maker, then for none: a wholly read number whose check letter is right is the likelier to be some
        unlisted number of that maker's; wrong, the less."""
        factors = np.ones(self.makers + 1)
        if not text or any(place.kind != "plain" for place in places.places):
            return factors
        for maker, rule in enumerate(self.rules):
            verdict = None if rule is None else passes(text, rule)
            if rule is not None and verdict is not None:
                factors[maker] = rule.modulus if verdict else _WRONG_LETTER
        return factors


#: What is left of a maker's unlisted numbers when the check letter is wrong: only misread ones (estimate).
_WRONG_LETTER: Final = 0.15


#: Chance that each character of a recorded number differs in its unlisted sibling (estimate: one in five or six).
_SIBLING_DIFFERS: Final = 0.18
#: Chance that an unlisted sibling bears the same number, another build of it (estimate).
SAME_NUMBER: Final = 0.1


def changed_likelihood(index: MarkIndex, places: Places, by_mark: Floats, via: str, rates: Rates) -> Floats:
    """P(reading | a number like each mark but not it), in compiled order, from the marks' own likelihoods.

    Each character differs with a fixed chance, then being any other of its class; that at least one differs is used
    exactly, by taking off the case that none does.
    """
    other = same_class(index.alphabet.size)

    def straight(p: Places, r: Rates) -> Floats:
        plain = tables(p, index.alphabet, r, via)
        clean = (1 - _SIBLING_DIFFERS) * plain.clean + _SIBLING_DIFFERS * other @ plain.clean
        worn = (1 - _SIBLING_DIFFERS) * plain.worn + _SIBLING_DIFFERS * other @ plain.worn
        return index.sum(replace(plain, clean=clean, worn=worn))

    same = (1 - _SIBLING_DIFFERS) ** index.lengths
    return np.asarray(np.maximum(over_orders(places, rates, straight) - same * by_mark, 0.0) / (1 - same))


def _given(places: Places, rates: Rates) -> float:
    """Scaled probability of the kinds of places a reading has, its characters being anything."""
    unread = 0.5 * (rates.unread_clean + rates.unread_worn)
    doubt = 0.5 * (rates.doubt_clean + rates.doubt_worn)
    factors = {"unread": 37.0 * unread, "set": doubt, "plain": 1.0 - unread, "cell": 1.0}
    return float(np.prod([factors[place.kind] for place in places.places]))


def _count(
    reference: Reference, alphabet: Alphabet, maker_at: Mapping[str, int], shares: Floats
) -> dict[tuple[int, int], tuple[Floats, float]]:
    owner = {
        c.carburettor: (maker_at.get(c.maker), float(s)) for c, s in zip(reference.carburettors, shares, strict=True)
    }
    found: dict[tuple[int, int], tuple[Floats, float]] = {}
    for mark in reference.marks:
        maker, share = owner.get(mark.carburettor, (None, 0.0))
        if maker is None or mark.role != "identifies":
            continue
        codes = symbols_of_mark(mark.text, alphabet)
        table, weight = found.get((maker, len(codes)), (np.zeros((len(codes), alphabet.size)), 0.0))
        table[np.arange(len(codes)), codes] += 1.0
        found[maker, len(codes)] = (table, weight + max(share, 1e-9))
    return found


def _smooth(counts: Floats) -> Floats:
    """Frequencies of the characters at each position, with the classes seen there (digits, letters) filled in."""
    digits = np.zeros(counts.shape[1])
    digits[:10] = 1.0
    letters = np.zeros(counts.shape[1])
    letters[10 : len(DIGITS_AND_LETTERS)] = 1.0
    share_digits = counts[:, :10].sum(axis=1, keepdims=True) / counts.sum(axis=1, keepdims=True)
    share_letters = counts[:, 10:36].sum(axis=1, keepdims=True) / counts.sum(axis=1, keepdims=True)
    prior = _CLASS_COUNTS * (share_digits * digits / 10 + share_letters * letters / 26) + _ANY_COUNTS / counts.shape[1]
    total: Floats = counts + prior
    return np.asarray(total / total.sum(axis=1, keepdims=True))


def _rule(text: str) -> CheckRule | None:
    try:
        return parse_check_rule(text) if text else None
    except ValueError:
        return None
