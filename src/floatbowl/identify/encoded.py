"""Texts of marks in symbols, many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify.compiled import Ints
from floatbowl.identify.numbers import DIGITS_AND_LETTERS, Alphabet, symbol_of, symbols_of_mark

Bytes = npt.NDArray[np.uint8]
#: Fills up rows of symbols.
NONE: Final = 255


def _shown(character: str) -> str:
    symbol = symbol_of(character)
    return "" if symbol is None else Alphabet().show(symbol)


#: What each plain character is written as in symbols alone.
_SHOWN: Final = {code: _shown(chr(code)) for code in range(128)}
_SYMBOL: Final = np.full(256, NONE, np.uint8)
_SYMBOL[np.frombuffer(DIGITS_AND_LETTERS.encode(), np.uint8)] = np.arange(len(DIGITS_AND_LETTERS))


def plain_texts(texts: Iterable[str], alphabet: Alphabet) -> dict[str, str]:
    """Each text with how it is written in symbols alone: capitals, digits and devices.

    >>> plain_texts(["k36/118", "{bar} 2"], Alphabet(("BAR",)))
    {'k36/118': 'K36118', '{bar} 2': '{BAR}2'}
    """
    return {text: _plain(text, alphabet) for text in dict.fromkeys(texts)}


def _plain(text: str, alphabet: Alphabet) -> str:
    if "{" not in text and text.isascii():
        return text.translate(_SHOWN)
    return "".join(map(alphabet.show, symbols_of_mark(text, alphabet)))


def encode(texts: Sequence[str], alphabet: Alphabet) -> tuple[Bytes, Ints]:
    """Texts as rows of symbols, filled up with ``NONE``, and how many symbols each has."""
    plain = [text if text.isascii() and text.isalnum() else "" for text in texts]
    lengths = np.fromiter(map(len, plain), np.int32, len(plain))
    others = {i: symbols_of_mark(texts[i], alphabet) for i in np.flatnonzero(lengths == 0).tolist()}
    longest = max([1, int(lengths.max(initial=0)), *map(len, others.values())])
    rows = np.full((len(plain), longest), NONE, np.uint8)
    characters = np.frombuffer("".join(plain).upper().encode("ascii"), np.uint8)
    rows[np.arange(longest) < lengths[:, None]] = _SYMBOL[characters]
    for i, symbols in others.items():
        rows[i, : len(symbols)] = symbols
        lengths[i] = len(symbols)
    return rows, lengths
