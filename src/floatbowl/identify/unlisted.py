"""Numbers that are not in the records and belong to no recorded family: any number of a maker's manner.

*Profiles*: for each maker and length, every position has its own frequencies of characters, so that a number of the
maker's grammar is likely even if nobody recorded it. (Numbers of recorded families are apart: see ``siblings``.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from floatbowl.identify.compiled import CompiledMarks, Ints
from floatbowl.identify.encoded import encode, plain_texts
from floatbowl.identify.marks import over_orders
from floatbowl.identify.numbers import DIGITS_AND_LETTERS, Alphabet, Places
from floatbowl.identify.wear import Floats, Rates, Tables, tables
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
        found = _count(reference, alphabet, maker_at, shares)
        lengths = np.array([table.shape[0] for table in found.tables], np.int32)
        padded = np.full((lengths.size, int(lengths.max(initial=1))), np.iinfo(np.uint16).max, np.uint16)
        padded[np.arange(padded.shape[1]) < lengths[:, None]] = np.arange(int(lengths.sum()))
        maker, weight = found.maker, found.weight
        total = np.bincount(maker, weight, minlength=len(maker_at)) if maker.size else np.zeros(len(maker_at))
        return cls(
            CompiledMarks(padded, lengths),
            np.array([row for table in found.tables for row in _smooth(table)]).reshape(-1, alphabet.size),
            maker,
            weight / total[maker] if maker.size else weight,
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


def _given(places: Places, rates: Rates) -> float:
    """Scaled probability of the kinds of places a reading has, its characters being anything."""
    unread = 0.5 * (rates.unread_clean + rates.unread_worn)
    doubt = 0.5 * (rates.doubt_clean + rates.doubt_worn)
    factors = {"unread": 37.0 * unread, "set": doubt, "plain": 1.0 - unread, "cell": 1.0}
    return float(np.prod([factors[place.kind] for place in places.places]))


@dataclass(frozen=True, slots=True)
class _Counts:
    """Identifying marks by maker and length: how often each position holds each symbol, and how common they are."""

    maker: Ints
    weight: Floats
    tables: list[Floats]


def _count(reference: Reference, alphabet: Alphabet, maker_at: Mapping[str, int], shares: Floats) -> _Counts:
    place = {c.carburettor: i for i, c in enumerate(reference.carburettors)}
    makers = np.array([maker_at.get(c.maker, -1) for c in reference.carburettors], np.int32)
    known = {key: i for key, i in place.items() if makers[i] >= 0}
    marks = [m for m in reference.marks if m.role == "identifies" and m.carburettor in known]
    owner = np.array([known[m.carburettor] for m in marks], np.intp)
    plain = plain_texts([m.text for m in marks], alphabet)
    symbols, lengths = encode([plain[m.text] for m in marks], alphabet)
    size = symbols.shape[1] + 1
    groups, first, group = np.unique(makers[owner] * size + lengths, return_index=True, return_inverse=True)
    weight = np.bincount(group, np.maximum(shares[owner], 1e-9), minlength=groups.size).astype(np.float64)
    tables: list[Floats] = []
    by_group = np.argsort(group, kind="stable")
    starts = np.searchsorted(group[by_group], np.arange(groups.size + 1))
    for g, number in enumerate(groups.tolist()):
        length = number % size
        mine = symbols[by_group[starts[g] : starts[g + 1]], :length].astype(np.intp)
        flat = np.bincount((mine + np.arange(length) * alphabet.size).ravel(), minlength=length * alphabet.size)
        tables.append(flat.reshape(length, alphabet.size).astype(np.float64))
    order = np.argsort(first)
    return _Counts((groups[order] // size).astype(np.int32), weight[order], [tables[g] for g in order])


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
