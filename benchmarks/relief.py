"""Normals from torch photographs against the true normals of renders, by level, beside plain least squares.

``PLATE_FONTS=FOLDER python -m benchmarks.relief [COUNT] [SEED]`` prints a table (default: 60 lines a level).
The torches' places are not told: both columns find them by the same factorisation. "Nothing" says how far off a flat
plate is. The relief's likeness is its correlation with the true heights, slow parts taken out of both.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np
import numpy.typing as npt

from benchmarks.plates.line import LineSample, line_sample
from benchmarks.plates.recipes import LEVELS
from floatbowl.photo import channels, normals
from floatbowl.photo.shading import as_light, flattened, slow_part

Field = npt.NDArray[np.float32]
HEIGHT: Final = 96


def main(count: int = 60, seed: int = 40_000) -> None:
    print(f"{count} lines a level, seeds from {seed}, {HEIGHT} rows high, 8 torches. Mean angle off, in degrees.")
    print(f"{'level':<10} {'nothing':>8} {'least squares':>14} {'robust':>8} {'likeness':>9} {'wrong sign':>11}")
    for name, recipe in LEVELS.items():
        lines = [line_sample(np.random.default_rng(seed + at), replace(recipe, height=HEIGHT)) for at in range(count)]
        rows = np.array([_line(sample) for sample in lines])
        nothing, plain, robust, likeness = rows.mean(axis=0)
        wrong = int((rows[:, 3] < 0).sum())
        print(f"{name:<10} {nothing:8.2f} {plain:14.2f} {robust:8.2f} {likeness:9.3f} {wrong:11d}")


def _line(sample: LineSample) -> tuple[float, float, float, float]:
    """Degrees off of a flat plate, of least squares, of the robust solution; and the relief's likeness."""
    light, plain = as_light(sample.raking), as_light(sample.plain)
    shape = channels.shape_of(plain, light)
    true = sample.height.astype(np.float32)
    likeness = np.corrcoef(channels.raised(shape.slopes).ravel(), (true - slow_part(true, 0.15)).ravel())[0, 1]
    flat = np.zeros_like(shape.slopes)
    with_least_squares = _slopes(light, normals.least_squares)
    off = [_degrees_off(slopes, sample.normals) for slopes in (flat, with_least_squares, shape.slopes)]
    return off[0], off[1], off[2], float(likeness)


def _slopes(light: Field, solve: Callable[[Field, npt.NDArray[np.float64]], Field]) -> Field:
    """Slopes as the channels work them out, but with another solver."""
    flat, slow = flattened(light)
    lights = channels.find_lights(flat, slow)
    design = np.column_stack([np.ones(len(light)), lights.sideways])
    unknown = solve(flat.reshape(len(flat), -1), design).reshape(3, *light.shape[1:])
    return np.clip(unknown[1:] / np.maximum(unknown[0], 0.08), -2, 2)


def _degrees_off(slopes: Field, true: Field) -> float:
    product = (normals.normals_from_slopes(slopes) * true).sum(axis=2)
    return float(np.degrees(np.arccos(np.clip(product, -1, 1))).mean())


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
