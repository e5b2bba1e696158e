"""Fits how the sources of a lattice are weighed and how far a text is to be trusted, on renders that nobody scores.

    python -m benchmarks.recogniser.fusion CASES.npz ...   (gathered by benchmarks.recogniser.gather)

Writes ``src/floatbowl/photo/data/fusion.json`` with the seeds and the figures. The weights are those of a conditional
logit: they maximise the probability of the true text among all texts that the search finds, and thereby carry the
temperature. The confidence is a logistic curve over the signs of ``floatbowl.photo.trust``; its error is told on folds
that it was not fitted on.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
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
FIRST: Final = Mixture(1.0, dict.fromkeys(PICTURES, 0.15), 0.0, 1.0)
#: No fit may lean on the habits of marks more than this: the numbers of the renders hold to them without exception, and
#: real ones do not (estimates).
MISTAKEN, UNDIVIDED = -2.5, -1.0
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


def fitted_mixture(cases: list[Case]) -> tuple[Mixture, float]:
    """The mixture, and the mean log-probability it gives the true text."""
    terms = [terms_of(case) for case in cases]

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
    own, plain, equalised, relief, length, mistaken, undivided = found.x.tolist()
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


def main(paths: list[str]) -> None:
    cases = [case for path in paths for case in load(Path(path))]
    mixtures: dict[str, Mixture] = {}
    figures: dict[str, Any] = {"cases": len(cases), "seeds": sorted({case.seed for case in cases})}
    for name in ("plain", "relief"):
        some = [case for case in cases if ("relief+" in case.stock) == (name == "relief")]
        mixtures[name], figures[f"mean log-probability, {name}"] = fitted_mixture(some)
    made = [lattice.mixed(c.own, c.stock, mixtures["relief" if "relief+" in c.stock else "plain"]) for c in cases]
    right = np.array([same(one.text, case.text) for one, case in zip(made, cases, strict=True)])
    signs = np.stack([trust.signs(one) for one in made])
    figures |= judged(cases, made, signs, right)
    curve = dict(zip(trust.SIGNS, logistic(signs, right).round(4).tolist(), strict=True))
    stored = {"mixtures": {n: vars_of(m) for n, m in mixtures.items()}, "confidence": curve, "figures": figures}
    TARGET.write_text(json.dumps(stored, indent=1) + "\n", encoding="utf-8")
    print(json.dumps(stored, indent=1))


def same(text: str, truth: str) -> bool:
    return text == truth


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
    main(sys.argv[1:])
