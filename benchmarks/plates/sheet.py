"""Contact sheets of renders, to look at: ``python -m benchmarks.plates.sheet OUT.png [training|easy|worn|...]``."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.plates.line import LineSample, line_sample
from benchmarks.plates.recipes import LEVELS, TRAINING, Recipe


def strip(sample: LineSample, width: int, pictures: int = 4) -> Image.Image:
    """One sample's plain picture, some raking ones and its true normals, one below the other."""
    normals = (sample.normals * 0.5 + 0.5)[..., :3]
    grey = [sample.plain, *sample.raking[:: max(1, len(sample.raking) // max(1, pictures - 1))][: pictures - 1]]
    planes = [np.repeat(plane[..., None], 3, axis=2) for plane in grey] + [normals]
    stack = (np.concatenate(planes)[:, :width] * 255).astype(np.uint8)
    sheet = Image.new("RGB", (width, stack.shape[0] + 4), (60, 0, 90))
    sheet.paste(Image.fromarray(stack), (0, 0))
    return sheet


def contact_sheet(recipe: Recipe, count: int, seed: int, width: int = 560, columns: int = 3) -> Image.Image:
    """``count`` samples of a recipe."""
    rng = np.random.default_rng(seed)
    strips = [strip(line_sample(rng, recipe), width) for _ in range(count)]
    tall = strips[0].height
    sheet = Image.new("RGB", (columns * (width + 6), -(-count // columns) * tall))
    for place, one in enumerate(strips):
        sheet.paste(one, ((place % columns) * (width + 6), place // columns * tall))
    return sheet


def main(out: str, name: str = "training") -> None:
    recipe = {**LEVELS, TRAINING.name: TRAINING}[name]
    start = time.perf_counter()
    contact_sheet(recipe, 9, seed=int(start * 1e6) % 2**31).save(Path(out))
    print(f"{(time.perf_counter() - start) / 9 * 1000:.0f} ms a sample")


if __name__ == "__main__":
    main(*sys.argv[1:])
