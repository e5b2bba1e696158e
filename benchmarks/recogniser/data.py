"""Lines for training and for choosing between weights: what is rendered, and how a line is stored."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from benchmarks.plates import recipes
from benchmarks.plates.line import LineSample
from floatbowl.photo.alphabet import columns_of
from floatbowl.photo.channels import line_channels

Bytes = npt.NDArray[np.uint8]
PLANES: Final = 6
#: Columns kept of a line; longer ones are squeezed.
WIDEST: Final = 512
LONGEST_TEXT: Final = 16
#: Different choices of torch pictures made of one render.
CHOICES: Final = 2
LEVELS: Final = tuple(recipes.LEVELS)
#: Share of the training renders drawn from the broad recipe; the rest are the levels' treatments in training fonts.
BROAD: Final = 0.4
#: Shares of the levels among those, and of punched marks among all training renders: what is hard to read more often.
HARD: Final = (0.14, 0.46, 0.4)
PUNCHED: Final = 0.62
#: How far off the torch photographs lie in training, in capital heights. Alignment of whole sets was off by a median of
#: 0.025 on 24 very worn plates (seed 770001).
MISALIGNED: Final = (0.0, 0.045)


@dataclass(frozen=True, slots=True)
class Line:
    """One line as it is stored: bytes of the planes ``[6, 48, W]``, its text, whether it is cast (1), its level."""

    planes: Bytes
    text: str
    cast: int
    level: int


def as_bytes(planes: npt.NDArray[np.floating[Any]]) -> Bytes:
    """Planes as bytes: 0..1 as 0..255, the signed ones -1..1 as 1..255 with 0 at 128; squeezed to ``WIDEST``."""
    scaled = planes * 255.0
    scaled[2:5] = 128.0 + 127.0 * planes[2:5]
    if planes.shape[2] > WIDEST:
        at = np.linspace(0, planes.shape[2] - 1, WIDEST).round().astype(int)
        scaled = scaled[:, :, at]
    return np.clip(scaled + 0.5, 0, 255).astype(np.uint8)


def lines_of(sample: LineSample, level: int, rng: np.random.Generator) -> Iterator[Line]:
    """A render with all its torch pictures, and with a few of them (often none) under another crop."""
    count = len(sample.raking)
    for choice in range(CHOICES):
        kept = np.arange(count)
        if choice:
            kept = rng.permutation(count)[: rng.integers(0, count + 1)]
        rows, columns = _crop(sample.plain.shape, rng)
        raking = sample.raking[kept][:, rows, columns] if len(kept) else np.zeros((0, 1, 1), np.float32)
        made = line_channels(sample.plain[rows, columns], raking)
        yield Line(as_bytes(made.planes), sample.text, int(sample.form == "cast"), level)


def _crop(shape: tuple[int, ...], rng: np.random.Generator) -> tuple[slice, slice]:
    """Up to a twentieth of the height less on each side: people mark a line as they see it."""
    height, width = shape
    top, bottom, left, right = rng.uniform(0, 0.05, 4) * height
    return slice(round(top), height - round(bottom)), slice(round(left), width - round(right))


def drawn(rng: np.random.Generator, use: str) -> tuple[recipes.Recipe, int, str | None]:
    """A recipe, the level it counts for, and the form of the mark (None: either, as often).

    For training broad strings in training fonts, the hard ones more often; for ``test`` as scored.
    """
    if use == "test":
        level = int(rng.integers(len(LEVELS)))
        return recipes.LEVELS[LEVELS[level]], level, None
    level = int(rng.choice(len(LEVELS), p=HARD))
    form = "stamped" if rng.random() < PUNCHED else "cast"
    broad = recipes.TRAINING
    if rng.random() < BROAD:
        return replace(broad, misaligned=MISALIGNED), level, form
    recipe = replace(
        recipes.LEVELS[LEVELS[level]], fonts=use, broad_text=True, broad_lettering=True, misaligned=MISALIGNED,
        raking=broad.raking, cap_share=broad.cap_share, tilt=broad.tilt,
    )  # fmt: skip
    return recipe, level, form


def labels(text: str) -> npt.NDArray[np.int32]:
    """Columns of the text's characters, filled up with 0."""
    row = np.zeros(LONGEST_TEXT, np.int32)
    row[: len(text)] = columns_of(text)
    return row
