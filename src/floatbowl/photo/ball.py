"""Where the torch was, from its reflection in a shiny ball beside the plate."""

from __future__ import annotations

from typing import Final, cast

import numpy as np
from numpy.typing import NDArray

from floatbowl.photo.shading import Plane

#: The reflection is the part of the ball at least this bright, of its brightest spot.
REFLECTION: Final = 0.9
#: A spot that is not this much brighter than the ball's middle tone is no reflection.
STANDS_OUT: Final = 1.8
#: A reflection nearer to the rim than this (of the radius) is the plate or the table mirrored.
RIM: Final = 0.95


def light_from_ball(light: Plane, centre: tuple[float, float], radius: float) -> NDArray[np.float64] | None:
    """The unit vector ``[3]`` towards the torch from a picture ``[H, W]`` of light; None when no reflection stands out.

    ``centre`` (x, y) and ``radius`` are in pixels of the picture. A mirror reflects the torch to the camera where its
    normal lies halfway between both: light = 2 (n . v) n - v with v = (0, 0, 1) towards the camera.
    """
    rows, columns = np.mgrid[: light.shape[0], : light.shape[1]]
    across, down = (columns - centre[0]) / radius, (rows - centre[1]) / radius
    ball = across**2 + down**2 < RIM**2
    if ball.sum() < 20:
        return None
    brightest = float(np.percentile(light[ball], 99.7))
    if brightest < STANDS_OUT * float(np.median(light[ball])) + 1e-3:
        return None
    weight = np.where(ball, np.maximum(light - REFLECTION * brightest, 0), 0)
    total = float(weight.sum())
    if total <= 0:
        return None
    x, y = float((weight * across).sum()) / total, float((weight * down).sum()) / total
    normal = np.array([x, y, np.sqrt(max(0.0, 1 - x * x - y * y))])
    return cast("NDArray[np.float64]", 2 * normal[2] * normal - np.array([0, 0, 1.0]))
