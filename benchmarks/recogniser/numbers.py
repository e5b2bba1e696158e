"""Texts for training: runs of letters and of digits as numbers on castings have them, of no maker's grammar.

Within a run every character is as likely as another, so that nothing is learned of any catalogue; that a stroke among
digits is more likely a 1 than an I is learned. A part are characters without any order.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchmarks.plates.texts import CAPITALS, DIGITS, any_text

LONGEST: Final = 14
#: Share of texts without any order.
ANY: Final = 0.2
#: Share of their strange characters that stay.
STRANGE: Final = 0.1
RUNS: Final = (0.12, 0.3, 0.4, 0.18)
LETTERS: Final = (0.42, 0.14, 0.2, 0.17, 0.07)
FIGURES: Final = (0.22, 0.2, 0.33, 0.14, 0.07, 0.04)
DIVIDERS: Final = "/-. "
DIVIDED: Final = (0.2, 0.3, 0.2, 0.3)
#: Share of texts that are digits with dots, ones beside most of them: a thin dot beside a 1 is easily overlooked.
DOTTED: Final = 0.08
ONE: Final = 0.4


def training_text(rng: np.random.Generator) -> str:
    """One text of 2 to 14 characters."""
    if rng.random() < ANY:
        return "".join(c if c not in "*#" or rng.random() < STRANGE else "0" for c in any_text(rng))
    if rng.random() < DOTTED:
        return _dotted(rng)
    while True:
        text = _runs(rng)
        if 2 <= len(text) <= LONGEST:
            return text


def _runs(rng: np.random.Generator) -> str:
    count = 1 + int(rng.choice(len(RUNS), p=RUNS))
    usual = DIVIDERS[rng.choice(4, p=DIVIDED)]
    text, letters_before = "", False
    for at in range(count):
        letters = bool(rng.random() < 0.4)
        if at and (letters == letters_before or rng.random() < 0.55):
            text += usual if rng.random() < 0.7 else DIVIDERS[rng.choice(4, p=DIVIDED)]
        shares, pool = (LETTERS, CAPITALS) if letters else (FIGURES, DIGITS)
        length = 1 + int(rng.choice(len(shares), p=shares))
        text += "".join(pool[i] for i in rng.integers(len(pool), size=length))
        letters_before = letters
    return text


def _dotted(rng: np.random.Generator) -> str:
    """Two or three runs of digits with dots between."""
    runs = []
    for _ in range(int(rng.integers(2, 4))):
        length = int(rng.integers(1, 5))
        runs.append("".join("1" if rng.random() < ONE else DIGITS[rng.integers(10)] for _ in range(length)))
    return ".".join(runs)
