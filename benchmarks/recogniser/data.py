"""Renders for training: many processes draw lines into memory that the trainer shares, for as long as it runs."""

from __future__ import annotations

import mmap
import multiprocessing
import os
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from multiprocessing.context import ForkContext, ForkProcess
from queue import Empty
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from benchmarks.plates import recipes
from benchmarks.plates.line import LineSample, line_sample
from benchmarks.recogniser.numbers import training_text
from floatbowl.photo.alphabet import columns_of
from floatbowl.photo.channels import ROWS, line_channels

Bytes = npt.NDArray[np.uint8]
PLANES: Final = 6
#: Columns kept of a line; longer ones are squeezed.
WIDEST: Final = 512
LONGEST_TEXT: Final = 16
#: Different choices of torch pictures made of one render.
CHOICES: Final = 2
LEVELS: Final = tuple(recipes.LEVELS)
#: Share of the training renders drawn from the broad recipe; the rest are the levels' treatments in training fonts.
BROAD: Final = 0.5


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


def drawn(rng: np.random.Generator, use: str) -> tuple[recipes.Recipe, int]:
    """A recipe and the level it counts for: for training broad strings in training fonts, for ``test`` as scored."""
    level = int(rng.integers(len(LEVELS)))
    recipe = recipes.LEVELS[LEVELS[level]]
    if use == "test":
        return recipe, level
    if rng.random() < BROAD:
        return recipes.TRAINING, level
    broad = {"broad_text": True, "broad_lettering": True, "raking": recipes.TRAINING.raking}
    return replace(recipe, fonts=use, cap_share=recipes.TRAINING.cap_share, tilt=recipes.TRAINING.tilt, **broad), level


class Pool:
    """Memory for ``capacity`` lines that renderers fill and the trainer reads."""

    def __init__(self, capacity: int) -> None:
        self.capacity = capacity
        self._memory = mmap.mmap(-1, capacity * PLANES * ROWS * WIDEST)
        self.planes = np.frombuffer(self._memory, np.uint8).reshape(capacity, PLANES, ROWS, WIDEST)
        self._context: ForkContext = multiprocessing.get_context("fork")
        self._told: Any = self._context.Queue()
        self._workers: list[ForkProcess] = []

    def start(self, processes: int, seed: int, use: str) -> None:
        """Each process fills its own share of the places, in order, then ends."""
        share = self.capacity // processes
        for worker in range(processes):
            places = range(worker * share, (worker + 1) * share)
            args = (places, [seed, worker], use)
            self._workers.append(self._context.Process(target=self._fill, args=args, daemon=True))
            self._workers[-1].start()

    def _fill(self, places: range, seed: list[int], use: str) -> None:
        rng = np.random.default_rng(seed)
        parent = os.getppid()
        at = places.start
        while at < places.stop and os.getppid() == parent:
            recipe, level = drawn(rng, use)
            text = None if use == "test" else training_text(rng)
            for line in lines_of(line_sample(rng, recipe, text), level, rng):
                if at < places.stop:
                    self.planes[at, :, :, : line.planes.shape[2]] = line.planes
                    self._told.put((at, line.planes.shape[2], line.text, line.cast, line.level))
                    at += 1

    def arrived(self, wait_s: float = 0.0) -> list[tuple[int, int, str, int, int]]:
        """What came since the last call: place, columns, text, cast, level."""
        found = []
        until = time.monotonic() + wait_s
        while True:
            try:
                found.append(self._told.get(timeout=max(0.0, until - time.monotonic()) or 0.0005))
            except Empty:
                return found
            if len(found) >= 20_000:
                return found

    def stop(self) -> None:
        for worker in self._workers:
            worker.terminate()


def labels(text: str) -> npt.NDArray[np.int32]:
    """Columns of the text's characters, filled up with 0."""
    row = np.zeros(LONGEST_TEXT, np.int32)
    row[: len(text)] = columns_of(text)
    return row
