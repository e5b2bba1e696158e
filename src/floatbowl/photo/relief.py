"""The plate as it feels: normals, a relief picture, and the colour without the light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

import cv2
import numpy as np

from floatbowl.photo.aligning import Move
from floatbowl.photo.channels import equalised, raised, shape_of
from floatbowl.photo.crops import Straight, as_grey, straight_plate
from floatbowl.photo.normals import normals_from_slopes
from floatbowl.photo.opening import Pixels
from floatbowl.photo.sets import PhotoSet
from floatbowl.photo.shading import Plane, as_light, as_stored, slow_part

#: Normals are worked out with the plate's longer side reduced to this: finer than the grain and the alignment allow.
WORKED_AT: Final = 1000
#: What is smoothed away as the plate's own bend, as a share of its height.
BEND: Final = 0.06


@dataclass(frozen=True, slots=True, eq=False)
class Relief:
    """A plate's shape. ``normals [H, W, 3]`` are unit vectors (x right, y down, z to the camera); ``relief [H, W]``
    runs from -1 (sunk) to 1 (raised); ``albedo [H, W]`` is 0 to 1. ``torches`` is how many photographs it rests on;
    ``sure_of_sign`` from 0 (raised and sunk may be the other way round) to 1."""

    straight: Straight
    normals: Plane
    relief: Plane
    albedo: Plane
    torches: int
    sure_of_sign: float

    @property
    def cleaned(self) -> Pixels:
        """The plain photograph in grey with its slow changes of brightness taken out and its contrast evened."""
        return as_picture(equalised(as_grey(self.straight.plain)))


def relief_of(photo_set: PhotoSet, moves: Sequence[Move]) -> Relief | None:
    """The relief of a set whose torch photographs lie as ``moves`` say; None without a usable torch photograph."""
    straight = straight_plate(photo_set, moves)
    return None if not len(straight.raking) else relief_of_plate(straight)


def relief_of_plate(straight: Straight) -> Relief:
    """The relief of a straightened plate with at least one torch photograph."""
    height, width = straight.raking.shape[1:]
    shrink = min(1.0, WORKED_AT / max(height, width))
    size = (max(16, round(width * shrink)), max(16, round(height * shrink)))
    plain = _reduced(as_light(as_grey(straight.plain)), size)
    torches = np.stack([_reduced(as_light(each), size) for each in straight.raking])
    shape = shape_of(plain, torches, straight.torches)
    slopes = np.stack([each - slow_part(each, BEND * 3) for each in shape.slopes])
    albedo = np.clip(as_stored(shape.albedo) - 0.4, 0, 1)
    return Relief(straight, normals_from_slopes(slopes), raised(slopes, BEND), albedo, len(torches), shape.sure_of_sign)


def relief_picture(relief: Relief) -> Pixels:
    """The heights in grey ``[H, W]``: sunk dark, raised bright."""
    return as_picture(0.5 + 0.5 * relief.relief)


def normals_picture(normals: Plane) -> Pixels:
    """Normals as colours ``[H, W, 3]``: red to the right, green down, blue to the camera; 127.5 is none."""
    return np.asarray(np.clip(np.rint(normals * 127.5 + 127.5), 0, 255), dtype=np.uint8)


def as_picture(plane: Plane) -> Pixels:
    """A plane from 0 to 1 as grey pixels ``[H, W]``."""
    return np.asarray(np.clip(np.rint(plane * 255), 0, 255), dtype=np.uint8)


def _reduced(plane: Plane, size: tuple[int, int]) -> Plane:
    if plane.shape == size[::-1]:
        return plane
    return cast(Plane, cv2.resize(plane, size, interpolation=cv2.INTER_AREA))
