"""Finds the map from one reduced photograph to another: a shift first, then an affine map, then a homography.

The shift comes from phase correlation (C. D. Kuglin, D. C. Hines, "The phase correlation image alignment method", 1975)
or from the tone of the plate; the maps from enhanced correlation (G. D. Evangelidis, E. Z. Psarakis, "Parametric image
alignment using enhanced correlation coefficient maximization", IEEE PAMI 30(10), 2008).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import cv2
import numpy as np

from floatbowl.photo.levels import Box, Level, reduced, turned
from floatbowl.photo.shading import Plane
from floatbowl.photo.warping import Matrix, mapped

#: A quarter turn is tried when the pictures as they are agree less than this.
AGREES: Final = 0.25
#: How far the plate is looked for by its tone, as a share of the longer side.
REACH: Final = 0.07
#: Which reduced picture, what kind of map, how many rounds at most.
STEPS: Final = (
    (0, cv2.MOTION_EUCLIDEAN, 20),
    (1, cv2.MOTION_AFFINE, 20),
    (2, cv2.MOTION_HOMOGRAPHY, 8),
)


def coarsely(plain: Level, other: Level, box: Box) -> tuple[int, Matrix]:
    """Quarter turns and the shift that agree best; turns are tried only when they may be needed."""
    best = (-1.0, 0, np.eye(3))
    for turns in (0, 2, 1, 3):
        rotated = turned(other, turns)
        shape, wanted = rotated.edges.shape, plain.edges.shape
        if abs(shape[1] / shape[0] - wanted[1] / wanted[0]) > 0.1:
            continue
        for one, two in ((plain.tone, rotated.tone), (plain.edges, rotated.edges)):
            to_it = np.linalg.inv(rotated.down) @ _shifted(one, two) @ plain.down
            best = max(best, (_agreement(plain, rotated, box, to_it), turns, to_it), key=lambda each: each[0])
        if best[0] > AGREES:
            break
    return best[1], best[2]


def starts(plain: Sequence[Level], others: Sequence[Level], box: Box, to_it: Matrix) -> Iterator[Matrix]:
    """Where to start from: a plate with a rim has two outlines, and edges alone may settle on the wrong one."""
    yield to_it
    for at in (1, 0):
        yield slid(plain[at], others[at], box)
    yield np.eye(3)


def slid(plain: Level, other: Level, box: Box) -> Matrix:
    """The shift under which the tone of the box agrees best."""
    left, top, right, bottom = reduced(box, plain)
    reach = round(REACH * max(plain.tone.shape))
    wide = cv2.copyMakeBorder(other.tone, reach, reach, reach, reach, cv2.BORDER_REPLICATE)
    window = np.ascontiguousarray(wide[top : bottom + 2 * reach, left : right + 2 * reach])
    template = np.ascontiguousarray(plain.tone[top:bottom, left:right])
    if window.shape[0] < template.shape[0] or window.shape[1] < template.shape[1]:
        return np.eye(3)
    across, down = cv2.minMaxLoc(cv2.matchTemplate(window, template, cv2.TM_CCOEFF_NORMED))[3]
    shift = np.array([[1, 0, across - reach], [0, 1, down - reach], [0, 0, 1.0]])
    return np.asarray(np.linalg.inv(other.down) @ shift @ plain.down)


def refined(plain: Sequence[Level], others: Sequence[Level], box: Box, to_it: Matrix) -> tuple[float, Matrix]:
    agreement = 0.0
    for at, kind, rounds in STEPS:
        found = _finely(plain[at], others[at], box, to_it, kind, rounds)
        if found is not None:
            to_it, agreement = found
    return agreement, to_it


def _shifted(one: Plane, two: Plane) -> Matrix:
    """The shift from one picture to the other by phase correlation."""
    height, width = one.shape
    fitted = np.zeros_like(one)
    rows, columns = min(height, two.shape[0]), min(width, two.shape[1])
    fitted[:rows, :columns] = two[:rows, :columns]
    window = cv2.createHanningWindow((width, height), cv2.CV_32F)
    (across, down), _ = cv2.phaseCorrelate(np.ascontiguousarray(one), fitted, window)
    return np.array([[1, 0, across], [0, 1, down], [0, 0, 1.0]])


def _agreement(plain: Level, other: Level, box: Box, to_it: Matrix) -> float:
    """Correlation of the edges within the box, the other picture laid on the plain one."""
    left, top, right, bottom = reduced(box, plain)
    to_other = other.down @ to_it @ np.linalg.inv(plain.down)
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    laid = cv2.warpPerspective(np.ascontiguousarray(other.edges), to_other, plain.edges.shape[::-1], flags=flags)
    one, two = plain.edges[top:bottom, left:right].ravel(), laid[top:bottom, left:right].ravel()
    return float(np.corrcoef(one, two)[0, 1]) if one.std() > 0 and two.std() > 0 else 0.0


def _finely(level: Level, other: Level, box: Box, to_it: Matrix, kind: int, rounds: int) -> tuple[Matrix, float] | None:
    left, top, right, bottom = reduced(box, level)
    template = np.ascontiguousarray(level.edges[top:bottom, left:right])
    inside = np.array([[1, 0, left], [0, 1, top], [0, 0, 1.0]])
    start = other.down @ to_it @ np.linalg.inv(level.down) @ inside
    start = (start / start[2, 2]).astype(np.float32)
    guess = start if kind == cv2.MOTION_HOMOGRAPHY else np.ascontiguousarray(start[:2])
    try:
        ending = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, rounds, 1e-4)
        agreement, found = cv2.findTransformECC(template, other.edges, guess, kind, ending, None, 1)
    except cv2.error:  # It says so when the pictures do not agree at all.
        return None
    whole = np.eye(3)
    whole[: len(found)] = found
    return np.linalg.inv(other.down) @ whole @ np.linalg.inv(inside) @ level.down, float(agreement)


def shift_of(to_it: Matrix, box: Box, longest: int) -> float:
    left, top, right, bottom = box
    points = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    return float(np.linalg.norm(mapped(to_it, points) - points, axis=1).mean() / longest)
