"""Edit distance from one reading with signs (``?``, ``[83]``, ``*``, or chances per place) to many marks at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.grammar import normalised
from floatbowl.reference.observed import Reading

Floats = NDArray[np.float64]

ALPHABET: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789{}"
OTHER: Final = len(ALPHABET)
CODE: Final = {c: i for i, c in enumerate(ALPHABET)}


@dataclass(frozen=True, slots=True)
class Tokens:
    """A reading as costs: of putting each character (or another) at a place, and of leaving the place out."""

    costs: Floats  # places x characters; a row of zeros with ``star`` set is a free gap
    dropped: Floats
    star: NDArray[np.bool_]


def tokens(reading: Reading) -> Tokens:
    """A reading taken apart into places.

    >>> tokens(Reading("K?[83]*")).star.tolist()
    [False, False, False, True]
    """
    rows, dropped, star = [], [], []
    for chances, is_star in _places(reading):
        row = np.ones(OTHER + 1)
        for character, chance in chances.items():
            if character == "?":
                row[:] = 0.0
            else:
                row[CODE.get(character, OTHER)] = 1.0 - chance
        rows.append(row)
        dropped.append(1.0 - chances.get("", 0.0))
        star.append(is_star)
    shape = (len(rows), OTHER + 1)
    return Tokens(np.array(rows).reshape(shape), np.array(dropped, dtype=float), np.array(star, dtype=bool))


def _places(reading: Reading) -> list[tuple[dict[str, float], bool]]:
    if reading.cells:
        return [({normalised(c) or "": p for c, p in cell}, False) for cell in reading.cells]
    out: list[tuple[dict[str, float], bool]] = []
    text, i = reading.text, 0
    while i < len(text):
        c, end = text[i], text.find("]", i)
        if c == "[" and end > i:
            out.append(({normalised(x): 1.0 for x in text[i + 1 : end] if normalised(x)} or {"?": 1.0}, False))
            i = end
        elif c == "*":
            out.append(({}, True))
        elif c == "?":
            out.append(({"?": 1.0}, False))
        elif normalised(c):
            out.append(({normalised(c): 1.0}, False))
        i += 1
    return out


@numba.njit(cache=True)
def distances(costs: Floats, dropped: Floats, star: NDArray, marks: NDArray, lengths: NDArray) -> Floats:  # type: ignore[type-arg]
    """Edit distance from a reading to every mark (rows of character codes, and their lengths)."""
    places, count = costs.shape[0], marks.shape[0]
    out = np.empty(count)
    row = np.empty(marks.shape[1] + 1)
    for m in range(count):
        n = lengths[m]
        for j in range(n + 1):
            row[j] = j
        for i in range(places):
            diagonal = row[0]
            row[0] += 0.0 if star[i] else dropped[i]
            for j in range(1, n + 1):
                above = row[j]
                if star[i]:
                    row[j] = min(above, row[j - 1])
                else:
                    best = diagonal + costs[i, marks[m, j - 1]]
                    best = min(best, above + dropped[i])
                    row[j] = min(best, row[j - 1] + 1.0)
                diagonal = above
        out[m] = row[n]
    return out


def coded(marks: Sequence[str]) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """Normalised marks as a table of character codes, and their lengths."""
    lengths = np.array([len(mark) for mark in marks], dtype=np.int64)
    table = np.zeros((len(marks), int(lengths.max(initial=1))), dtype=np.uint8)
    for i, mark in enumerate(marks):
        table[i, : len(mark)] = [CODE.get(c, OTHER) for c in mark]
    return table, lengths
