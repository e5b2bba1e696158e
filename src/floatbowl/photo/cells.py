"""What may stand at each place of a line, with probabilities, from many whole texts and how likely each is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from rapidfuzz.distance import Levenshtein

from floatbowl.photo.ctc import Floats
from floatbowl.reference.observed import Cell

#: Texts less likely than this share of the likeliest do not change a cell that anybody could see.
_NEGLIGIBLE: Final = 1e-5
#: Less than this is left out of a cell (what is missing counts as spread evenly).
_LEAST_SHOWN: Final = 5e-4
#: A place where nothing is likelier than this to stand is no place.
_LEAST_PLACE: Final = 0.02


def cells_of(texts: Sequence[str], probabilities: Floats) -> tuple[Cell, ...]:
    """Probabilities per place, likeliest first, "" for "no character here", along the likeliest text (the first).

    Each text is laid along the first one at the fewest changes; what a text has between two of its characters makes a
    place of its own when that is likely enough.

    >>> import numpy as np
    >>> cells_of(["16", "18"], np.array([0.75, 0.25]))
    ((('1', 1.0),), (('6', 0.75), ('8', 0.25)))
    """
    first = texts[0]
    places: list[dict[str, float]] = [{} for _ in range(2 * len(first) + 1)]
    total = 0.0
    least = _NEGLIGIBLE * float(probabilities[0])
    for text, chance in zip(texts, probabilities.tolist(), strict=True):
        if chance < least:
            continue
        total += chance
        for place, character in zip(places, laid_along(first, text), strict=True):
            place[character] = place.get(character, 0.0) + chance
    cells = []
    for at, shares_of in enumerate(places):
        between = at % 2 == 0
        shares = {character: chance / total for character, chance in shares_of.items()}
        if not between or 1.0 - shares.get("", 0.0) >= _LEAST_PLACE:
            cells.append(_cell(shares))
    return tuple(cells)


def _cell(shares: dict[str, float]) -> Cell:
    shown = [(c, round(p, 4)) for c, p in sorted(shares.items(), key=lambda item: -item[1]) if p >= _LEAST_SHOWN]
    return tuple(shown)


def laid_along(first: str, text: str) -> list[str]:
    """What ``text`` has before, at, and between the characters of ``first``: odd entries stand at its characters.

    Of several characters between two places only the first is kept: such texts are never likely.

    >>> laid_along("138", "1B8")
    ['', '1', '', 'B', '', '8', '']
    >>> laid_along("18", "138")
    ['', '1', '3', '8', '']
    """
    laid = [""] * (2 * len(first) + 1)
    for step in Levenshtein.opcodes(first, text):
        if step.tag == "insert":
            laid[2 * step.src_start] = text[step.dest_start]
        elif step.tag != "delete":
            laid[2 * step.src_start + 1 : 2 * step.src_end : 2] = text[step.dest_start : step.dest_end]
    return laid
