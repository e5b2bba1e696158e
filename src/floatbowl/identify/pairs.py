"""P(reading | mark) for chosen pairs only, quick to work out again and again under other rates.

Fitting rates asks the same few thousand pairs a thousand times over. What does not depend on the rates (which places a
reading has, which symbols each place speaks of) is laid out once; one compiled call then goes through all pairs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from floatbowl.identify import forward
from floatbowl.identify.compiled import Ints, scalars_of
from floatbowl.identify.numbers import Alphabet, Place, Places, inverted, lines_swapped
from floatbowl.identify.wear import PLACE_SCALE, Floats, Rates, likeness

#: A reading with the marks it is held against, each as symbols.
Wanted = tuple[Places, Sequence[tuple[int, ...]]]
_KINDS = {"plain": 0, "cell": 0, "set": 1, "unread": 2}


@dataclass(frozen=True, slots=True)
class Pairs:
    """Pairs of readings and marks of one way (``via``) in the order they were handed in.

    Each pair is laid out once for every order it may have been read in: as it stands, upside down, lines exchanged.
    ``owner`` is the wanted pair of each, ``order`` the way it is turned (0, 1, 2), ``turned`` and ``exchanged`` (per
    wanted pair) whether its reading can be, and in how many ways.
    """

    via: str
    owner: Ints
    order: Ints
    turned: Ints
    exchanged: Ints
    marks: np.ndarray
    lengths: Ints
    table: Ints
    at: Ints
    same: Floats
    like: Floats
    totals: Floats
    kinds: Ints
    empty: Floats
    lost: np.ndarray
    symbols: int

    def likelihoods(self, rates: Rates) -> Floats:
        """P(reading | mark) of each wanted pair, times ``PLACE_SCALE`` to the number of its places."""
        each = np.empty(self.lengths.shape[0])
        emission = np.array(
            [rates.wrong_clean, rates.wrong_worn, rates.alike_clean, rates.alike_worn, rates.unread_clean,
             rates.unread_worn, rates.doubt_clean, rates.doubt_worn, rates.gone_clean, rates.gone_worn, rates.star,
             rates.extra, rates.extra_unread, PLACE_SCALE, self.symbols]
        )  # fmt: skip
        chain = np.array([1 - rates.go_worn, rates.go_worn, 1 - rates.stay_worn, rates.stay_worn])
        forward.each_pair(
            self.marks, self.lengths, self.table, self.at, self.same, self.like, self.totals, self.kinds, self.empty,
            self.lost, emission, chain, scalars_of(rates), each,
        )  # fmt: skip
        upside_down = rates.inverted * self.turned
        in_other_order = rates.lines * (self.exchanged > 0)
        shares = np.stack(
            [1.0 - upside_down - in_other_order, upside_down, in_other_order / np.maximum(self.exchanged, 1)]
        )
        found = np.bincount(self.owner, shares[self.order, self.owner] * each, minlength=self.turned.shape[0])
        return np.asarray(found, np.float64)


def lay_out(wanted: Sequence[Wanted], alphabet: Alphabet, via: str) -> Pairs:
    """Pairs laid out for :meth:`Pairs.likelihoods`. Marks hold at least one symbol, readings at least one place."""
    tables: list[Places] = []
    rows: list[tuple[int, int, int, tuple[int, ...]]] = []
    turned_of: list[int] = []
    exchanged_of: list[int] = []
    for places, marks in wanted:
        turned, exchanged = inverted(places), lines_swapped(places)
        orders = [(0, places), *([(1, turned)] if turned is not None else []), *((2, each) for each in exchanged)]
        first = len(tables)
        tables += [each for _, each in orders]
        for mark in marks:
            rows += [(len(turned_of), order, first + i, mark) for i, (order, _) in enumerate(orders)]
            turned_of.append(int(turned is not None))
            exchanged_of.append(len(exchanged))
    all_places = [place for table in tables for place in table.places]
    same = _same(all_places, alphabet.size)
    return Pairs(
        via,
        np.array([row[0] for row in rows], np.int32),
        np.array([row[1] for row in rows], np.int32),
        np.array(turned_of, np.int32),
        np.array(exchanged_of, np.int32),
        _padded([row[3] for row in rows]),
        np.array([len(row[3]) for row in rows], np.int32),
        np.array([row[2] for row in rows], np.int32),
        np.cumsum([0, *(len(table.places) for table in tables)]).astype(np.int32),
        same,
        likeness(via, alphabet.size) @ same,
        same.sum(axis=0),
        np.array([_KINDS[place.kind] for place in all_places], np.int32),
        np.array([place.empty for place in all_places], np.float64),
        _padded([table.lost for table in tables]).astype(np.bool_),
        alphabet.size,
    )


def _same(places: Sequence[Place], symbols: int) -> Floats:
    """The weight of each place (column) on each symbol (row)."""
    found = np.zeros((symbols, len(places)))
    for column, place in enumerate(places):
        for symbol, weight in place.weights:
            found[symbol, column] += weight
    return found


def _padded(rows: Sequence[Sequence[int]]) -> np.ndarray:
    found = np.zeros((len(rows), max(map(len, rows), default=1)), np.uint8)
    for line, row in zip(found, rows, strict=True):
        line[: len(row)] = row
    return found
