"""How a face looks under broad light and under a torch held low: linear brightness, before any camera.

Directions are image axes: x right, y down, z towards the camera. The camera is far away, straight above.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from benchmarks.plates.recipes import Amounts
from benchmarks.plates.surface import Surface, smooth

Field = npt.NDArray[np.float32]
#: Distances at which a shadow is looked for, in eighths of the longest that the relief can cast.
MARCH: Final = (0.5, 1.0, 1.6, 2.3, 3.2, 4.2, 5.2, 6.2, 7.1, 8.0)


@dataclass(frozen=True, slots=True)
class Torch:
    """A hand lamp: where it is (pixels from the middle of the face), its brightness there and the width of its beam."""

    place: tuple[float, float, float]
    beam: float
    room: float

    @property
    def direction(self) -> tuple[float, float, float]:
        """Unit vector from the middle of the face to the torch."""
        x, y, z = np.array(self.place) / np.linalg.norm(self.place)
        return float(x), float(y), float(z)


def normals_of(height: Field) -> Field:
    """Unit normals [H, W, 3] of a height in pixels."""
    slope_x, slope_y = slopes(height)
    return np.stack(unit(slope_x, slope_y), axis=-1)


def slopes(height: Field) -> tuple[Field, Field]:
    """Central differences along x and along y."""
    padded = np.pad(height, 1, mode="edge")
    return 0.5 * (padded[1:-1, 2:] - padded[1:-1, :-2]), 0.5 * (padded[2:, 1:-1] - padded[:-2, 1:-1])


def unit(slope_x: Field, slope_y: Field) -> tuple[Field, Field, Field]:
    up = 1 / np.sqrt(1 + slope_x * slope_x + slope_y * slope_y)
    return -slope_x * up, -slope_y * up, up


def broad(rng: np.random.Generator, surface: Surface, cap: float, amounts: Amounts) -> Field:
    """The plain picture [planes, H, W]: a sky, one or two windows, and their images in the metal."""
    x, y, z = unit(*slopes(surface.height))
    hollow = np.exp(-np.clip((smooth(surface.height, 0.2 * cap) - surface.height) / (0.12 * cap), 0, 2) * 0.5)
    diffuse = (0.5 + 0.5 * z) * hollow * float(rng.uniform(0.15, 0.7))
    mirrored = np.full_like(z, float(rng.uniform(0.1, 0.6)))
    across = np.linspace(-1, 1, z.shape[1], dtype=np.float32)[None, :] * float(rng.normal(0, 0.25))
    down = np.linspace(-1, 1, z.shape[0], dtype=np.float32)[:, None] * float(rng.normal(0, 0.1))
    for _ in range(int(rng.integers(1, 3))):
        light = _direction(rng.uniform(0, 2 * np.pi), rng.uniform(0.35, 1.2))
        diffuse += float(rng.uniform(0.3, 1.1)) * np.maximum(0, x * light[0] + y * light[1] + z * light[2])
        toward = (2 * z * x + across) * light[0] + (2 * z * y + down) * light[1] + (2 * z * z - 1) * light[2]
        sharp = surface.shine * float(rng.uniform(0.2, 0.5))
        strength = float(rng.uniform(0.5, 2.0 + 6.0 * max(0.0, amounts.glare)))
        mirrored += strength * np.exp(sharp * np.minimum(0, toward - 1))
    return np.asarray(surface.colour * diffuse + surface.gloss * mirrored * hollow, dtype=np.float32)


def _direction(azimuth: float, elevation: float) -> tuple[float, float, float]:
    flat = float(np.cos(elevation))
    return flat * float(np.cos(azimuth)), flat * float(np.sin(azimuth)), float(np.sin(elevation))


def torches(rng: np.random.Generator, count: int, span: float, amounts: Amounts) -> tuple[Torch, ...]:
    """``count`` places around the plate, 8 to 25 degrees high, unevenly far; ``span`` is its width in pixels."""
    first = rng.uniform(0, 2 * np.pi)
    found = []
    for place in range(count):
        azimuth = first + 2 * np.pi * place / count + rng.normal(0, 0.15)
        direction = _direction(azimuth, np.radians(rng.uniform(8, 25)))
        away = span * rng.uniform(1.6, 6.0)
        x, y, z = (float(away * part) for part in direction)
        room = max(0.005, amounts.floor * float(rng.uniform(0.7, 1.3)))
        found.append(Torch((x, y, z), float(rng.uniform(0.35, 1.3)), room))
    return tuple(found)


def raked(surface: Surface, torch: Torch, plain: Field, cap: float, relief: float) -> Field:
    """The picture [planes, H, W] under one torch; ``relief`` is the mark's height in pixels, for the shadows' reach."""
    height = surface.height
    x, y, z = unit(*slopes(height))
    to_x, to_y, to_z, falloff = _ray(torch, height.shape[0], height.shape[1])
    lit = np.maximum(0, x * to_x + y * to_y + z * to_z)
    falloff = falloff * _unshadowed(height, torch, relief)
    half_z = to_z + 1
    long = 1 / np.sqrt(to_x * to_x + to_y * to_y + half_z * half_z)
    facing = np.clip((x * to_x + y * to_y + z * half_z) * long, 0, 1)
    glint = np.exp(surface.shine * 1.6 * (facing - 1) / np.maximum(facing, 0.05)) * (lit > 0)
    direct = falloff * (surface.colour * lit + surface.gloss * 1.2 * glint)
    bounced = surface.colour * smooth((lit * falloff).astype(np.float32), 0.25 * cap) * 0.12
    return np.asarray(direct + bounced + torch.room * 0.4 * plain, dtype=np.float32)


def _ray(torch: Torch, rows: int, columns: int) -> tuple[Field, Field, float, Field]:
    """Unit vectors from each point to the torch, and the light arriving there (1 in the middle, without the slant)."""
    across = torch.place[0] - (np.arange(columns, dtype=np.float32)[None, :] - columns / 2)
    down = torch.place[1] - (np.arange(rows, dtype=np.float32)[:, None] - rows / 2)
    square = across * across + down * down + torch.place[2] ** 2
    near = np.float32(np.dot(torch.place, torch.place))
    inverse = 1 / np.sqrt(square)
    axis = (across * torch.place[0] + down * torch.place[1] + torch.place[2] ** 2) * inverse / np.sqrt(near)
    falloff = near / square * np.exp((axis - 1) / torch.beam**2 * 4)
    return across * inverse, down * inverse, torch.place[2] * inverse, falloff


def _unshadowed(height: Field, torch: Torch, relief: float) -> Field:
    """1 where the torch is seen, 0 in cast shadow, soft between: a march along the height field towards the torch."""
    x, y, z = torch.direction
    flat = float(np.hypot(x, y))
    rise = z / flat
    over = np.zeros_like(height)
    reach = max(1.0, 0.5 * relief / rise) / MARCH[-1] * 2
    done = set()
    for step in MARCH:
        away = max(1.0, step * reach)
        shift = (round(away * y / flat), round(away * x / flat))
        if shift in done or shift == (0, 0):
            continue
        done.add(shift)
        _raise_over(over, height, shift, float(np.hypot(*shift)) * rise)
    return 1 - np.clip(over / (0.08 * relief + 0.15), 0, 1)


def _raise_over(over: Field, height: Field, shift: tuple[int, int], ray: float) -> None:
    """Where the ground at ``shift`` stands above the ray to the torch, note by how much."""
    rows, columns = height.shape
    down, across = shift
    if abs(down) >= rows or abs(across) >= columns:
        return
    here = (slice(max(0, -down), rows - max(0, down)), slice(max(0, -across), columns - max(0, across)))
    there = (slice(max(0, down), rows - max(0, -down)), slice(max(0, across), columns - max(0, -across)))
    np.maximum(over[here], height[there] - height[here] - ray, out=over[here])
