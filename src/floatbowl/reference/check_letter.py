"""Check letters: a maker's rule ``mod7:A-G`` says that a number's remainder by 7 names one of the letters A to G.

The number is the mark's first run of digits (devices left out); its letter is the next letter or digit after it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from floatbowl.reference.columns import DEVICE
from floatbowl.reference.fault import shown

_RULE: Final = re.compile(r"mod(\d{1,2}):([A-Z])-([A-Z])")
_JUDGED: Final = re.compile(r"([0-9]+)[^0-9A-Za-z]*([A-Za-z])")
#: Signs of a reading for what could not be read: a number with one of them is not judged.
UNREAD: Final = frozenset("?*[]")


@dataclass(frozen=True, slots=True)
class CheckRule:
    """The remainder by ``modulus``, counted from the letter ``first``."""

    modulus: int
    first: str

    def letter(self, number: int) -> str:
        """The letter a number must carry.

        >>> CheckRule(7, "A").letter(206)
        'D'
        """
        return chr(ord(self.first) + number % self.modulus)


@lru_cache(maxsize=256)
def parse_check_rule(text: str) -> CheckRule | None:
    """A maker's rule, or None for no rule; ValueError says how a rule is written.

    >>> parse_check_rule("mod7:A-G")
    CheckRule(modulus=7, first='A')
    """
    if not text.strip():
        return None
    told = _RULE.fullmatch(text.strip())
    if told is None:
        raise ValueError(f"{shown(text)} is no check rule; write one like mod7:A-G")
    modulus, first, last = int(told[1]), told[2], told[3]
    if modulus < 2 or ord(last) - ord(first) + 1 != modulus:
        raise ValueError(f"{shown(text)}: {first} to {last} must be as many letters as the number after mod")
    return CheckRule(modulus, first)


def passes(text: str, rule: CheckRule | str | None) -> bool | None:
    """Whether a number carries its right letter; None when there is no rule, or no number with a letter to judge.

    >>> passes("{RING} 206-D-3", "mod7:A-G"), passes("206-E-3", "mod7:A-G"), passes("K36/118", "mod7:A-G")
    (True, False, None)
    """
    parsed = parse_check_rule(rule) if isinstance(rule, str) else rule
    if parsed is None:
        return None
    bare = DEVICE.sub(" ", text)
    judged = _JUDGED.search(bare)
    digits = re.search("[0-9]", bare)
    if judged is None or digits is None or judged.start() != digits.start():
        return None
    if not UNREAD.isdisjoint(bare[: judged.end()]):
        return None
    return judged[2].upper() == parsed.letter(int(judged[1]))
