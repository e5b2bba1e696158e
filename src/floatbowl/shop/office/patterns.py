"""Whether two numbering patterns can ever give the same number: then two kinds of paper would quarrel over it."""

from __future__ import annotations

import itertools
import re
from typing import Final, NamedTuple

_PLACE: Final = re.compile(r"\{(?:year|n(?::0([1-9]))?)\}")
_DIGITS: Final = frozenset("0123456789")
_FIRST: Final = _DIGITS - {"0"}


class _Sign(NamedTuple):
    """One of some signs, once or any number of times."""

    one_of: frozenset[str]
    repeats: bool = False


_Signs = tuple[_Sign, ...]


def may_be_equal(one: str, other: str) -> bool:
    """Whether some year and some running number of the one give what some of the other give.

    Years are taken from 2000 to 2999. A pattern that holds ``{n}`` twice is taken as if the two could differ.

    >>> may_be_equal("{n:05}", "{n:04}"), may_be_equal("I-{year}-{n}", "C-{year}-{n}")
    (True, False)
    >>> may_be_equal("{year}{n}", "{n}"), may_be_equal("O{n:03}", "O{n}")
    (True, True)
    """
    return any(_meet(left, right) for left in _spelt(one) for right in _spelt(other))


def _spelt(pattern: str) -> list[_Signs]:
    """Every way a pattern can be written out, sign by sign."""
    parts: list[list[_Signs]] = []
    at = 0
    for place in _PLACE.finditer(pattern):
        parts.append([_literal(pattern[at : place.start()])])
        parts.append(_year() if place[0] == "{year}" else _running(int(place[1] or 1)))
        at = place.end()
    parts.append([_literal(pattern[at:])])
    return [tuple(itertools.chain(*each)) for each in itertools.product(*parts)]


def _literal(text: str) -> _Signs:
    return tuple(_Sign(frozenset(sign)) for sign in text)


def _year() -> list[_Signs]:
    return [(_Sign(frozenset("2")), *[_Sign(_DIGITS)] * 3)]


def _running(places: int) -> list[_Signs]:
    """A running number filled up to so many places; a longer one begins with no nought."""
    short = (_Sign(_FIRST if places == 1 else _DIGITS), *[_Sign(_DIGITS)] * (places - 1))
    long = (_Sign(_FIRST), *[_Sign(_DIGITS)] * places, _Sign(_DIGITS, repeats=True))
    return [short, long]


def _meet(one: _Signs, other: _Signs) -> bool:
    """Whether one text is written out by both."""
    seen, waiting = set(), [(0, 0)]
    while waiting:
        at = waiting.pop()
        if at in seen:
            continue
        seen.add(at)
        i, j = at
        if i == len(one) and j == len(other):
            return True
        if i < len(one) and one[i].repeats:
            waiting.append((i + 1, j))
        if j < len(other) and other[j].repeats:
            waiting.append((i, j + 1))
        if i < len(one) and j < len(other) and one[i].one_of & other[j].one_of:
            waiting.append((i if one[i].repeats else i + 1, j if other[j].repeats else j + 1))
    return False
