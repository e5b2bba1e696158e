"""Photographs reduced for comparing: their tone and their edges, evened, from coarse to fine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, cast

import cv2
import numpy as np

from floatbowl.photo.opening import Pixels
from floatbowl.photo.shading import Plane
from floatbowl.photo.warping import Matrix

#: Left, top, right, bottom in pixels of a photograph.
Box = tuple[float, float, float, float]

#: Longer side of the reduced pictures.
COARSE, MIDDLE, FINE = 256, 512, 768
#: How far around the plate is looked, as a share of its size: its outline holds on well.
AROUND: Final = 0.12


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """A reduced picture prepared for comparing: its tone, its edges, by how much it is reduced along x and y."""

    tone: Plane
    edges: Plane
    scale: tuple[float, float]

    @property
    def down(self) -> Matrix:
        return np.diag([self.scale[0], self.scale[1], 1.0])


def levels_of(pixels: Pixels, longest: int) -> list[Level]:
    """From coarse to fine; ``longest``, the plain photograph's longer side, sees to it that all are reduced alike."""
    height, width = pixels.shape[:2]
    grey = cv2.extractChannel(np.ascontiguousarray(pixels), 1)  # Green: the sharpest, and a third of the work.
    levels = []
    for size in (FINE, MIDDLE, COARSE):
        shrink = min(1.0, size / longest)
        small = (max(16, round(width * shrink)), max(16, round(height * shrink)))
        grey = cv2.resize(grey, small, interpolation=cv2.INTER_AREA)
        levels.append(_level(grey.astype(np.float32), (small[0] / width, small[1] / height)))
    return levels[::-1]


def _level(grey: Plane, scale: tuple[float, float]) -> Level:
    tone = cv2.GaussianBlur(np.log(grey + 4), (0, 0), 1.2)
    bends = np.abs(cv2.Laplacian(tone, cv2.CV_32F, ksize=3))
    return Level(_evened(tone), _evened(bends), scale)


def _evened(plane: Plane) -> Plane:
    off = plane - cv2.blur(plane, (25, 25))
    # A running mean of squares may come out a hair below nought.
    spread = np.sqrt(np.maximum(cv2.blur(off * off, (25, 25)), 0)) + 1e-3
    return cast(Plane, np.clip(off / spread, -3, 3))


def turned(level: Level, turns: int) -> Level:
    scale = level.scale if turns % 2 == 0 else level.scale[::-1]
    tone, edges = (np.ascontiguousarray(np.rot90(plane, turns)) for plane in (level.tone, level.edges))
    return Level(tone, edges, (scale[0], scale[1]))


def box_around(shape: tuple[int, ...], corners: Matrix | None) -> Box:
    """The part of the plain photograph that is compared: left, top, right, bottom."""
    height, width = shape[:2]
    if corners is None:
        return 0.1 * width, 0.1 * height, 0.9 * width, 0.9 * height
    low, high = corners.min(axis=0), corners.max(axis=0)
    margin = AROUND * (high - low)
    left, top = np.maximum(low - margin, 0)
    right, bottom = np.minimum(high + margin, (width, height))
    return float(left), float(top), float(right), float(bottom)


def reduced(box: Box, level: Level) -> tuple[int, int, int, int]:
    left, top, right, bottom = (round(each * level.scale[at % 2]) for at, each in enumerate(box))
    return left, top, right, bottom


def longest_side(level: Level) -> int:
    height, width = level.edges.shape
    return round(max(float(width / level.scale[0]), float(height / level.scale[1])))
