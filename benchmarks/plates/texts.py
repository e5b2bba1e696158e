"""What is written on the plates: a catalogue of invented makers' numbers for scoring, broad strings for training."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

import numpy as np

from benchmarks.grammar import CONSONANTS, check_letter

DIGITS: Final = "0123456789"
CAPITALS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
SEPARATORS: Final = "/-. "
ALPHABET: Final = DIGITS + CAPITALS + "/-. *#"
#: Shapes of the five invented makers' numbers, and how often each is drawn: ``C`` consonant, ``9`` digit, ``K`` one of
#: the first maker's letters, ``k`` check letter, ``D`` device, ``b`` bore, ``m`` 2-8, ``n`` 1-9.
SHAPES: Final = (("Kb/999", 0.28), ("D 999-k-n", 0.26), ("m.999.n", 0.18), ("CCC-CCC", 0.14), ("8n 999 99", 0.14))


def normalised(text: str) -> str:
    """Letters and digits only: what is compared when spaces, dashes, dots and strokes are left out.

    >>> normalised("RING 206-D-3")
    'RING206D3'
    """
    return re.sub(r"[^A-Z0-9]", "", text.upper())


@lru_cache(8)
def catalogue(seed: int, size: int = 5000) -> tuple[str, ...]:
    """``size`` invented numbers, no two alike even without separators."""
    rng = np.random.default_rng([seed, 5000])
    found: dict[str, str] = {}
    while len(found) < size:
        text = any_number(rng)
        found.setdefault(normalised(text), text)
    return tuple(found.values())


def _filled(shape: str, rng: np.random.Generator) -> str:
    text = "".join(_drawn(place, rng) for place in shape)
    return text.replace("k", check_letter(text)) if "k" in text else text


def _drawn(place: str, rng: np.random.Generator) -> str:
    if place == "D":
        return str(rng.choice(("RING", "BAR", "STAR")))
    if place == "b":
        return str(rng.integers(16, 64))
    choices = {"C": CONSONANTS, "9": DIGITS, "K": "DKNV", "m": "2345678", "n": DIGITS[1:]}.get(place)
    return choices[rng.integers(len(choices))] if choices else place


def any_number(rng: np.random.Generator) -> str:
    """One invented maker's number at random."""
    chances = [share for _, share in SHAPES]
    return _filled(SHAPES[rng.choice(len(SHAPES), p=chances)][0], rng)


def any_text(rng: np.random.Generator) -> str:
    """A random string of 3 to 14 characters with no grammar to learn: random classes, separators and repeats."""
    length = int(rng.integers(3, 15))
    style = rng.random()
    letters = 0.0 if style < 0.2 else 1.0 if style < 0.35 else float(rng.uniform(0.1, 0.75))
    separators = 0.0 if rng.random() < 0.3 else float(rng.uniform(0.05, 0.25))
    text = ""
    while len(text) < length:
        inside = 0 < len(text) < length - 1 and text[-1] not in SEPARATORS
        text += _next(text, inside, letters, separators, rng)
    return text


def _next(text: str, inside: bool, letters: float, separators: float, rng: np.random.Generator) -> str:
    if inside and rng.random() < separators:
        return SEPARATORS[rng.choice(4, p=(0.28, 0.32, 0.25, 0.15))]
    if rng.random() < 0.012:
        return "*#"[rng.integers(2)]
    if text and text[-1] not in SEPARATORS and rng.random() < 0.08:
        return text[-1]
    pool = CAPITALS if rng.random() < letters else DIGITS
    return pool[rng.integers(len(pool))]
