"""The plate in a photograph: its four corners proposed, and the plate seen straight on."""

from __future__ import annotations

from typing import Final, cast

import cv2
import numpy as np

from floatbowl.photo.opening import Photograph, Pixels
from floatbowl.photo.rows import propose_line as propose_line
from floatbowl.photo.shading import Plane
from floatbowl.photo.sides import along, quads_of_edges
from floatbowl.photo.warping import Matrix, warped

#: Longer side of the reduced picture in which the plate is looked for.
LOOKED_AT: Final = 640
#: A plate covers at least and at most this share of the photograph.
LEAST, MOST = 0.02, 0.92
#: A proposal is made when, along its sides, the edge is at least this clear (mean step over the picture's usual step).
CLEAR: Final = 1.9
#: Share of the four sides that has to show an edge.
SHOWN: Final = 0.62
#: Length over width of a plate at most.
LONGEST: Final = 8.0


def propose_corners(photograph: Photograph) -> Matrix | None:
    """The plate's corners ``[4, 2]`` in pixels from its top left clockwise; None when no outline is sure.

    A plate with cut or round corners gets the corners where its four sides would meet.
    """
    height, width = photograph.pixels.shape[:2]
    shrink = min(1.0, LOOKED_AT / max(height, width))
    small = cv2.resize(photograph.pixels, (round(width * shrink), round(height * shrink)), interpolation=cv2.INTER_AREA)
    colours = cv2.cvtColor(cv2.bilateralFilter(small, 7, 40, 5), cv2.COLOR_RGB2LAB).astype(np.float32)
    steps = _steps(colours)
    best: tuple[float, Matrix | None] = (0.0, None)
    for quad in quads_of_edges(colours[..., 0], steps):
        drawn = _drawn_to_edges(quad, steps)
        best = max(best, (_worth(drawn, steps), drawn), key=lambda each: each[0])
    return None if best[1] is None else clockwise((best[1] + 0.5) / shrink - 0.5)


def straighten(pixels: Pixels, corners: Matrix, size: tuple[int, int]) -> Pixels:
    """What lies within ``corners`` (from the top left clockwise) as a picture of ``size`` width, height."""
    return warped(pixels, window_of(corners, size), size)


def window_of(corners: Matrix, size: tuple[int, int]) -> Matrix:
    """The 3 x 3 map from pixels of the straightened picture to those of the photograph."""
    width, height = size
    ends = np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=np.float32) - 0.5
    return cast(Matrix, cv2.getPerspectiveTransform(ends, corners.astype(np.float32)).astype(np.float64))


def straight_size(corners: Matrix, most: int, plate_mm: tuple[float, float] | None = None) -> tuple[int, int]:
    """Width and height for the straightened plate: as many pixels as the photograph has, ``most`` along at most."""
    sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    width, height = max(sides[0], sides[2]), max(sides[1], sides[3])
    if plate_mm is not None:
        height = width * plate_mm[1] / plate_mm[0]
    shrink = min(1.0, most / max(width, height))
    return max(16, round(width * shrink)), max(16, round(height * shrink))


def clockwise(quad: Matrix) -> Matrix:
    """The same corners from the top left (the smallest x + y along the more level sides) clockwise."""
    middle = quad.mean(axis=0)
    around = np.argsort(np.arctan2(quad[:, 1] - middle[1], quad[:, 0] - middle[0]))
    ordered = quad[around]
    sides = np.roll(ordered, -1, axis=0) - ordered
    level = np.abs(sides[:, 0]) - np.abs(sides[:, 1]) + np.where(sides[:, 0] > 0, 1e4, 0)
    return np.roll(ordered, -int(np.argmax(level)), axis=0)


def _steps(colours: Plane) -> Plane:
    """How sharply the colour changes at each pixel, over how it usually does in this picture."""
    across = cv2.Sobel(colours, cv2.CV_32F, 1, 0, ksize=3)
    down = cv2.Sobel(colours, cv2.CV_32F, 0, 1, ksize=3)
    size = np.sqrt((across**2 + down**2).sum(axis=2))
    return cast(Plane, size / (np.mean(size) + 1e-3))


def _meeting(one: tuple[Matrix, Matrix], two: tuple[Matrix, Matrix]) -> Matrix | None:
    across = np.column_stack([one[1], -two[1]])
    if abs(np.linalg.det(across)) < 0.3:
        return None
    return cast(Matrix, one[0] + np.linalg.solve(across, two[0] - one[0])[0] * one[1])


def _square_enough(quad: Matrix) -> bool:
    """Whether opposite sides are about alike and all corners are between 55 and 125 degrees."""
    ahead = np.roll(quad, -1, axis=0) - quad
    lengths = np.linalg.norm(ahead, axis=1)
    unit = ahead / lengths[:, None]
    bends = np.abs((unit * np.roll(unit, -1, axis=0)).sum(axis=1))
    slim = lengths.max() > LONGEST * lengths.min()
    alike = max(lengths[0] / lengths[2], lengths[2] / lengths[0], lengths[1] / lengths[3], lengths[3] / lengths[1])
    return bool(bends.max() < 0.5 and alike < 1.6 and not slim)


def _drawn_to_edges(quad: Matrix, steps: Plane) -> Matrix:
    """Each side moved and turned a little to where the edge along it is clearest."""
    reach = 0.02 * float(np.linalg.norm(quad[1] - quad[0]) + np.linalg.norm(quad[2] - quad[1]))
    offsets = np.linspace(-reach, reach, 9)
    lines = []
    for at in range(4):
        start, end = quad[at], quad[(at + 1) % 4]
        normal = np.array([start[1] - end[1], end[0] - start[0]]) / max(float(np.linalg.norm(end - start)), 1e-9)
        tried = [(start + one * normal, end + two * normal) for one in offsets for two in offsets]
        worth = along(np.array(tried), steps).mean(axis=1)
        first, last = tried[int(np.argmax(worth))]
        lines.append((first, (last - first) / max(float(np.linalg.norm(last - first)), 1e-9)))
    corners = [_meeting(lines[at - 1], lines[at]) for at in range(4)]
    return quad if any(corner is None for corner in corners) else np.array(corners)


def _worth(quad: Matrix, steps: Plane) -> float:
    """How clear the edge is along the sides over what is usual inside; 0 when it is not, or not nearly all around."""
    if not _square_enough(quad):
        return 0.0
    middle = quad.mean(axis=0)
    inner = np.zeros(steps.shape, np.uint8)
    cv2.fillConvexPoly(inner, np.rint(middle + 0.85 * (quad - middle)).astype(np.int32), 1)
    usual = float(np.mean(np.minimum(steps[inner > 0], 4))) + 0.15
    strong = cv2.dilate(steps, np.ones((3, 3), np.uint8))
    clear = along(np.stack([quad, np.roll(quad, -1, axis=0)], axis=1), strong) / usual
    worst = float((clear > CLEAR).mean(axis=1).min())
    mean = float(np.mean(np.minimum(clear, 8)))
    area = float(cv2.contourArea(quad.astype(np.float32))) / steps.size
    if not LEAST < area < MOST:
        return 0.0
    return mean * worst * area**0.25 if worst > SHOWN and mean > 1.4 * CLEAR else 0.0
