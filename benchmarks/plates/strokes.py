"""The mark as height: strokes sunk by steel punches with a raised lip, or strokes raised by a casting pattern."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from benchmarks.plates.glyphs import Lettering, Placed
from benchmarks.plates.recipes import Amounts, Recipe

Field = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Tooling:
    """The section of a stroke: its foot, how much bolder than the font, its lip; lengths in capital heights."""

    form: str
    depth: float
    ramp: float
    bolder: float
    lip: float
    lip_width: float
    uneven: float
    lean: float


def tooling(rng: np.random.Generator, form: str, amounts: Amounts, wide: bool) -> Tooling:
    """Punches or a pattern at random, as deep as the amounts say."""
    spread = 1.0 if wide else 0.6
    return Tooling(
        form=form,
        depth=amounts.depth * (1.0 if form == "stamped" else 1.15),
        ramp=float(rng.uniform(0.04, 0.08) + spread * rng.uniform(0, 0.05)),
        bolder=float(rng.normal(0.0, 0.014 * spread)),
        lip=float(rng.uniform(0.05, 0.35)) if form == "stamped" else 0.0,
        lip_width=float(rng.uniform(0.03, 0.09)),
        uneven=float(rng.uniform(0.05, 0.3) * amounts.jitter) if form == "stamped" else 0.04,
        lean=float(rng.uniform(0.1, 0.5) * amounts.jitter) if form == "stamped" else 0.05,
    )


def lettering(rng: np.random.Generator, font: str, form: str, amounts: Amounts, recipe: Recipe) -> Lettering:
    """How the maker set the line: hand punches stand unevenly, patterns and dies hardly."""
    broad = recipe.broad_lettering
    hand = amounts.jitter * (1.0 if form == "stamped" and rng.random() < 0.8 else 0.25)
    bent = broad and rng.random() < 0.2
    return Lettering(
        font=font,
        width=float(rng.uniform(0.72, 1.3) if broad else rng.uniform(0.9, 1.1)),
        slant=float(rng.normal(0, 0.06 if broad else 0.02)),
        spacing=float(rng.uniform(0.06, 0.42) if broad else rng.uniform(0.12, 0.3)),
        monospaced=bool(rng.random() < 0.3),
        shift=0.02 * hand,
        turn=0.03 * hand,
        size=0.015 * hand,
        arch=float(rng.normal(0, 0.006)) if bent else 0.0,
    )


def relief(
    shape: tuple[int, int], marks: Iterable[Placed], tool: Tooling, cap: float, rng: np.random.Generator
) -> Field:
    """Heights in pixels over the untouched face (0): below it for punches, above it for a cast mark."""
    height = np.zeros(shape, dtype=np.float32)
    for mark in marks:
        window, piece = _overlap(shape, mark)
        if 0 not in height[window].shape:
            height[window] += cap * (_sunk(piece, tool, rng) if tool.form == "stamped" else _raised(piece, tool, rng))
    return height


def _overlap(shape: tuple[int, int], mark: Placed) -> tuple[tuple[slice, slice], Field]:
    """The part of the plate that a character's window covers, and the window cut to it."""
    top, left = mark.at
    rows = _within(top, mark.distance.shape[0], shape[0])
    columns = _within(left, mark.distance.shape[1], shape[1])
    piece = mark.distance[rows.start - top : rows.stop - top, columns.start - left : columns.stop - left]
    return (rows, columns), piece


def _within(start: int, length: int, limit: int) -> slice:
    first = min(max(0, start), limit)
    return slice(first, max(first, min(limit, start + length)))


def _sunk(distance: Field, tool: Tooling, rng: np.random.Generator) -> Field:
    """A blow of the hammer: V-shaped flanks, deeper on the side it leaned to, metal thrown up around."""
    inside = distance + tool.bolder
    blow = tool.depth * max(0.25, 1 + float(rng.normal(0, tool.uneven)))
    lean = rng.normal(0, tool.lean / 2, 2)
    rows, columns = (np.linspace(-1, 1, n, dtype=np.float32) for n in distance.shape)
    leaning = np.maximum(0.15, 1 + lean[0] * rows[:, None] + lean[1] * columns[None, :]).astype(np.float32)
    section = np.clip(inside / tool.ramp, 0, 1)
    lip = np.exp(-((np.minimum(inside + 0.4 * tool.lip_width, 0) / tool.lip_width) ** 2)) * (inside < 0)
    lip *= 1 - np.exp(np.minimum(0, inside) / (0.4 * tool.lip_width))
    return np.asarray(blow * leaning * (tool.lip * lip - section), dtype=np.float32)


def _raised(distance: Field, tool: Tooling, rng: np.random.Generator) -> Field:
    """A rounded stroke with draft and a filleted foot."""
    inside = distance + tool.bolder + 0.25 * tool.ramp
    tall = tool.depth * max(0.5, 1 + float(rng.normal(0, tool.uneven)))
    section = np.clip(inside / (1.35 * tool.ramp), 0, 1)
    rounded = section * section * (3 - 2 * section) * 0.5 + (1 - (1 - section) ** 2) * 0.5
    return np.asarray(tall * rounded, dtype=np.float32)
