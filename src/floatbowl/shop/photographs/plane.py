"""Four corners seen in perspective, and points carried between the picture and the straightened plate."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

#: Four points ``(x, y)`` in pixels, from the top left clockwise.
Quad = list[list[float]]
#: The straightened plate's longer side, in pixels, at most.
LONGEST_STRAIGHT = 1600
#: Corners nearer to one another than this are a slip of the finger.
NEAREST_PX = 8.0


class CornersError(ValueError):
    """Four corners that bound nothing: what is wrong and what to do."""


def read_quad(told: Any, width: int, height: int) -> Quad:
    """Four corners as a browser sends them, inside a picture of this size. Raises CornersError."""
    if not isinstance(told, list) or len(told) != 4:
        raise CornersError("There must be four corners. Load the page again.")
    quad: Quad = []
    for point in told:
        numbers = isinstance(point, list) and len(point) == 2 and all(_is_number(value) for value in point)
        if not numbers:
            raise CornersError("A corner did not arrive whole. Load the page again.")
        quad.append([round(min(max(float(point[0]), 0.0), width), 2), round(min(max(float(point[1]), 0.0), height), 2)])
    if not _turns_one_way(quad):
        raise CornersError(
            "The corners lie crosswise or in a row. Put the first on the plate's top left, then go round clockwise."
        )
    return quad


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def _turns_one_way(quad: Quad) -> bool:
    """Whether the four corners go round clockwise (y points down) and bound an area."""
    for (ax, ay), (bx, by), (cx, cy) in zip(quad, quad[1:] + quad[:1], quad[2:] + quad[:2], strict=True):
        if math.hypot(bx - ax, by - ay) < NEAREST_PX:
            return False
        if (bx - ax) * (cy - by) - (by - ay) * (cx - bx) <= 0:
            return False
    return True


def whole(width: float, height: float, margin: float = 0.1) -> Quad:
    """Corners a little inside the whole picture, for want of better ones."""
    x, y = width * margin, height * margin
    return [[x, y], [width - x, y], [width - x, height - y], [x, height - y]]


def straight_size(corners: Sequence[Sequence[float]]) -> tuple[int, int]:
    """Width and height of the straightened plate: its edges' mean lengths, at most ``LONGEST_STRAIGHT``."""
    a, b, c, d = (np.asarray(point, dtype=float) for point in corners)
    width = (math.dist(a, b) + math.dist(d, c)) / 2
    height = (math.dist(a, d) + math.dist(b, c)) / 2
    scale = min(1.0, LONGEST_STRAIGHT / max(width, height))
    return max(16, round(width * scale)), max(16, round(height * scale))


def carried(points: Sequence[Sequence[float]], source: Quad, target: Quad) -> Quad:
    """``points`` carried along with the four corners ``source`` to where ``target`` are.

    >>> carried([[5, 5]], [[0, 0], [10, 0], [10, 10], [0, 10]], [[0, 0], [20, 0], [20, 20], [0, 20]])
    [[10.0, 10.0]]
    """
    matrix = projection(source, target)
    found = []
    for x, y in points:
        u, v, w = matrix @ np.array([x, y, 1.0])
        found.append([round(float(u / w), 2), round(float(v / w), 2)])
    return found


def corners_of(size: tuple[int, int]) -> Quad:
    """The corners of a whole picture."""
    width, height = float(size[0]), float(size[1])
    return [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]]


def projection(source: Quad, target: Quad) -> np.ndarray[Any, Any]:
    """The projective map of four points to four others (Hartley and Zisserman, Multiple View Geometry, sect. 2.3)."""
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows, dtype=float), np.array(right, dtype=float))
    return np.append(solved, 1.0).reshape(3, 3)
