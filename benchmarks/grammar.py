"""Number grammars of twelve invented makers, and families of numbers that lie close to one another.

A template's characters: ``A`` a letter of the maker's own few, ``C`` a consonant, ``9`` a digit, ``k`` a check letter
(the digits before it as one number, modulo seven, A to G); anything else stands for itself.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

CONSONANTS: Final = "BCDFGHKLMNPRSTVWZ"
LETTERS: Final = "ABCDEFGHJKLMNPRSTVWXYZ"
DIGITS: Final = "0123456789"


@dataclass(frozen=True, slots=True)
class Grammar:
    """How one maker numbers its carburettors, and where the number and the foundry numbers are."""

    template: str
    #: Template places that tell siblings of one family apart (from the right end, check letters not counted).
    free: int
    part: str
    form: str
    casting: str
    devices: tuple[str, ...] = ()
    #: A tag with two lines: the number is broken at its first separator.
    two_lines: bool = False
    #: Two builds may share a number and differ only in a raised or flat mark.
    shared_builds: bool = False


GRAMMARS: Final = (
    Grammar("A99/999", 2, "tag", "stamped", "9999", two_lines=True),
    Grammar("999-k-9", 2, "throttle body", "stamped", "99999", devices=("RING", "BAR", "STAR")),
    Grammar("9.999.9", 2, "bowl", "cast", "A999", shared_builds=True),
    Grammar("CCC-CCC", 2, "tag", "printed", "99-999", two_lines=True),
    Grammar("8999 99", 2, "lid", "cast", "A-99"),
    Grammar("AA-9999", 2, "tag", "stamped", "999A"),
    Grammar("99999A", 2, "throttle body", "stamped", "999.99"),
    Grammar("A9999-A", 2, "tag", "stamped", "9999"),
    Grammar("999999", 2, "throttle body", "cast", "99999", devices=("ARROW", "LEAF")),
    Grammar("AA99A9", 2, "tag", "printed", "AA99", two_lines=True),
    Grammar("A-999.99", 2, "lid", "stamped", "9999A"),
    Grammar("99/99-99k", 2, "tag", "stamped", "99-99", two_lines=True),
)


def normalised(text: str) -> str:
    """A mark as it is compared: capitals and digits only (braces of a device are kept).

    >>> normalised("k36/118")
    'K36118'
    """
    return re.sub(r"[^A-Z0-9{}]", "", text.upper())


def check_letter(text: str) -> str:
    """The letter that checks a number: the digits before its place ``k`` as one number, modulo seven, A to G.

    >>> check_letter("206-k-3")
    'D'
    """
    return "ABCDEFG"[int("".join(c for c in text.split("k")[0] if c.isdigit()) or "0") % 7]


def pattern(grammar: Grammar, alphabet: str) -> str:
    """The grammar as a regular expression.

    >>> pattern(GRAMMARS[0], "KZ")
    '[KZ][0-9][0-9]/[0-9][0-9][0-9]'
    """
    classes = {"A": f"[{alphabet}]", "C": f"[{CONSONANTS}]", "9": "[0-9]", "k": "[A-G]"}
    return "".join(classes.get(c) or re.escape(c) for c in grammar.template)


def filled(template: str, alphabet: str, rng: random.Random) -> list[str]:
    """A random filling of a template, one text a place, check letters left open as ``k``."""
    choices = {"A": alphabet, "C": CONSONANTS, "9": DIGITS}
    return [rng.choice(choices[c]) if c in choices else c for c in template]


def family(grammar: Grammar, alphabet: str, size: int, rng: random.Random) -> Iterator[str]:
    """Numbers of one family: they share a stem, and their last places count up in small steps, as makers number."""
    stem = filled(grammar.template, alphabet, rng)
    places = [i for i, c in enumerate(grammar.template) if c in "AC9"][-grammar.free :]
    wheels = [_wheel(grammar.template[i], alphabet) for i in places]
    total = 1
    for wheel in wheels:
        total *= len(wheel)
    at = rng.randrange(total)
    for _ in range(size):
        at += rng.choice((1, 1, 1, 1, 2, 3))
        left = at % total
        for place, wheel in zip(reversed(places), reversed(wheels), strict=True):
            left, index = divmod(left, len(wheel))
            stem[place] = wheel[index]
        text = "".join(stem)
        yield text.replace("k", check_letter(text)) if "k" in grammar.template else text


def _wheel(kind: str, alphabet: str) -> str:
    return {"A": alphabet, "C": CONSONANTS, "9": DIGITS}[kind]


def foundry_number(grammar: Grammar, alphabet: str, rng: random.Random) -> str:
    """A foundry's pattern number in the maker's manner."""
    return "".join(filled(grammar.casting, alphabet, rng))


#: What longer numbers of the speed benchmark have after their maker's template.
GROWTHS: Final = ("", "", "9", "A9", "999")


def make_marks(n: int, seed: int) -> list[str]:
    """``n`` different normalised marks of five to ten characters in dense families, for measuring speed.

    Sixty makers, each with a template (some lengthened: a million marks need the room) and its own few letters.
    """
    rng = random.Random(seed)
    makers = []
    for base in GRAMMARS:
        for growth in GROWTHS:
            grammar = replace(base, template=base.template + growth, free=min(3, base.free + 1))
            makers.append((grammar, "".join(rng.sample(LETTERS, rng.randint(4, 8)))))
    marks: dict[str, None] = {}
    while len(marks) < n:
        grammar, alphabet = rng.choice(makers)
        for text in family(grammar, alphabet, rng.randint(6, 40), rng):
            mark = normalised(text)
            if 5 <= len(mark) <= 10:
                marks[mark] = None
    return list(marks)[:n]
