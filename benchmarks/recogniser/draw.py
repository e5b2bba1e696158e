"""Draws lines for training into a folder until it is stopped; trainers read what is there, and it stays for the next.

    python -m benchmarks.recogniser.draw FOLDER --seed 14 --use train [--processes 60] [--lines COUNT]

Each process writes files of ``PORTION`` lines, the facts of a file after its planes, so that a file of facts is whole.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from benchmarks.plates.line import line_sample
from benchmarks.recogniser.data import Line, drawn, labels, lines_of
from benchmarks.recogniser.numbers import training_text

PORTION: Final = 120


@dataclass(frozen=True, slots=True)
class Portion:
    """Lines of one file: bytes of their planes one after another, columns, texts as columns of the alphabet, 1 where
    cast, levels."""

    planes: npt.NDArray[np.uint8]
    columns: npt.NDArray[np.int64]
    texts: npt.NDArray[np.int32]
    cast: npt.NDArray[np.float32]
    level: npt.NDArray[np.int64]


def write(folder: Path, name: str, lines: list[Line]) -> None:
    np.save(folder / f"{name}.npy", np.concatenate([line.planes.ravel() for line in lines]))
    facts: dict[str, Any] = {
        "columns": np.array([line.planes.shape[2] for line in lines], np.int64),
        "texts": np.stack([labels(line.text) for line in lines]),
        "cast": np.array([line.cast for line in lines], np.float32),
        "level": np.array([line.level for line in lines], np.int64),
    }
    np.savez(folder / f"{name}.part.npz", **facts)
    (folder / f"{name}.part.npz").rename(folder / f"{name}.facts.npz")


def read(facts: Path) -> Portion:
    """A whole file of ``folder`` by its facts."""
    planes = np.load(facts.with_name(facts.name.removesuffix(".facts.npz") + ".npy"))
    with np.load(facts) as told:
        return Portion(planes, told["columns"], told["texts"], told["cast"], told["level"])


def fill(folder: Path, seed: int, worker: int, use: str, count: int) -> None:
    """What one process draws: ``count`` lines, or without end where it is 0."""
    rng = np.random.default_rng([seed, worker])
    parent = os.getppid()
    waiting: list[Line] = []
    done = 0
    while (not count or done < count) and os.getppid() == parent:
        recipe, level, form = drawn(rng, use)
        text = None if use == "test" else training_text(rng)
        waiting += lines_of(line_sample(rng, recipe, text, form), level, rng)
        if len(waiting) >= PORTION or (count and done + len(waiting) >= count):
            write(folder, f"{seed}-{worker:03d}-{done:07d}", waiting)
            done += len(waiting)
            waiting = []


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--use", choices=("train", "test"), default="train")
    parser.add_argument("--processes", type=int, default=15)
    parser.add_argument("--lines", type=int, default=0, help="of each process; 0: until it is stopped")
    args = parser.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    context = multiprocessing.get_context("fork")
    workers = [
        context.Process(target=fill, args=(args.folder, args.seed, n, args.use, args.lines), daemon=True)
        for n in range(args.processes)
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()


if __name__ == "__main__":
    main()
