"""Lays the torch photographs on the plain one: the hand moves by some pixels and turns a little between them.

What is compared is where brightness bends sharply (size of the Laplacian of the log brightness, evened locally): light
from another side turns bright strokes dark, but leaves their edges where they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.photo.levels import Box, Level, box_around, levels_of, longest_side, turned
from floatbowl.photo.matching import coarsely, refined, shift_of, slid, starts
from floatbowl.photo.opening import Photograph, Pixels
from floatbowl.photo.plate import propose_corners
from floatbowl.photo.warping import Matrix as Matrix
from floatbowl.photo.warping import mapped as mapped
from floatbowl.photo.warping import warped as warped

#: Correlation of the compared pictures under which two photographs do not show the same thing. Of 144 rendered torch
#: photographs 3 had less; of 68 of other plates 8 had more.
SAME_PLATE: Final = 0.2
#: Shift, as a share of the longer side, beyond which the torch photograph is to be taken again.
TOO_FAR: Final = 0.12
#: Agreement that needs no second try from elsewhere.
SURE: Final = 0.3
#: Torch photographs by way of which a weak one is tried: those taken just before and after it.
NEIGHBOURS: Final = 3
#: By how much a neighbour has to agree better before it is trusted over the plain photograph.
CLEARLY: Final = 0.08


@dataclass(frozen=True, slots=True, eq=False)
class Move:
    """How a photograph lies to the plain one.

    ``quarter_turns`` it has to be turned counter-clockwise first (phones held flat guess which way is up); ``to_it``
    then maps pixels of the plain photograph to its own. ``shift`` is the mean movement of the plate, as a share of the
    plain photograph's longer side. ``agreement`` is the correlation after aligning, 0 when nothing was found.
    """

    photograph: str
    quarter_turns: int
    to_it: Matrix
    shift: float
    agreement: float

    @property
    def same_plate(self) -> bool:
        """Whether it shows the same plate as the plain photograph."""
        return self.agreement >= SAME_PLATE

    @property
    def too_far(self) -> bool:
        """Whether the phone moved too far."""
        return self.same_plate and self.shift > TOO_FAR

    @property
    def usable(self) -> bool:
        """Whether it can be laid on the plain photograph."""
        return self.same_plate and not self.too_far


def align(
    plain: Photograph, raking: Sequence[Photograph], corners: Matrix | None = None, jobs: int = 2
) -> tuple[Move, ...]:
    """How each torch photograph lies to the plain one. The plate counts most: its ``corners``, or what is proposed for
    them, or else the middle of the photograph.

    A photograph that agrees little with the plain one is laid on another torch photograph that does: light from a
    neighbouring side changes less.
    """
    longest = max(plain.pixels.shape[:2])
    levels = levels_of(plain.pixels, longest)
    box = box_around(plain.pixels.shape, propose_corners(plain) if corners is None else corners)
    with ThreadPoolExecutor(max(1, jobs)) as pool:
        found = list(pool.map(lambda each: _moved(levels, box, each), raking))
        return tuple(pool.map(lambda at: _settled(found, at, box, longest), range(len(found))))


def laid_on(move: Move, pixels: Pixels, size: tuple[int, int], window: Matrix | None = None) -> Pixels:
    """The torch photograph as seen from the plain one. ``size`` is width, height; ``window`` maps the result's pixels
    to those of the plain photograph (default: the same)."""
    turned = np.rot90(pixels, move.quarter_turns)
    return warped(turned, move.to_it if window is None else move.to_it @ window, size)


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """A move and the reduced pictures it was found in."""

    move: Move
    levels: Sequence[Level]


def _moved(plain: Sequence[Level], box: Box, photograph: Photograph) -> _Found:
    longest = longest_side(plain[0])
    others = levels_of(photograph.pixels, longest)
    turns, to_it = coarsely(plain[0], others[0], box)
    if turns:
        others = [turned(other, turns) for other in others]
    best = (-1.0, to_it)
    for start in starts(plain, others, box, to_it):
        best = max(best, refined(plain, others, box, start), key=lambda each: each[0])
        if best[0] > SURE:
            break
    move = Move(photograph.name, turns, best[1], shift_of(best[1], box, longest), max(best[0], 0.0))
    return _Found(move, others)


def _settled(found: Sequence[_Found], at: int, box: Box, longest: int) -> Move:
    """The move of one photograph, by way of a neighbour where that clearly says more than the plain one did."""
    move, levels = found[at].move, found[at].levels
    if move.agreement >= SURE:
        return move
    best = (move.agreement, move.to_it)
    for other in _neighbours(found, at):
        there = _moved_box(box, other.move.to_it)
        for start in (move.to_it @ np.linalg.inv(other.move.to_it), slid(other.levels[1], levels[1], there)):
            agreement, between = refined(other.levels, levels, there, start)
            worth = min(agreement, other.move.agreement)
            best = max(best, (worth, between @ other.move.to_it), key=lambda each: each[0])
            if agreement > SURE:
                break
        if best[0] > SURE:
            break
    if best[0] < move.agreement + CLEARLY:
        return move
    return Move(move.photograph, move.quarter_turns, best[1], shift_of(best[1], box, longest), best[0])


def _neighbours(found: Sequence[_Found], at: int) -> list[_Found]:
    """Photographs sure of their place, the nearest in the order they were taken (round the plate) first."""
    apart = [min(abs(other - at), len(found) - abs(other - at)) for other in range(len(found))]
    sure = [other for other in range(len(found)) if other != at and found[other].move.agreement >= SURE]
    return [found[other] for other in sorted(sure, key=apart.__getitem__)[:NEIGHBOURS]]


def _moved_box(box: Box, to_it: Matrix) -> Box:
    left, top, right, bottom = box
    ends = mapped(to_it, np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
    low, high = np.maximum(ends.min(axis=0), 0), ends.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
