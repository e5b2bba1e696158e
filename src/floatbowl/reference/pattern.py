"""A maker's pattern for its numbers: a regular expression that cannot take for ever, whoever wrote it.

The ways in which a pattern could try to match 60 characters are counted before it is used; Python's own matcher has
no time limit, and a pattern such as ``(a+)+b`` would try more ways than there are seconds in a lifetime.
"""

from __future__ import annotations

import re
from functools import lru_cache
from re import _constants as codes  # type: ignore[attr-defined]
from re import _parser  # type: ignore[attr-defined]
from typing import Any, Final

from floatbowl.reference.fault import shown

LONGEST_PATTERN: Final = 200
#: Marks longer than this are not held against a pattern.
LONGEST_TEXT: Final = 60
MOST_WAYS: Final = 250_000.0
_TOO_MANY: Final = 1e30


@lru_cache(maxsize=1024)
def parse_pattern(text: str) -> re.Pattern[str]:
    """The compiled pattern; ValueError says why it is not used.

    >>> bool(parse_pattern(r"[DKNV]\\d\\d/\\d{3}").fullmatch("K36/118"))
    True
    >>> parse_pattern("(a+)+b")
    Traceback (most recent call last):
    ValueError: '(a+)+b' could take for ever; write it without a repeat inside a repeat
    """
    if len(text) > LONGEST_PATTERN:
        raise ValueError(f"{shown(text)} is longer than {LONGEST_PATTERN} characters; write a shorter one")
    try:
        ways = _ways(_parser.parse(text))
        if ways <= MOST_WAYS:
            return re.compile(text)
    except (re.error, OverflowError, RecursionError) as problem:
        raise ValueError(f"{shown(text)} is no regular expression ({problem}); correct it") from None
    raise ValueError(f"{shown(text)} could take for ever; write it without a repeat inside a repeat")


def matches(text: str, pattern: str) -> bool | None:
    """Whether the whole of a mark fits the pattern; None without a pattern or for more than 60 characters."""
    if not pattern or len(text) > LONGEST_TEXT:
        return None
    return parse_pattern(pattern).fullmatch(text) is not None


def _ways(items: Any) -> float:
    """An upper bound of the ways in which a sequence may match 60 characters."""
    ways = 1.0
    for code, told in items:
        ways = min(ways * _ways_of(code, told), _TOO_MANY)
    return ways


def _ways_of(code: Any, told: Any) -> float:
    if code in (codes.GROUPREF, codes.GROUPREF_EXISTS):
        return _TOO_MANY
    if code is codes.BRANCH:
        return sum(_ways(branch) for branch in told[1])
    if code is codes.SUBPATTERN:
        return _ways(told[-1])
    if code in (codes.ASSERT, codes.ASSERT_NOT):
        return _ways(told[1])
    if code is getattr(codes, "ATOMIC_GROUP", None):
        return _ways(told)
    if code in (codes.MAX_REPEAT, codes.MIN_REPEAT, getattr(codes, "POSSESSIVE_REPEAT", None)):
        least, most, body = told
        once = _ways(body)
        return min(sum(_power(once, n) for n in range(min(least, 61), min(most, 61) + 1)), _TOO_MANY)
    return 1.0


def _power(base: float, times: int) -> float:
    return min(base**times, _TOO_MANY) if base < 1e4 or times <= 1 else _TOO_MANY
