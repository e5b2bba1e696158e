"""The makers' number grammars: new numbers that keep to them, and readable keys."""

from __future__ import annotations

import re
from collections.abc import Callable
from random import Random
from typing import Final

from floatbowl.demo.make_pack.chance import pick, whole

CHECK_LETTERS: Final = "ABCDEFG"
CONSONANTS: Final = "BCDFGHJKLMNPQRSTVWXZ"


def brattock_number(three_digits: int, series: int) -> str:
    """A Brattock number; its letter is the first number's remainder by seven.

    >>> brattock_number(206, 3)
    '206-D-3'
    """
    return f"{three_digits}-{CHECK_LETTERS[three_digits % 7]}-{series}"


def next_tarnsyke(random: Random, stem: str) -> str:
    return f"{stem}{whole(random, 120, 199)}"  # settings below 120 are written by hand, so that look-alikes stay chosen


def next_brattock(random: Random, stem: str) -> str:
    return brattock_number(int(f"{stem}{whole(random, 0, 9)}"), whole(random, 1, 8))


def next_sallowby(random: Random, stem: str) -> str:
    return f"{stem}{whole(random, 118, 489)}.{whole(random, 1, 9)}"


def next_cawdle(random: Random, stem: str) -> str:
    return stem + "".join(pick(random, CONSONANTS) for _ in range(3))


def next_yelbourn(random: Random, stem: str) -> str:
    return f"{stem} {whole(random, 100, 989)} {whole(random, 10, 99)}"


NEXT_NUMBER: Final[dict[str, Callable[[Random, str], str]]] = {
    "tarnsyke": next_tarnsyke,
    "brattock": next_brattock,
    "sallowby": next_sallowby,
    "cawdle": next_cawdle,
    "yelbourn": next_yelbourn,
}


def key_of_number(*words: str) -> str:
    """A key that can be read aloud.

    >>> key_of_number("6.114.2", "raised"), key_of_number("K36/118")
    ('6-114-2-raised', 'k36-118')
    """
    return re.sub(r"[^a-z0-9]+", "-", " ".join(filter(None, words)).lower()).strip("-")
