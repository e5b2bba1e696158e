"""How badly a mark is treated: ranges of every amount, for training (wide) and for three levels that are scored.

Lengths are in capital heights ("caps"), so one recipe serves every resolution. The three levels differ only in amounts
of wear, dirt and blur; they were set so that a stock recogniser reads about 100, 68 and 15 % of their plain
photographs exactly. ``benchmarks.plates.calibrate`` with the last amounts: easy 98.5 % and worn 71.0 % (200 plates,
seed 7 each), very worn 15.5 and 17.0 % (200 each, seeds 7 and 8; last changed after looking at seed 7).
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Amounts:
    """What was done to one mark. Caps for lengths, shares 0..1 otherwise."""

    depth: float
    loss: float
    uneven: float
    grinding: float
    peening: float
    corrosion: float
    roughness: float
    scratches: float
    dirt: float
    film: float
    paint: float
    blur: float
    motion: float
    noise: float
    compression: float
    misaligned: float
    jitter: float
    glare: float
    floor: float
    #: Pixels that a capital's height has in the camera.
    pixels: float


@dataclass(frozen=True, slots=True)
class Recipe:
    """Ranges from mildest to worst for each of ``Amounts``, and what else varies.

    ``together`` is how far one severity drives all amounts of a sample (0: each drawn apart).
    """

    name: str
    fonts: str
    depth: Range = (0.09, 0.04)
    loss: Range = (0.0, 0.2)
    uneven: Range = (0.1, 0.4)
    grinding: Range = (0.0, 0.2)
    peening: Range = (0.0, 0.02)
    corrosion: Range = (0.0, 0.2)
    roughness: Range = (0.1, 0.3)
    scratches: Range = (0.0, 0.3)
    dirt: Range = (0.0, 0.3)
    film: Range = (0.05, 0.2)
    paint: Range = (0.1, 0.6)
    blur: Range = (0.01, 0.025)
    motion: Range = (0.0, 0.02)
    noise: Range = (0.004, 0.012)
    compression: Range = (0.1, 0.4)
    misaligned: Range = (0.0, 0.012)
    jitter: Range = (0.3, 1.0)
    glare: Range = (0.0, 0.4)
    floor: Range = (0.02, 0.08)
    pixels: Range = (70.0, 40.0)
    together: float = 0.5
    #: Above 1, mild treatments are commoner than severe ones.
    mildness: float = 1.0
    painted: float = 0.15
    broad_text: bool = False
    broad_lettering: bool = False
    raking: tuple[int, int] = (8, 8)
    #: Height of a line sample in pixels and the share of it that capitals take.
    height: int = 96
    cap_share: Range = (0.66, 0.8)
    tilt: float = 0.01


def drawn(rng: np.random.Generator, recipe: Recipe) -> Amounts:
    """One treatment at random from a recipe."""
    severity = rng.random() ** recipe.mildness
    values = {}
    for field in fields(Amounts):
        low, high = getattr(recipe, field.name)
        share = recipe.together * severity + (1 - recipe.together) * rng.random()
        values[field.name] = float(low + (high - low) * share)
    if rng.random() >= recipe.painted:
        values["paint"] = 0.0
    return Amounts(**values)


TRAINING: Final = Recipe(
    name="training",
    fonts="train",
    depth=(0.12, 0.02),
    loss=(-0.1, 0.95),
    uneven=(0.05, 0.8),
    grinding=(-0.2, 1.0),
    peening=(0.0, 0.06),
    corrosion=(-0.3, 1.0),
    roughness=(0.02, 1.0),
    scratches=(-0.2, 1.0),
    dirt=(-0.2, 1.0),
    film=(0.0, 0.6),
    paint=(0.0, 1.0),
    blur=(0.004, 0.075),
    motion=(-0.03, 0.09),
    noise=(0.002, 0.05),
    compression=(0.0, 1.0),
    misaligned=(0.0, 0.035),
    jitter=(0.0, 1.8),
    glare=(-0.2, 1.0),
    floor=(0.01, 0.2),
    pixels=(100.0, 14.0),
    together=0.6,
    mildness=1.4,
    painted=0.25,
    height=72,
    broad_text=True,
    broad_lettering=True,
    raking=(4, 8),
    cap_share=(0.55, 0.88),
    tilt=0.025,
)
EASY: Final = Recipe(
    name="easy",
    fonts="test",
    depth=(0.12, 0.075),
    loss=(0.0, 0.05),
    uneven=(0.05, 0.15),
    grinding=(0.0, 0.1),
    corrosion=(0.0, 0.1),
    roughness=(0.1, 0.3),
    scratches=(0.0, 0.15),
    dirt=(0.1, 0.25),
    film=(0.05, 0.12),
    blur=(0.006, 0.015),
    painted=0.0,
)
WORN: Final = replace(
    EASY,
    name="worn",
    depth=(0.1, 0.05),
    loss=(0.1, 0.5),
    uneven=(0.1, 0.4),
    grinding=(0.0, 0.3),
    corrosion=(0.0, 0.4),
    roughness=(0.1, 0.5),
    scratches=(0.0, 0.4),
    dirt=(0.1, 0.6),
    film=(0.05, 0.25),
    blur=(0.012, 0.035),
    painted=0.1,
)
VERY_WORN: Final = replace(
    WORN,
    name="very worn",
    loss=(0.4, 0.85),
    grinding=(0.1, 0.5),
    corrosion=(0.2, 0.8),
    dirt=(0.25, 0.95),
    blur=(0.02, 0.055),
    painted=0.15,
)
LEVELS: Final = {recipe.name: recipe for recipe in (EASY, WORN, VERY_WORN)}
