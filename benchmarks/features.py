"""Feature kinds of the synthetic catalogue, and how their values run in makers and families."""

from __future__ import annotations

import csv
import random
from pathlib import Path
from typing import Final

from floatbowl.reference.facts import Confusion, FeatureKind

HERE: Final = Path(__file__).parent
#: Sizes a measure may have: lowest and highest in millimetres, and the makers' step.
SIZES_MM: Final = {
    "bolt spacing": (48.0, 90.0, 1.5),
    "throat bore": (20.0, 44.0, 1.0),
    "air inlet diameter": (34.0, 66.0, 2.0),
    "whole height": (90.0, 190.0, 5.0),
    "joint distance": (30.0, 80.0, 2.5),
}


def feature_kinds() -> tuple[FeatureKind, ...]:
    """The kinds of ``feature_kinds.csv`` (rates: estimates by the reliabilities people in the trade give)."""

    def number(text: str) -> float | None:
        return float(text) if text else None

    with (HERE / "feature_kinds.csv").open(encoding="utf-8", newline="") as lines:
        return tuple(
            FeatureKind(
                feature=row["feature"],
                question=f"What about the {row['feature']}?",
                kind=row["kind"],
                choices=row["choices"],
                unit=row["unit"],
                wrong_untold=number(row["wrong_untold"]),
                wrong_coached=number(row["wrong_coached"]),
                spread=number(row["spread"]),
                minutes=number(row["minutes"]),
                risk=int(row["risk"]),
                part=row["part"],
            )
            for row in csv.DictReader(lines)
        )


def confusions() -> tuple[Confusion, ...]:
    """The usual wrong answers of ``feature_confusions.csv``."""
    with (HERE / "feature_confusions.csv").open(encoding="utf-8", newline="") as lines:
        return tuple(Confusion(**{**row, "weight": float(row["weight"])}) for row in csv.DictReader(lines))  # type: ignore[arg-type]


def any_value(kind: FeatureKind, rng: random.Random) -> str:
    """A value of this kind: early choices are commoner; sizes step as makers' sizes do."""
    if kind.kind == "choice":
        choices = kind.choice_list
        return rng.choices(choices, weights=[1.0 / (i + 1) for i in range(len(choices))])[0]
    low, high, step = SIZES_MM[kind.feature]
    return f"{low + step * rng.randint(0, int((high - low) / step)):g}"


def maker_values(kinds: tuple[FeatureKind, ...], rng: random.Random) -> dict[str, str]:
    """A maker's usual values."""
    return {kind.feature: any_value(kind, rng) for kind in kinds}


def vary(
    usual: dict[str, str], kinds: tuple[FeatureKind, ...], rng: random.Random, keep: float = 0.93
) -> dict[str, str]:
    """The usual values, each kept with this chance and otherwise drawn afresh."""
    return {k.feature: usual[k.feature] if rng.random() < keep else any_value(k, rng) for k in kinds}
