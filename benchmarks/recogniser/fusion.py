"""Fits how the sources of a lattice are weighed and how far a text is to be trusted, on renders that nobody scores.

    python -m benchmarks.recogniser.fusion FOLDER [--judge FOLDER] [--views 0 1] [--out FILE] [--processes 2]

FOLDER holds what benchmarks.recogniser.gather wrote. Writes ``src/floatbowl/photo/data/fusion.json`` with the seeds and
the figures; ``--judge`` prints what the fit reads exactly among other cases, by which views are chosen.

The weights are those of a conditional logit: they maximise the probability of the true text among all texts that the
search finds, and thereby carry the temperature. The confidence is a logistic curve over the signs of
``floatbowl.photo.trust``; its error is told on folds that it was not fitted on.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from scipy import optimize

from benchmarks.plates.texts import normalised
from benchmarks.recogniser.gather import Case, load
from floatbowl.photo import lattice, trust
from floatbowl.photo.alphabet import unusual
from floatbowl.photo.lattice import CharacterLattice, Mixture

Floats = npt.NDArray[np.float64]
TARGET: Final = Path(__file__).parents[2] / "src" / "floatbowl" / "photo" / "data" / "fusion.json"
PICTURES: Final = ("plain", "equalised", "relief")
#: What is weighed, in order of the weights.
MIXED: Final = ("own", *PICTURES, "length", "mistaken", "undivided")
FIRST: Final = Mixture(1.0, dict.fromkeys(PICTURES, 0.15), 0.0, 1.0)
#: No fit may lean on the habits of marks more than this: the numbers of the renders hold to them without exception, and
#: real ones do not (estimates).
MISTAKEN, UNDIVIDED = -2.5, -1.0
#: Without torch photographs the stock recogniser's plain picture counts for at least this much of ours: on plates drawn
#: by another program (``tests/photo/small_plates.py``) ours errs more than on the renders it learned from.
LEAST_STOCK: Final = {"plain": 0.75, "relief": 0.0}
#: Added to every probability of the true text, so that plates nobody can read do not rule the fit.
HOPELESS: Final = 0.003
#: Texts of a case that take part in the fit.
MOST: Final = 300
FOLDS: Final = 5
BINS: Final = 10


@dataclass(frozen=True, slots=True)
class Terms:
    """What each text of a case scores under each source: our views' mean, the pictures, its length."""

    values: Floats
    truth: int


def terms_of(case: Case) -> Terms:
    sources = lattice.sources_of(case.own, case.stock, FIRST)
    found = lattice.searched(sources, FIRST)
    kept = sorted(found, key=lambda text: -found[text])[:MOST]
    if case.text not in kept:
        kept.append(case.text)
    by_name = {source.name: source.log_sums(kept) for source in sources}
    own = np.mean([value for name, value in by_name.items() if name.startswith("own")], axis=0)
    nothing = np.zeros(len(kept))
    habits = np.array([unusual(text) for text in kept], np.float64)
    columns = [own, *(by_name.get(name, nothing) for name in PICTURES), [len(text) for text in kept], *habits.T]
    return Terms(np.stack(columns, axis=1).astype(np.float64), kept.index(case.text))


def fitted_mixture(terms: list[Terms], least_stock: float) -> tuple[Mixture, float]:
    """The mixture, and the mean log-probability it gives the true text.

    ``least_stock``: what the stock recogniser's plain picture counts for at least, as a share of ours.
    """
    carried = np.eye(len(MIXED))
    carried[MIXED.index("plain"), 0] = least_stock
    terms = [Terms(each.values @ carried, each.truth) for each in terms]

    def loss(weights: Floats) -> tuple[float, Floats]:
        total, slope = 0.0, np.zeros_like(weights)
        for each in terms:
            scores = each.values @ weights
            scores -= scores.max()
            chances = np.exp(scores)
            chances /= chances.sum()
            total -= np.log(chances[each.truth] + HOPELESS)
            share = chances[each.truth] / (chances[each.truth] + HOPELESS)
            slope -= share * (each.values[each.truth] - chances @ each.values)
        ridge = 1e-3 * len(terms)
        return total / len(terms) + ridge / len(terms) * float(weights[1:] @ weights[1:]), slope / len(terms)

    start = np.array([0.5, 0.05, 0.05, 0.05, 0.0, 0.0, 0.0])
    bounds = [(0.05, 2.0), *[(0.0, 1.0)] * 3, (-1.0, 2.0), (MISTAKEN, 0.0), (UNDIVIDED, 0.0)]
    found = optimize.minimize(loss, start, jac=True, bounds=bounds, method="L-BFGS-B")
    own, plain, equalised, relief, length, mistaken, undivided = (carried @ found.x).tolist()
    stock = {name: round(value / own, 4) for name, value in zip(PICTURES, (plain, equalised, relief), strict=True)}
    habits = (round(mistaken, 4), round(undivided, 4))
    return Mixture(1.0, stock, round(length / own, 4), round(own, 4), habits), -float(found.fun)


def logistic(signs: Floats, right: npt.NDArray[np.bool_]) -> Floats:
    """Coefficients of a logistic curve, lightly held to 0."""

    def loss(weights: Floats) -> tuple[float, Floats]:
        z = signs @ weights
        chance = 1 / (1 + np.exp(-z))
        total = float(np.sum(np.logaddexp(0, z) - right * z)) + 0.05 * float(weights @ weights)
        return total, signs.T @ (chance - right) + 0.1 * weights

    return np.asarray(optimize.minimize(loss, np.zeros(signs.shape[1]), jac=True, method="L-BFGS-B").x)


def calibration_error(chances: Floats, right: npt.NDArray[np.bool_]) -> float:
    """Expected calibration error in ten equal bins of confidence."""
    bins = np.minimum((chances * BINS).astype(int), BINS - 1)
    parts = [abs(chances[bins == b].mean() - right[bins == b].mean()) * (bins == b).sum() for b in set(bins.tolist())]
    return float(sum(parts) / len(chances))


def shape_of(case: Case) -> str:
    """Which mixture is for a case."""
    return "relief" if "relief+" in case.stock else "plain"


def lattices(cases: list[Case], mixtures: dict[str, Mixture], spread: Spread) -> list[CharacterLattice]:
    return spread(lattice.mixed, [(case.own, case.stock, mixtures[shape_of(case)]) for case in cases])


def with_views(folder: Path, views: Sequence[int] | None) -> list[Case]:
    """The cases of a folder, with these of our views."""
    cases = [case for path in sorted(folder.glob("*.npz")) for case in load(path)]
    return [replace(case, own=tuple(case.own[at] for at in views)) for case in cases] if views else cases


def fit(cases: list[Case], judge: list[Case], spread: Spread) -> dict[str, Any]:
    """What is stored: mixtures, the curve of the confidence, figures; printed as well, what ``judge`` gives."""
    mixtures: dict[str, Mixture] = {}
    figures: dict[str, Any] = {"cases": len(cases), "seeds": sorted({case.seed for case in cases})}
    terms = spread(terms_of, [(case,) for case in cases])
    for name in ("plain", "relief"):
        some = [each for each, case in zip(terms, cases, strict=True) if shape_of(case) == name]
        mixtures[name], figures[f"mean log-probability, {name}"] = fitted_mixture(some, LEAST_STOCK[name])
    made = lattices(cases, mixtures, spread)
    right = np.array([one.text == case.text for one, case in zip(made, cases, strict=True)])
    signs = np.stack([trust.signs(one) for one in made])
    figures |= judged(cases, made, signs, right)
    curve = dict(zip(trust.SIGNS, logistic(signs, right).round(4).tolist(), strict=True))
    if judge:
        read = lattices(judge, mixtures, spread)
        print("judged:", json.dumps(shares(judge, read)), wrong_ones(judge, read))
    return {"mixtures": {n: vars_of(m) for n, m in mixtures.items()}, "confidence": curve, "figures": figures}


def shares(cases: list[Case], made: list[CharacterLattice]) -> dict[str, float]:
    """Share read exactly in letters and digits, by level, with and without torch, by form."""
    found: dict[str, list[bool]] = {}
    for case, one in zip(cases, made, strict=True):
        right = normalised(one.text) == normalised(case.text)
        form = "cast" if case.cast else "stamped"
        for name in (case.level, f"{case.level}, {shape_of(case)}", f"{case.level}, {form}"):
            found.setdefault(name, []).append(right)
        found.setdefault("strict", []).append(one.text == case.text)
    return {name: round(float(np.mean(each)), 4) for name, each in found.items()}


def wrong_ones(cases: list[Case], made: list[CharacterLattice]) -> list[str]:
    """The easy ones that are not read."""
    pairs = [(case, one.text) for case, one in zip(cases, made, strict=True) if case.level == "easy"]
    return [f"{case.text} as {read} ({shape_of(case)})" for case, read in pairs if read != case.text]


Spread = Callable[[Callable[..., Any], list[tuple[Any, ...]]], list[Any]]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--judge", type=Path)
    parser.add_argument("--views", type=int, nargs="+", help="which of our views take part (default: all)")
    parser.add_argument("--out", type=Path, default=TARGET)
    parser.add_argument("--processes", type=int, default=2)
    args = parser.parse_args()
    cases = with_views(args.folder, args.views)
    judge = with_views(args.judge, args.views) if args.judge else []
    terms_of(cases[0])  # What is compiled here need not be in every process.
    with multiprocessing.get_context("fork").Pool(args.processes) as pool:
        stored = fit(cases, judge, lambda work, jobs: pool.starmap(work, jobs, chunksize=4))
    args.out.write_text(json.dumps(stored, indent=1) + "\n", encoding="utf-8")
    print(json.dumps(stored))


def judged(
    cases: list[Case], made: list[CharacterLattice], signs: Floats, right: npt.NDArray[np.bool_]
) -> dict[str, Any]:
    """Shares read exactly, and the calibration on folds left out."""
    chances = np.zeros(len(cases))
    fold = np.random.default_rng(1).integers(FOLDS, size=len(cases))
    for at in range(FOLDS):
        chances[fold == at] = 1 / (1 + np.exp(-signs[fold == at] @ logistic(signs[fold != at], right[fold != at])))
    found: dict[str, Any] = {}
    for level in dict.fromkeys(case.level for case in cases):
        for torches in (True, False):
            some = [i for i, c in enumerate(cases) if c.level == level and ("relief+" in c.stock) == torches]
            if some:
                exact = float(np.mean(right[some]))
                loose = np.mean([normalised(made[i].text) == normalised(cases[i].text) for i in some])
                told = {"cases": len(some), "strict": round(exact, 4), "exact": round(float(loose), 4)}
                found[f"{level}, {'with' if torches else 'without'} torch"] = told
    sure = chances > 0.95
    found["calibration error, left-out folds"] = round(calibration_error(chances, right), 4)
    found["above 0.95"] = {"cases": int(sure.sum()), "right": round(float(right[sure].mean()), 4)}
    return found


def vars_of(mixture: Mixture) -> dict[str, Any]:
    return {"own": mixture.own, "stock": mixture.stock, "length": mixture.length, "sharpness": mixture.sharpness,
            "unusual": list(mixture.unusual)}  # fmt: skip


if __name__ == "__main__":
    main()
