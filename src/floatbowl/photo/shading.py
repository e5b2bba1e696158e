"""What is left of a picture when its slow changes of brightness (fall-off of the torch, vignetting) are divided out."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Plane = NDArray[np.float32]

#: Each picture is reduced to about this many rows before its slow part is smoothed: enough for what is slow.
SLOW_ROWS: Final = 12
#: Darkest brightness told apart from black, of a full scale of 1: about one step of an 8-bit picture.
BLACK: Final = 0.004

#: Phones store about this root of the light (the sRGB curve, IEC 61966-2-1, is near it).
GAMMA: Final = 2.2


def as_light(stored: NDArray[np.floating]) -> Plane:
    """The light, 0 to 1, behind brightness 0 to 1 as phones store it."""
    return np.asarray(np.power(np.maximum(stored, 0), GAMMA, dtype=np.float32))


def as_stored(light: NDArray[np.floating]) -> Plane:
    """Brightness as phones store it."""
    return np.asarray(np.power(np.maximum(light, 0), 1 / GAMMA, dtype=np.float32))


def resized(plane: Plane, height: int, width: int, quickly: bool = False) -> Plane:
    """The picture at another size; each new pixel averages the old ones it covers, so that nothing is skipped."""
    if plane.shape == (height, width):
        return plane
    way = Image.Resampling.BOX if quickly else Image.Resampling.BILINEAR
    return np.asarray(Image.fromarray(plane).resize((width, height), way), dtype=np.float32)


def slow_part(plane: Plane, share: float = 0.35) -> Plane:
    """The picture smoothed with a Gaussian whose standard deviation is ``share`` of its height."""
    height, width = plane.shape
    rows = max(4, min(height, round(SLOW_ROWS * max(1.0, 0.35 / share))))
    columns = max(4, min(width, round(rows * width / height)))
    small = resized(plane, rows, columns, quickly=True)
    smooth = ndimage.gaussian_filter(small, share * rows, mode="nearest", truncate=2.5)
    return np.asarray(Image.fromarray(smooth).resize((width, height), Image.Resampling.BICUBIC), dtype=np.float32)


def flattened(planes: Plane, share: float = 0.35) -> tuple[Plane, Plane]:
    """Pictures ``[K, H, W]`` over their slow parts, so that flat metal has brightness 1, and the slow parts."""
    slow = np.stack([slow_part(plane, share) for plane in planes])
    np.maximum(slow, BLACK, out=slow)
    return planes / slow, slow


def robust_scale(plane: Plane) -> float:
    """The 95th percentile of the size of the values; over 0 even for an empty picture."""
    sample = np.abs(plane.ravel()[:: max(1, plane.size // 5_000)])
    return max(float(np.percentile(sample, 95)), 1e-6)


def middle(planes: Plane) -> Plane:
    """The median over pictures ``[K, ...]``, put in order by exchanges of neighbours: quick for few pictures."""
    count = len(planes)
    ordered = list(planes)
    for turn in range(count):
        for at in range(turn % 2, count - 1, 2):
            low, high = ordered[at], ordered[at + 1]
            ordered[at], ordered[at + 1] = np.minimum(low, high), np.maximum(low, high)
    if count % 2:
        return np.asarray(ordered[count // 2])
    return np.asarray((ordered[count // 2 - 1] + ordered[count // 2]) / 2)
