"""Four-sided figures made of the straight edges in a reduced photograph."""

from __future__ import annotations

from itertools import combinations
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from floatbowl.photo.shading import Plane
from floatbowl.photo.warping import Matrix

#: Straight edges looked at in each direction, the longest first.
MOST_EDGES: Final = 16
#: Shortest straight edge, and least distance of opposite sides, as shares of the picture's longer side.
SHORTEST, CLOSEST = 0.05, 0.07
#: Figures handed on, the clearest first.
BEST: Final = 40
#: Edges within this angle of level, or of upright, are sides of a plate photographed the right way up (or on its side).
LEANING: Final = np.radians(38)


def quads_of_edges(grey: Plane, steps: Plane) -> list[Matrix]:
    """The figures ``[4, 2]`` from the top left clockwise whose sides show the clearest edges."""
    segments = _segments(grey)
    angles = np.arctan2(segments[:, 3] - segments[:, 1], segments[:, 2] - segments[:, 0])
    off_level = np.abs((angles + np.pi / 2) % np.pi - np.pi / 2)
    level = _lines(segments[off_level < LEANING], 0, max(grey.shape))
    upright = _lines(segments[off_level > np.pi / 2 - LEANING], 1, max(grey.shape))
    pairs_level, pairs_upright = _pairs(level, 1, grey.shape), _pairs(upright, 0, grey.shape)
    if not len(pairs_level) or not len(pairs_upright):
        return []
    quads = _crossings(pairs_level, pairs_upright)
    within = np.array([grey.shape[1], grey.shape[0]])
    quads = quads[np.all((quads > -0.02 * within) & (quads < 1.02 * within), axis=(1, 2))]
    strong = cv2.dilate(steps, np.ones((3, 3), np.uint8))
    sides = along(np.stack([quads, np.roll(quads, -1, axis=1)], axis=2).reshape(-1, 2, 2), strong)
    clear = np.minimum(sides, 4).mean(axis=1).reshape(-1, 4).min(axis=1)
    return list(quads[np.argsort(-clear)[:BEST]])


def along(sides: Matrix, steps: Plane) -> Plane:
    """Steps ``[N, 40]`` along sides ``[N, 2, 2]``, their ends (cut or round corners) left out."""
    share = np.linspace(0.14, 0.86, 40)[None, :, None]
    points = np.rint(sides[:, :1] * (1 - share) + sides[:, 1:] * share).astype(int)
    points = np.clip(points, 0, np.array(steps.shape[::-1]) - 1)
    return np.asarray(np.minimum(steps[points[..., 1], points[..., 0]], 8))


def _segments(grey: Plane) -> Matrix:
    """Straight edges ``[N, 4]`` as x, y, x, y (R. Grompone von Gioi and others, "LSD", IPOL 2, 2012)."""
    found = cv2.createLineSegmentDetector().detect(grey.astype(np.uint8))[0]
    return np.zeros((0, 4)) if found is None else found.reshape(-1, 4).astype(np.float64)


def _lines(segments: Matrix, axis: int, longer: int) -> Matrix:
    """The longest edges, those that carry one another on joined, as ``[N, 4]`` running along ``axis``."""
    lengths = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1])
    order = np.argsort(-lengths)
    kept: list[NDArray[np.float64]] = []
    for segment in segments[order][lengths[order] > SHORTEST * longer]:
        if not any(_same_line(segment, other, longer) for other in kept):
            kept.append(segment if segment[2 + axis] > segment[axis] else segment[[2, 3, 0, 1]])
        if len(kept) == MOST_EDGES:
            break
    return np.array(kept).reshape(-1, 4)


def _same_line(one: Matrix, two: Matrix, longer: int) -> bool:
    direction = (two[2:] - two[:2]) / max(float(np.hypot(*(two[2:] - two[:2]))), 1e-9)
    ends = one.reshape(2, 2) - two[:2]
    off = np.abs(ends[:, 0] * direction[1] - ends[:, 1] * direction[0])
    return bool(off.max() < 0.008 * longer)


def _pairs(lines: Matrix, axis: int, shape: tuple[int, ...]) -> Matrix:
    """Two lines each ``[N, 2, 4]``, the one nearer the origin along ``axis`` first, not too close together."""
    far = CLOSEST * max(shape)
    found = []
    for one, two in combinations(lines, 2):
        apart = (two[axis] + two[axis + 2] - one[axis] - one[axis + 2]) / 2
        if abs(apart) > far:
            found.append((one, two) if apart > 0 else (two, one))
    return np.array(found).reshape(-1, 2, 4)


def _crossings(level: Matrix, upright: Matrix) -> Matrix:
    """The corners ``[N, 4, 2]`` of every pair of level lines with every pair of upright ones."""
    top, bottom = (np.repeat(level[:, at], len(upright), axis=0) for at in (0, 1))
    left, right = (np.tile(upright[:, at], (len(level), 1)) for at in (0, 1))
    return np.stack([_crossing(*two) for two in ((top, left), (top, right), (bottom, right), (bottom, left))], axis=1)


def _crossing(one: Matrix, two: Matrix) -> Matrix:
    way, other = one[:, 2:] - one[:, :2], two[:, 2:] - two[:, :2]
    apart = two[:, :2] - one[:, :2]
    cross = way[:, 0] * other[:, 1] - way[:, 1] * other[:, 0]
    share = (apart[:, 0] * other[:, 1] - apart[:, 1] * other[:, 0]) / np.where(np.abs(cross) < 1e-9, 1e-9, cross)
    return one[:, :2] + share[:, None] * way
