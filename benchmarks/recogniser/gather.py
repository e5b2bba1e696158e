"""What all sources see of many renders, kept in a file: fitting the mixture needs no picture twice.

    python -m benchmarks.recogniser.gather FOLDER --seed 880001 --lines 450 [--stock MODEL.onnx] [--weights FILE]

Lines as they are scored (families of the test, no photograph's perspective); every third one without torch pictures.
One file a level.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from benchmarks.plates import recipes
from benchmarks.plates.line import line_sample
from floatbowl.photo import network, stock
from floatbowl.photo.channels import Channels, line_channels
from floatbowl.photo.network import recognise
from floatbowl.photo.stock import stock_matrices

if TYPE_CHECKING:
    from floatbowl.photo.ctc import Floats

#: Logarithms under this are all alike to a lattice, and need not be stored; nor finer steps than this.
LEAST: Final = -12.0
STEP: Final = 1 / 64


@dataclass(frozen=True, slots=True)
class Case:
    """Matrices of our views and of the stock recogniser's pictures, and the truth."""

    own: tuple[Floats, ...]
    stock: dict[str, Floats]
    text: str
    level: str
    cast: bool
    seed: int
    told_cast: float


def seen(channels: Channels, text: str, level: str, cast: bool, seed: int) -> Case:
    own = recognise(channels)
    return Case(own.views, stock_matrices(channels), text, level, cast, seed, own.cast)


def line(level: str, seed: int, n: int) -> Case:
    """Line number ``n`` of a level."""
    sample = line_sample(np.random.default_rng([seed, *level.encode(), n]), recipes.LEVELS[level])
    raking = sample.raking if n % 3 else sample.raking[:0]
    return seen(line_channels(sample.plain, raking), sample.text, level, sample.form == "cast", seed)


def small(matrix: Floats) -> Any:
    return (np.round(np.maximum(matrix, LEAST) / STEP) * STEP).astype(np.float16)


def save(cases: list[Case], path: Path) -> None:
    stored: dict[str, Any] = {}
    facts = []
    for at, case in enumerate(cases):
        stored |= {f"{at} own {i}": small(view) for i, view in enumerate(case.own)}
        stored |= {f"{at} {name}": small(matrix) for name, matrix in case.stock.items()}
        facts.append([case.text, case.level, case.cast, case.seed, case.told_cast, len(case.own), list(case.stock)])
    np.savez_compressed(path, facts=json.dumps(facts), **stored)


def load(path: Path) -> list[Case]:
    stored = np.load(path)
    cases = []
    for at, (text, level, cast, seed, told, views, names) in enumerate(json.loads(str(stored["facts"]))):
        own = tuple(stored[f"{at} own {i}"].astype(np.float64) for i in range(views))
        stock = {name: stored[f"{at} {name}"].astype(np.float64) for name in names}
        cases.append(Case(own, stock, text, level, cast, seed, told))
    return cases


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seed", type=int, default=880_001)
    parser.add_argument("--lines", type=int, default=300)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--stock", help="the stock recogniser's model, where rapidocr is not installed")
    parser.add_argument("--weights", type=Path, help="the file of another network than the package's")
    args = parser.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    network.THREADS = 1  # type: ignore[misc]
    if args.stock:
        stock._model = lambda: args.stock
    if args.weights:
        other = network.opened(str(args.weights))
        network.session = lambda: other  # type: ignore[assignment]
    with multiprocessing.get_context("fork").Pool(args.processes) as pool:
        for level in recipes.LEVELS:
            jobs = [(level, args.seed, n) for n in range(args.lines)]
            save(pool.starmap(line, jobs, chunksize=4), args.out / f"{level.replace(' ', '-')}.npz")


if __name__ == "__main__":
    main()
