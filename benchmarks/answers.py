"""How looks and measures go wrong: the usual wrong answer, one bad photograph behind several answers, a rule's
rounding, and the wrong thing measured. For the simulator alone; rates are the catalogue's, each off by a factor the
catalogue does not know.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from floatbowl.reference.facts import Confusion, FeatureKind
from floatbowl.reference.observed import Look

INCH_32_MM: Final = 25.4 / 32
UNSURE: Final = 0.08
USUAL_WRONG: Final = 0.8  # part of the wrong answers that follow the listed confusions
SAME_PHOTO_SPOILS: Final = 0.5
TOOL_SPREAD_MM: Final = {"rule": 0.4, "calliper": 0.1, "string": 1.5}


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing to be looked at: its kind, what is true, and how the question is put."""

    kind: FeatureKind
    true: str
    via: str
    coached: bool
    group: str = ""


def wrong_rate(kind: FeatureKind, coached: bool, factor: float, own: float) -> float:
    """Chance of a wrong answer: the catalogue's rate times the feature's own hidden factor, at most two in three."""
    rate = (kind.wrong_coached if coached else kind.wrong_untold) or 0.1
    return min(0.66, rate * factor * own)


def answer(
    asked: Asked,
    confusions: Mapping[tuple[str, str], list[Confusion]],
    factor: float,
    own: float,
    spoilt: bool,
    rng: random.Random,
) -> tuple[Look, bool]:
    """The answer as given, and whether it is wrong. ``spoilt``: it comes from a photograph that misled already."""
    kind = asked.kind
    wrong = rng.random() < wrong_rate(kind, asked.coached, factor, own) or (spoilt and rng.random() < SAME_PHOTO_SPOILS)
    if rng.random() < UNSURE:
        value: str | float = rng.choice(("unsure", "cannot see"))
        return Look(kind.feature, value, via=asked.via, coached=asked.coached, group=asked.group), False
    if kind.kind == "measure":
        return measured(asked, wrong, factor, rng), wrong
    value = wrong_choice(kind, asked.true, confusions, rng) if wrong else asked.true
    return Look(kind.feature, value, via=asked.via, coached=asked.coached, group=asked.group), wrong


def wrong_choice(
    kind: FeatureKind, true: str, confusions: Mapping[tuple[str, str], list[Confusion]], rng: random.Random
) -> str:
    """The usual wrong answer, now and then any other."""
    usual = confusions.get((kind.feature, true), [])
    if usual and rng.random() < USUAL_WRONG:
        return rng.choices([c.said for c in usual], weights=[c.weight for c in usual])[0]
    return rng.choice([choice for choice in kind.choice_list if choice != true] or [true])


def measured(asked: Asked, wrong: bool, factor: float, rng: random.Random) -> Look:
    """A size in millimetres as read off: to a millimetre or a thirty-second of an inch by rule, finer by calliper."""
    kind = asked.kind
    tool = rng.choices(("rule", "calliper", "string"), weights=(60, 30, 10))[0]
    size = float(asked.true) + rng.gauss(0.0, kind.spread or 0.3) * 0.6
    if wrong:
        size = size * rng.uniform(0.75, 0.95) if rng.random() < 0.5 else size + rng.uniform(3.0, 12.0)
    size += rng.gauss(0.0, TOOL_SPREAD_MM[tool] * min(factor, 2.0))
    step = 0.05 if tool == "calliper" else rng.choice((1.0, INCH_32_MM)) if tool == "rule" else 1.0
    value = round(round(size / step) * step, 2)
    return Look(kind.feature, value, tool=tool, via=asked.via, coached=asked.coached, group=asked.group)
