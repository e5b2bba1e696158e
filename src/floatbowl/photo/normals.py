"""Surface normals from pictures under several lights, robust to shadow and glare.

Axes: x right, y down, z towards the camera. A light's direction points from the surface to the light. Lambert's law:
brightness = albedo * (normal . light), nothing where that is negative (R. J. Woodham, "Photometric method for
determining surface orientation from multiple images", Optical Engineering 19(1), 1980).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from floatbowl.photo.shading import Plane, middle

#: Residuals of this size, in the pixel's own brightness, halve a picture's weight (Cauchy): about the grain of a phone.
DOUBTED: Final = 0.06
#: A picture darker than this share of the pixel's median lies in shadow; brighter than the second, it glares.
SHADOW: Final = 0.35
GLARE: Final = 2.6
#: What a picture in shadow or glare still counts: enough to keep the equations solvable.
LEFT: Final = 0.003
ROUNDS: Final = 4


def least_squares(observed: Plane, design: NDArray[np.floating]) -> Plane:
    """Plain least squares ``[D, N]`` of pictures ``[K, N]`` as ``design [K, D] @ unknown``, all pictures alike."""
    return (np.linalg.pinv(design) @ observed).astype(np.float32)


def robust_solution(observed: Plane, design: NDArray[np.floating], flatter: float = 0.0) -> Plane:
    """The unknowns ``[3, N]`` of ``observed [K, N] = design [K, 3] @ unknown``, shadow and glare nearly left out.

    Iteratively reweighted least squares with Cauchy weights, starting without the pictures that are far darker or
    brighter than the pixel's median. With three pictures there is nothing to leave out: plain least squares.
    """
    if len(observed) <= 3:
        return least_squares(observed, design)
    typical = np.maximum(middle(observed), 1e-3)
    fair = np.where((observed > SHADOW * typical) & (observed < GLARE * typical), np.float32(1), np.float32(LEFT))
    columns = design.astype(np.float32)
    solution = _weighted(observed, columns, fair, flatter)
    scale = 1 / (DOUBTED * typical) ** 2
    for _ in range(ROUNDS - 1):
        off = observed - columns @ solution
        off *= off
        off *= scale
        off += 1
        solution = _weighted(observed, columns, np.maximum(fair / off, np.float32(LEFT * 0.1)), flatter)
    return solution


def _weighted(observed: Plane, design: Plane, weights: Plane, flatter: float) -> Plane:
    """Weighted least squares of each pixel: its own 3 x 3 equations, solved by Cramer's rule."""
    pairs = np.stack([design[:, i] * design[:, j] for i, j in ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))])
    a, b, c, d, e, f = pairs @ weights
    x, y, z = design.T @ (weights * observed)
    damped = (flatter + 1e-6) * a
    a, d, f = a + 1e-6 * a, d + damped, f + damped
    ad, ae, af = d * f - e * e, c * e - b * f, b * e - c * d
    whole = a * ad + b * ae + c * af
    dd, de, df = a * f - c * c, b * c - a * e, a * d - b * b
    solved = np.stack([ad * x + ae * y + af * z, ae * x + dd * y + de * z, af * x + de * y + df * z])
    return np.asarray(solved / np.where(np.abs(whole) < 1e-20, 1e-20, whole), dtype=np.float32)


def normals_from_lights(pictures: Plane, lights: NDArray[np.floating], robust: bool = True) -> tuple[Plane, Plane]:
    """Unit normals ``[H, W, 3]`` and albedo ``[H, W]`` from pictures ``[K, H, W]`` and known ``lights [K, 3]``.

    A light's length is its strength. Raises ValueError for fewer than three pictures or lights in one plane.
    """
    count, height, width = pictures.shape
    if count < 3 or np.linalg.matrix_rank(lights, tol=1e-3) < 3:
        raise ValueError("normals need at least three photographs with the torch on different sides")
    observed = pictures.reshape(count, -1)
    solve = robust_solution if robust else least_squares
    scaled = solve(observed, lights)
    albedo = np.linalg.norm(scaled, axis=0)
    normals = (scaled / np.maximum(albedo, 1e-6)).T.reshape(height, width, 3)
    return normals.astype(np.float32), albedo.reshape(height, width).astype(np.float32)


def normals_from_slopes(slopes: Plane) -> Plane:
    """Unit normals ``[H, W, 3]`` from slopes ``[2, H, W]`` (normal's x and y over its z)."""
    upright = np.concatenate([slopes, np.ones_like(slopes[:1])])
    return np.asarray(np.moveaxis(upright / np.linalg.norm(upright, axis=0), 0, -1), dtype=np.float32)
