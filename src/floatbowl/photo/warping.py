"""Pictures seen from elsewhere: projective maps of points and of pixels."""

from __future__ import annotations

from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray

from floatbowl.photo.opening import Pixels

Matrix = NDArray[np.float64]


def mapped(matrix: Matrix, points: Matrix) -> Matrix:
    """Points ``[N, 2]`` through a 3 x 3 projective map."""
    ends = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return ends[:, :2] / ends[:, 2:]


def warped(pixels: Pixels, to_source: Matrix, size: tuple[int, int]) -> Pixels:
    """The picture whose pixel ``p`` is the source's pixel ``to_source @ p``; reduced sources are averaged first."""
    middle = np.array([[size[0] / 2, size[1] / 2]])
    ends = np.array([[size[0] / 2 + 1, size[1] / 2], [size[0] / 2, size[1] / 2 + 1]])
    step = float(np.linalg.norm(mapped(to_source, ends) - mapped(to_source, middle), axis=1).min())
    source = np.ascontiguousarray(pixels)
    while step >= 2 and min(source.shape[:2]) > 64:
        half = cv2.resize(source, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        ratio = (half.shape[1] / source.shape[1], half.shape[0] / source.shape[0])
        # A pixel's centre lies at .5 of its width, so halving moves centres by a quarter.
        to_source = (
            np.array([[ratio[0], 0, ratio[0] / 2 - 0.5], [0, ratio[1], ratio[1] / 2 - 0.5], [0, 0, 1]]) @ to_source
        )
        source, step = half, step / 2
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return cast(Pixels, cv2.warpPerspective(source, to_source, size, flags=flags, borderMode=cv2.BORDER_REPLICATE))
