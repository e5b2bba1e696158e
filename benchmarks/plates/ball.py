"""A bearing ball lying beside the plate: its glint shows where the torch was."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from benchmarks.plates.light import Torch
from benchmarks.plates.scene import Box

Field = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Ball:
    """Centre and radius in pixels of the scene."""

    x: float
    y: float
    radius: float


def beside(rng: np.random.Generator, plate: Box, size: tuple[int, int]) -> Ball:
    """A ball just below or above the plate, where there is more room; ``size`` is the scene's width and height."""
    radius = 0.02 * size[0] * float(rng.uniform(0.9, 1.3))
    below = size[1] - plate.top - plate.height
    away = 1.6 * radius
    y = plate.top + plate.height + away if below > plate.top else plate.top - away
    return Ball(plate.left + plate.width * float(rng.uniform(0.2, 0.8)), y, radius)


def add_ball(planes: Field, ball: Ball, torch: Torch | None) -> Field:
    """The lit scene [planes, H, W] with the ball in it; without a torch it mirrors a window and the ground."""
    shown = planes.copy()
    rows, columns = planes.shape[1:]
    reach = int(ball.radius) + 2
    left, top = int(ball.x) - reach, int(ball.y) - reach
    window = (slice(top, top + 2 * reach), slice(left, left + 2 * reach))
    y, x = np.mgrid[window].astype(np.float32)
    x, y = (x + 0.5 - ball.x) / ball.radius, (y + 0.5 - ball.y) / ball.radius
    square = x * x + y * y
    z = np.sqrt(np.maximum(0, 1 - square))
    ground = planes.mean((1, 2))[:, None, None]
    mirrored = ground * (0.15 + 0.6 * np.clip(1 - 2 * z * z + 0.3, 0, 1))
    toward = _toward(ball, torch, columns, rows)
    half = np.add(toward, (0.0, 0.0, 1.0))
    half /= np.linalg.norm(half)
    sharp, strength = (1200.0, 80.0) if torch else (60.0, 2.0)
    glint = np.exp(sharp * (x * half[0] + y * half[1] + z * half[2] - 1)) * strength * float(ground.mean())
    inside = np.clip((1 - np.sqrt(square)) * ball.radius + 0.5, 0, 1)
    shown[(slice(None), *window)] += inside * (mirrored + glint - shown[(slice(None), *window)])
    return shown


def _toward(ball: Ball, torch: Torch | None, columns: int, rows: int) -> tuple[float, float, float]:
    """Unit vector from the ball to the light (a window high on the left, without a torch)."""
    if torch is None:
        return -0.5, -0.5, 0.7071
    away = np.array(torch.place) - (ball.x - columns / 2, ball.y - rows / 2, ball.radius)
    x, y, z = away / np.linalg.norm(away)
    return float(x), float(y), float(z)
