"""What was read as boxes, one a character: each with its alternatives and odds, and whose it is.

A box is ``{"cell": [[character, probability], ...], "by": "machine" | "eye"}``, likeliest first; the empty character
means that nothing stands there.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from rapidfuzz.distance import Levenshtein

from floatbowl.identify.numbers import LONGEST_READING, SET_DECAY
from floatbowl.reference.observed import Cell
from floatbowl.shop.models.photograph import EYE, MACHINE

#: A character is written as sure from here on, and an alternative is worth writing from there on (our choice).
SURE, WORTH_WRITING, WORTH_KEEPING = 0.9, 0.08, 0.001
#: More alternatives than this are not written behind one another; the place then is one nobody can read.
MOST_WRITTEN = 4
MOST_BOXES = LONGEST_READING
MOST_ALTERNATIVES = 60
_PLACE = re.compile(r"\\.|\{[^{}]+\}|\[[^\[\]]*\]|.", re.DOTALL)
_SPECIAL = "?[]*\\"


class BoxesError(ValueError):
    """Boxes that cannot be kept: what is wrong and what to do."""


@dataclass(frozen=True, slots=True)
class Box:
    """One place of a number: what may stand there, likeliest first, and who said so."""

    cell: Cell
    by: str = MACHINE
    #: What the machine had read where a person says otherwise.
    was: Cell = ()

    def as_json(self) -> dict[str, Any]:
        """The box as it is stored."""
        told: dict[str, Any] = {"cell": [list(pair) for pair in self.cell], "by": self.by}
        return told | ({"was": [list(pair) for pair in self.was]} if self.was else {})

    @property
    def best(self) -> str:
        """The likeliest character; ``?`` where nobody can say."""
        return self.cell[0][0] if self.cell else "?"


def boxes_of_cells(cells: Iterable[Cell]) -> list[Box]:
    """What the machine read, as boxes."""
    return [Box(_in_order(cell)) for cell in cells]


def _in_order(cell: Iterable[tuple[str, float]]) -> Cell:
    kept = [(str(sign), round(float(chance), 4)) for sign, chance in cell if float(chance) >= WORTH_KEEPING]
    return tuple(sorted(kept, key=lambda pair: -pair[1]))


def read_boxes(told: Any) -> list[Box]:
    """Boxes as a browser sends them. Raises BoxesError."""
    if not isinstance(told, list):
        raise BoxesError("The boxes did not arrive whole. Load the page again; what was kept is still there.")
    if len(told) > MOST_BOXES:
        raise BoxesError(f"No number is that long ({MOST_BOXES} characters at most). Strike some out.")
    return [_read_box(each, place) for place, each in enumerate(told, start=1)]


def _read_box(told: Any, place: int) -> Box:
    wrong = BoxesError(f"Character {place} did not arrive whole. Load the page again; what was kept is still there.")
    if not isinstance(told, dict) or told.get("by") not in (MACHINE, EYE):
        raise wrong
    cell, was = _read_cell(told.get("cell")), _read_cell(told.get("was", []))
    if cell is None or was is None:
        raise wrong
    if sum(chance for _, chance in cell) > 1.01 or len({sign for sign, _ in cell}) != len(cell):
        raise BoxesError(f"The odds of character {place} add up to more than certainty. Choose one character there.")
    return Box(_in_order(cell), told["by"], _in_order(was))


def _read_cell(told: Any) -> list[tuple[str, float]] | None:
    """Characters and their odds, or None for anything else."""
    if not isinstance(told, list) or len(told) > MOST_ALTERNATIVES:
        return None
    cell: list[tuple[str, float]] = []
    for pair in told:
        if not isinstance(pair, list) or len(pair) != 2 or not _is_sign(pair[0]) or not _is_chance(pair[1]):
            return None
        cell.append((pair[0].upper(), float(pair[1])))
    return cell


def _is_sign(sign: Any) -> bool:
    return isinstance(sign, str) and (len(sign) <= 1 or re.fullmatch(r"\{[^{}]{1,30}\}", sign) is not None) and (
        sign == "" or sign.isprintable()
    )  # fmt: skip


def _is_chance(chance: Any) -> bool:
    plain = isinstance(chance, (int, float)) and not isinstance(chance, bool)
    return plain and math.isfinite(chance) and 0.0 <= chance <= 1.0


def text_of(boxes: Sequence[Box]) -> str:
    """The boxes as people write a doubtful number: ``K3?/11[83]``."""
    return "".join(_written(box) for box in boxes)


def _written(box: Box) -> str:
    likely = [(sign, chance) for sign, chance in box.cell if chance >= WORTH_WRITING]
    if not likely:
        return "?"
    (first, most), signs = likely[0], [sign for sign, _ in likely if sign]
    if most >= SURE or len(likely) == 1:
        return (_escaped(first) if most >= 0.5 else "?") if first else ""
    if not first and most >= 0.5:
        return ""
    if len(signs) > MOST_WRITTEN or any(len(sign) > 1 for sign in signs) or not signs:
        return "?" if most < 0.5 else _escaped(first)
    return f"[{''.join(signs)}]" if len(signs) > 1 else _escaped(signs[0])


def _escaped(sign: str) -> str:
    return f"\\{sign}" if sign in _SPECIAL else sign


def boxes_of_text(text: str) -> list[Box] | None:
    """A typed number as boxes of the person's own, or None where it cannot be (``*``: any number lost).

    >>> [box.cell for box in boxes_of_text("K[83]?")]
    [(('K', 1.0),), (('8', 0.6667), ('3', 0.3333)), ()]
    """
    boxes = []
    for piece in _PLACE.findall(text):
        if piece == "*":
            return None
        boxes.append(Box(_typed_cell(piece), EYE))
    return boxes


def _typed_cell(piece: str) -> Cell:
    if piece in ("?", "[]"):
        return ()
    if piece.startswith("[") and len(piece) > 2:
        signs = list(dict.fromkeys(piece[1:-1].upper()))
        weights = [SET_DECAY**place for place in range(len(signs))]
        return tuple((sign, round(weight / sum(weights), 4)) for sign, weight in zip(signs, weights, strict=True))
    return (((piece[1:] if piece.startswith("\\") and len(piece) == 2 else piece).upper(), 1.0),)


def after_typing(boxes: Sequence[Box], text: str) -> list[Box] | None:
    """The boxes once somebody typed ``text`` over them: untouched places keep their odds, changed ones are theirs.

    None where the text cannot be boxes. Places that most likely hold nothing are kept between untouched ones.
    """
    typed = boxes_of_text(text)
    if typed is None:
        return None
    shown = [(number, written) for number, box in enumerate(boxes) if (written := _written(box))]
    found: list[Box] = []
    for alike, old, new in _runs([written for _, written in shown], [p.upper() for p in _PLACE.findall(text)]):
        if alike:
            found.extend(boxes[shown[old.start][0] : shown[old.stop - 1][0] + 1])
        else:
            found.extend(typed[new.start : new.stop])
    return found


def _runs(old: list[str], new: list[str]) -> Iterator[tuple[bool, range, range]]:
    """Stretches of two texts that belong together, alike or not: place by place where both are as long."""
    if len(old) == len(new):
        for alike, places in groupby(range(len(old)), key=lambda at: old[at] == new[at]):
            run = list(places)
            yield alike, range(run[0], run[-1] + 1), range(run[0], run[-1] + 1)
        return
    for step in Levenshtein.opcodes(old, new):
        yield step.tag == "equal", range(step.src_start, step.src_end), range(step.dest_start, step.dest_end)


def by_whom(boxes: Sequence[Box], confirmed: bool = False) -> str:
    """Whose the reading is: the eye's once somebody confirmed it or changed a place of it."""
    return EYE if confirmed or any(box.by == EYE for box in boxes) else MACHINE


def weighable(cells: Iterable[Iterable[Sequence[Any]]]) -> tuple[Cell, ...]:
    """Stored cells as the weighing takes them."""
    return tuple(tuple((str(sign), min(float(chance), 1.0)) for sign, chance in cell) for cell in cells)
