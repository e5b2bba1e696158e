"""The planes in which a line of characters is read, from aligned crops of its photographs.

numpy, scipy and Pillow only. What each plane means is fixed: readers are trained on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from floatbowl.photo.heights import height_from_slopes
from floatbowl.photo.lights import fall_off, find_lights
from floatbowl.photo.normals import robust_solution
from floatbowl.photo.shading import Plane, as_light, as_stored, flattened, resized, robust_scale, slow_part

NAMES: Final = ("plain", "equalised", "relief", "slope_x", "slope_y", "albedo")
#: Rows of every plane.
ROWS: Final = 48
#: Rows at which the relief is worked out: crops higher than this are reduced first.
WORK_ROWS: Final = 72


@dataclass(frozen=True, slots=True)
class Channels:
    """Planes ``[6, 48, W]``; ``present [6]`` says which hold anything.

    plain, equalised, albedo: 0 (dark) to 1 (bright). relief: -1 (sunk) to 1 (raised), slow parts removed.
    slope_x, slope_y: -1 to 1, over 0 where the surface leans to the right, or down the picture. ``sure_of_sign``: from
    0 (sunk and raised, and the slopes' signs, may be the other way round) to 1.
    """

    names: tuple[str, ...]
    planes: Plane
    present: NDArray[np.bool_]
    sure_of_sign: float = 0.0


@dataclass(frozen=True, slots=True)
class Shape:
    """Slopes ``[2, H, W]`` (normal's x and y over its z), albedo ``[H, W]`` around 1, and how sure the sign is."""

    slopes: Plane
    albedo: Plane
    sure_of_sign: float


def line_channels(plain: NDArray[np.floating], raking: NDArray[np.floating]) -> Channels:
    """The channels of a line of characters.

    ``plain [H, W]`` and ``raking [K, H, W]`` hold brightness from 0 to 1 as phones store it, aligned, cropped alike
    with about a tenth of the height as margin. K may be 0 (or ``raking`` empty): the last four planes are then 0 and
    not present. With one or two torch pictures the relief shows only strokes across the light.
    """
    grey = _worked(np.asarray(plain, dtype=np.float32))
    columns = max(1, round(ROWS * plain.shape[1] / plain.shape[0]))
    planes = np.zeros((len(NAMES), ROWS, columns), dtype=np.float32)
    planes[0] = resized(stretched(grey), ROWS, columns)
    planes[1] = resized(equalised(grey), ROWS, columns)
    count = len(raking) if raking.size else 0
    if not count:
        return Channels(NAMES, planes, np.array([True] * 2 + [False] * 4))
    torches = np.stack([_worked(np.asarray(each, dtype=np.float32)) for each in raking])
    shape = shape_of(as_light(grey), as_light(torches))
    relief = raised(shape.slopes)
    scale = 1.5 * max(robust_scale(shape.slopes[0]), robust_scale(shape.slopes[1]))
    for place, plane in ((2, relief), (3, shape.slopes[0] / scale), (4, shape.slopes[1] / scale)):
        planes[place] = np.clip(resized(plane, ROWS, columns), -1, 1)
    planes[5] = np.clip(resized(as_stored(shape.albedo), ROWS, columns) - 0.5, 0, 1)
    return Channels(NAMES, planes, np.ones(len(NAMES), dtype=bool), shape.sure_of_sign)


def _worked(plane: Plane) -> Plane:
    height, width = plane.shape
    if height <= WORK_ROWS:
        return plane
    return resized(plane, WORK_ROWS, max(1, round(width * WORK_ROWS / height)))


def stretched(plane: Plane) -> Plane:
    """Brightness from 0 to 1 between the darkest and brightest hundredth."""
    low, high = np.percentile(plane.ravel()[:: max(1, plane.size // 5_000)], (1, 99))
    return np.asarray(np.clip((plane - low) / max(float(high - low), 0.02), 0, 1))


def equalised(plane: Plane) -> Plane:
    """Brightness less the local mean, over the local spread: 0.5 is the mean, 0 and 1 are 2.5 spreads off."""
    mean = slow_part(plane, 0.25)
    off = plane - mean
    spread = np.sqrt(np.maximum(slow_part(off * off, 0.3), 0)) + np.float32(0.008)
    return np.asarray(np.clip(0.5 + 0.2 * off / spread, 0, 1))


def raised(slopes: Plane, bend: float = 0.15) -> Plane:
    """Heights less their slow part (``bend``: share of the height), -1 to 1 (1 is 1.5 times the 95th percentile)."""
    height = height_from_slopes(slopes)
    height -= slow_part(height, bend)
    return np.asarray(np.clip(height / (1.5 * robust_scale(height)), -1, 1))


def shape_of(plain: Plane, raking: Plane, told: NDArray[np.float64] | None = None) -> Shape:
    """Slopes and albedo of aligned pictures ``[K, H, W]`` of light taken with a torch at unknown places, K at least 1.

    With one or two torch pictures the plain one stands for the albedo: all it shows is taken for colour. ``told`` are
    the torches' sideways over upward parts ``[K, 2]`` where a ball shows them.
    """
    flat, slow = flattened(raking)
    if len(raking) < 3:
        return _half_shape(plain, flat, slow)
    lights = find_lights(flat, slow, told)
    design = np.column_stack([np.ones(len(raking)), lights.sideways])
    unknown = robust_solution(flat.reshape(len(flat), -1), design).reshape(3, *plain.shape)
    albedo = np.maximum(unknown[0], 0.08)
    return Shape(np.clip(unknown[1:] / albedo, -2, 2), albedo, lights.sure_of_sign)


def _half_shape(plain: Plane, flat: Plane, slow: Plane) -> Shape:
    """One or two torches: slopes along the sides they came from, as the fall-off tells them."""
    even, common = flattened(plain[None])
    falls = fall_off(np.concatenate([slow, common]))[: len(flat)]
    sides = falls / np.maximum(np.linalg.norm(falls, axis=1, keepdims=True), 1e-9)
    leaning = np.clip(flat / np.maximum(even[0], 0.1) - 1, -1, 2)
    return Shape(np.tensordot(np.linalg.pinv(sides, rcond=0.3), leaning, axes=1).astype(np.float32), even[0], 0.3)
