"""Crops of a set's photographs laid on one another: the whole plate, and the line of characters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from floatbowl.photo.aligning import Matrix, Move, laid_on, mapped
from floatbowl.photo.ball import light_from_ball
from floatbowl.photo.opening import Pixels
from floatbowl.photo.plate import propose_corners, straight_size, straighten, window_of
from floatbowl.photo.sets import PhotoSet
from floatbowl.photo.shading import Plane, as_light

#: Longer side of a straightened plate at most: what a person can use on a screen.
PLATE_PIXELS: Final = 1400
#: Margin around the line of characters, of its height.
MARGIN: Final = 0.1
#: Rows of a crop of the line at most; readers work with fewer.
LINE_ROWS: Final = 96


@dataclass(frozen=True, slots=True, eq=False)
class Straight:
    """The plate seen straight on: ``plain`` in colour and ``raking [K, H, W]`` as grey brightness from 0 to 1.

    ``to_plain`` maps its pixels to those of the plain photograph. ``found`` says how the plate's corners came:
    ``told``, ``proposed``, or ``none`` (the whole photograph is shown). ``torches [K, 2]`` are the torches' sideways
    parts over their upward parts where a ball beside the plate shows every one of them.
    """

    plain: Pixels
    raking: Plane
    to_plain: Matrix
    found: str
    torches: Matrix | None = None


def straight_plate(photo_set: PhotoSet, moves: Sequence[Move], most: int = PLATE_PIXELS) -> Straight:
    """The plate of a set; torch photographs that cannot be laid on the plain one are left out."""
    plain = photo_set.plain[0].pixels
    corners, found = photo_set.corners, "told"
    if corners is None:
        corners, found = propose_corners(photo_set.plain[0]), "proposed"
    if corners is None:
        height, width = plain.shape[:2]
        corners, found = np.array([[0, 0], [width, 0], [width, height], [0, height]]) - 0.5, "none"
    size = straight_size(corners, most, photo_set.plate_mm if found == "told" else None)
    window = window_of(corners, size)
    raking = _laid(photo_set, moves, size, window)
    return Straight(straighten(plain, corners, size), raking, window, found, _torches(photo_set, moves, window))


def _torches(photo_set: PhotoSet, moves: Sequence[Move], window: Matrix) -> Matrix | None:
    """What the ball tells of the torches, turned the way the straightened plate lies; None unless it shows them all."""
    ball = photo_set.ball
    if ball is None:
        return None
    side = max(24, min(400, round(2.4 * ball.radius)))
    scale = 2.4 * ball.radius / side
    corner = np.array(ball.centre) - 1.2 * ball.radius
    about = np.array([[scale, 0, corner[0]], [0, scale, corner[1]], [0, 0, 1.0]])
    crops = _laid(photo_set, moves, (side, side), about)
    lights = [light_from_ball(as_light(crop), (side / 2, side / 2), ball.radius / scale) for crop in crops]
    found = [light for light in lights if light is not None and light[2] > 0.05]
    if not len(crops) or len(found) < len(crops):
        return None
    sideways = np.array([light[:2] / light[2] for light in found])
    along = window[:2, 0] / np.linalg.norm(window[:2, 0])
    return np.column_stack([sideways @ along, sideways @ np.array([-along[1], along[0]])])


def line_crops(photo_set: PhotoSet, moves: Sequence[Move], line: Matrix, rows: int = LINE_ROWS) -> tuple[Plane, Plane]:
    """The line of characters with a margin, as grey brightness from 0 to 1: ``plain [H, W]`` and ``raking [K, H, W]``.

    ``line [4, 2]`` bounds the characters in pixels of the plain photograph, from their top left clockwise.
    """
    window, size = line_window(line, rows)
    plain = straighten(photo_set.plain[0].pixels, mapped(window, _ends(size)), size)
    return as_grey(plain), _laid(photo_set, moves, size, window)


def line_window(line: Matrix, rows: int = LINE_ROWS) -> tuple[Matrix, tuple[int, int]]:
    """The map from pixels of the line's crop to those of the plain photograph, and the crop's width and height."""
    high = float(np.linalg.norm(line[3] - line[0]) + np.linalg.norm(line[2] - line[1])) / 2
    wide = float(np.linalg.norm(line[1] - line[0]) + np.linalg.norm(line[2] - line[3])) / 2
    height = min(rows, max(8, round(high * (1 + 2 * MARGIN))))
    inner = height / (1 + 2 * MARGIN)
    inner_width = max(4.0, inner * wide / max(high, 1e-6))
    size = (round(inner_width + 2 * MARGIN * inner), height)
    window = window_of(line, (round(inner_width), round(inner)))
    shift = np.array([[1, 0, -MARGIN * inner], [0, 1, -MARGIN * inner], [0, 0, 1.0]])
    return window @ shift, size


def as_grey(pixels: Pixels) -> Plane:
    """Grey brightness from 0 to 1 as stored."""
    return np.asarray(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY) / np.float32(255), dtype=np.float32)


def _laid(photo_set: PhotoSet, moves: Sequence[Move], size: tuple[int, int], window: Matrix) -> Plane:
    by_name = {photograph.name: photograph for photograph in photo_set.raking}
    usable = [move for move in moves if move.usable and move.photograph in by_name]
    laid = [as_grey(laid_on(move, by_name[move.photograph].pixels, size, window)) for move in usable]
    return np.stack(laid) if laid else np.zeros((0, size[1], size[0]), dtype=np.float32)


def _ends(size: tuple[int, int]) -> Matrix:
    width, height = size
    return np.array([[0, 0], [width, 0], [width, height], [0, height]]) - 0.5
