"""Heights from slopes: the surface whose slopes come nearest to those measured, in the least-squares sense.

T. Simchony, R. Chellappa, M. Shao, "Direct analytical methods for solving Poisson equations in computer vision
problems", IEEE PAMI 12(5), 1990: the Poisson equation with free edges (Neumann), solved by the cosine transform.
It is the projection of R. T. Frankot, R. Chellappa, "A method for enforcing integrability in shape from shading
algorithms", IEEE PAMI 10(4), 1988, without their periodic edges.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from floatbowl.photo.shading import Plane


def height_from_slopes(slopes: Plane) -> Plane:
    """Heights ``[H, W]`` in pixels, mean 0, from slopes ``[2, H, W]`` (normal's x and y over its z: downhill)."""
    _, height, width = slopes.shape
    rise_x = -0.5 * (slopes[0, :, 1:] + slopes[0, :, :-1])
    rise_y = -0.5 * (slopes[1, 1:] + slopes[1, :-1])
    bend = np.zeros((height, width), dtype=slopes.dtype)
    bend[:, :-1] += rise_x
    bend[:, 1:] -= rise_x
    bend[:-1] += rise_y
    bend[1:] -= rise_y
    wave = fft.dctn(bend, type=2, norm="ortho")
    wave /= np.minimum(_wavy(height)[:, None] + _wavy(width)[None, :], -1e-9).astype(slopes.dtype)
    wave[0, 0] = 0
    return np.asarray(fft.idctn(wave, type=2, norm="ortho"), dtype=slopes.dtype)


def _wavy(count: int) -> NDArray[np.float64]:
    """What the second difference with free ends does to each cosine."""
    return 2 * (np.cos(np.pi * np.arange(count) / count) - 1)
