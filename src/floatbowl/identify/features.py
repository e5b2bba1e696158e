"""Features of every carburettor in arrays, and how likely each answer about them is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.compiled import Numbers
from floatbowl.identify.feature_rows import FeatureRows, rows_of
from floatbowl.identify.wear import Floats
from floatbowl.reference.facts import FeatureKind, Reference
from floatbowl.reference.observed import Look

#: How many carburettors' worth of the overall frequencies a maker's own frequencies are mixed with (estimate).
_OVERALL_WORTH: Final = 2.0
_MM_PER_INCH: Final = 25.4
#: How often an unlisted sibling differs in a feature from the recorded carburettor it is like (estimate).
_SIBLING_DIFFERS: Final = 0.2


@dataclass(frozen=True, slots=True)
class ChoiceColumn:
    """A feature answered by a choice. ``code`` is the choice of each hypothesis, or the number of choices plus its
    maker's number where it is not recorded; ``second`` holds other values where the sources disagree."""

    kind: FeatureKind
    choices: tuple[str, ...]
    code: Numbers
    second: tuple[tuple[int, int], ...]
    by_maker: Floats
    usual_wrong: Floats
    maker_of: Numbers
    siblings: slice


@dataclass(frozen=True, slots=True)
class Shown:
    """Chances of each answer (columns) given each code of a hypothesis (rows), and each row's own uncertainty.

    ``uncertain`` is the entropy of a row in nats, times its sum: a little of what a rule shows lies outside all
    intervals.
    """

    given: Floats
    uncertain: Floats


@dataclass(frozen=True, slots=True)
class MeasureColumn:
    """A feature that is measured. ``value`` is a number for each hypothesis, NaN where not recorded.

    ``distinct`` are the different numbers in order, ``place`` where each hypothesis has its own among them (one past
    the end: not recorded).
    """

    kind: FeatureKind
    value: Floats
    distinct: Floats
    place: Numbers
    second: tuple[tuple[int, float], ...]
    maker_of: Numbers
    siblings: slice
    low: float
    high: float
    #: Intervals into which places are divided when looks are compared, kept by the first and last place.
    divided: dict[tuple[int, int], tuple[Numbers, Shown]] = field(default_factory=dict, repr=False, compare=False)


Column = ChoiceColumn | MeasureColumn


def compile_features(
    reference: Reference, at: Mapping[str, int], maker_of: Numbers, makers: int, siblings: slice
) -> dict[str, Column]:
    """One column for each feature kind."""
    rows = rows_of(reference, at)
    owners = maker_of.astype(np.intp)
    confusions: dict[str, list[tuple[str, str, float]]] = {}
    for c in reference.confusions:
        confusions.setdefault(c.feature, []).append((c.true, c.said, c.weight))
    return {
        kind.feature: (
            _measure(kind, rows[kind.feature], owners, siblings)
            if kind.kind == "measure"
            else _choice(kind, rows[kind.feature], owners, makers, siblings, confusions.get(kind.feature, []))
        )
        for kind in reference.feature_kinds
    }


def _choice(
    kind: FeatureKind,
    rows: FeatureRows,
    maker_of: Numbers,
    makers: int,
    siblings: slice,
    confusions: list[tuple[str, str, float]],
) -> ChoiceColumn:
    choices = tuple(dict.fromkeys([*kind.choice_list, *(rows.words[i] for i in rows.distinct)]))
    code_of = {choice: i for i, choice in enumerate(choices)}
    of_word = np.zeros(len(rows.words), np.intp)
    for i in rows.distinct:
        of_word[i] = code_of[rows.words[i]]
    said = of_word[rows.value]
    code = len(choices) + maker_of
    # Of several rows the first one counts; it is written last.
    code[rows.hypothesis[::-1]] = said[::-1]
    further = rows.further()
    second = tuple(zip(rows.hypothesis[further].tolist(), said[further].tolist(), strict=True))
    size = max(1, len(choices))
    recorded = np.flatnonzero(code < len(choices))
    counts = np.bincount(maker_of[recorded] * size + code[recorded], minlength=(makers + 1) * size)
    code[siblings] = code[: siblings.start]
    usual = _usual_wrong(choices, code_of, confusions)
    by_maker = _smoothed(counts.reshape(makers + 1, size).astype(np.float64))
    return ChoiceColumn(kind, choices, code, second, by_maker, usual, maker_of, siblings)


def _smoothed(counts: Floats) -> Floats:
    overall = counts.sum(axis=0) + 0.5
    overall /= overall.sum()
    mixed: Floats = counts + _OVERALL_WORTH * overall
    return np.asarray(mixed / mixed.sum(axis=1, keepdims=True))


def _usual_wrong(choices: tuple[str, ...], code_of: Mapping[str, int], rows: list[tuple[str, str, float]]) -> Floats:
    weights = np.zeros((len(choices), len(choices)))
    for true, said, weight in rows:
        if true in code_of and said in code_of and true != said:
            weights[code_of[true], code_of[said]] += weight
    total = weights.sum(axis=1, keepdims=True)
    return np.asarray(np.divide(weights, total, out=np.zeros_like(weights), where=total > 0))


def _measure(kind: FeatureKind, rows: FeatureRows, maker_of: Numbers, siblings: slice) -> MeasureColumn:
    of_word = np.zeros(len(rows.words))
    for i in rows.distinct:
        of_word[i] = float(rows.words[i])
    said = of_word[rows.value]
    distinct = np.unique(said)
    place = np.full(maker_of.shape[0], distinct.size, np.intp)
    place[rows.hypothesis[::-1]] = np.searchsorted(distinct, said)[::-1]
    place[siblings] = place[: siblings.start]
    further = rows.further()
    second = tuple(zip(rows.hypothesis[further].tolist(), said[further].tolist(), strict=True))
    value = np.append(distinct, np.nan)[place]
    known = value[~np.isnan(value)]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    return MeasureColumn(kind, value, distinct, place, second, maker_of, siblings, low, high)


def wrong_rate(kind: FeatureKind, look: Look, assumptions: Assumptions) -> float:
    """How often this look is answered wrong, untold or with instruction, or at our own bench."""
    if look.coached or look.via == "bench":
        rate = kind.wrong_coached if kind.wrong_coached is not None else kind.wrong_untold
        default = assumptions.look_wrong_coached
    else:
        rate, default = kind.wrong_untold, assumptions.look_wrong_untold
    found = default if rate is None else rate
    return min(0.95, max(0.002, found * (assumptions.bench_care if look.via == "bench" else 1.0)))


def answer_table(column: ChoiceColumn, wrong: float, assumptions: Assumptions) -> Floats:
    """P(answer | true choice), rows true; wrong answers go to the usual ones first, the rest evenly."""
    n = len(column.choices)
    if n < 2:
        return np.ones((n, n))
    even = (1.0 - np.eye(n)) / (n - 1)
    has_usual = column.usual_wrong.sum(axis=1, keepdims=True) > 0
    usual = assumptions.usual_wrong_share * has_usual
    table: Floats = (1 - wrong) * np.eye(n) + wrong * (usual * column.usual_wrong + (1 - usual) * even)
    return table


def entropies(chances: Floats) -> Floats:
    """What each chance adds to an entropy in nats, nothing where it is nought.

    Here and not from a library, since the one that has it takes a third of a second to load at every start.

    >>> entropies(np.array([0.0, 0.5, 0.5])).sum() == np.log(2)
    np.True_
    """
    return np.asarray(-chances * np.log(chances, out=np.zeros_like(chances), where=chances > 0))


def shown(given: Floats) -> Shown:
    """A table of chances with the uncertainty of its rows."""
    return Shown(given, entropies(given).sum(axis=1) - entropies(given.sum(axis=1)))


def choice_likelihood(column: ChoiceColumn, answer: str, wrong: float, assumptions: Assumptions) -> Floats | None:
    """P(answer | hypothesis) for every hypothesis; ``None`` when the answer is none of the choices."""
    if answer not in column.choices:
        return None
    given_choice = answer_table(column, wrong, assumptions)[:, column.choices.index(answer)]
    by_maker = column.by_maker @ given_choice
    own = column.siblings.start
    of_code = np.concatenate([given_choice, by_maker])
    found = np.empty(column.code.shape[0])
    found[:own] = of_code[column.code[:own]]
    found[column.siblings.stop :] = of_code[column.code[column.siblings.stop :]]
    for hypothesis, values in _grouped(column.second).items():
        found[hypothesis] = np.mean([found[hypothesis], *(given_choice[int(v)] for v in values)])
    return _siblings_differ(found, by_maker[column.maker_of[:own]], column.siblings)


def _siblings_differ(found: Floats, of_maker: Floats, siblings: slice) -> Floats:
    """An unlisted sibling mostly has its recorded sibling's feature, else whatever its maker's have."""
    same = 1 - _SIBLING_DIFFERS
    found[siblings] = same * found[: siblings.start] + _SIBLING_DIFFERS * of_maker
    return found


def measure_likelihood(
    column: MeasureColumn, measured: float, spread: float, wrong: float, assumptions: Assumptions
) -> Floats:
    """Density of a measured value for every hypothesis: near the recorded value, or grossly wrong now and then."""
    own = column.siblings.start
    of_place = np.append(_density(column.distinct, measured, spread, wrong, column, assumptions), np.nan)
    density = of_place[column.place[:own]]
    for hypothesis, values in _grouped(column.second).items():
        others = _density(np.array(values), measured, spread, wrong, column, assumptions)
        density[hypothesis] = np.mean([density[hypothesis], *others])
    recorded = np.flatnonzero(column.place[:own] < column.distinct.size)
    owner, densities = column.maker_of[recorded], density[recorded]
    overall = float(densities.mean()) if recorded.size else 1.0
    size = int(column.maker_of.max()) + 1
    total = np.bincount(owner, densities, minlength=size) + _OVERALL_WORTH * overall
    by_maker = total / (np.bincount(owner, minlength=size) + _OVERALL_WORTH)
    # What is not recorded is as its maker's usually is; so are those of a maker of whom nothing else is known.
    found = by_maker[column.maker_of]
    of_maker = found[:own].copy()
    found[recorded] = densities
    return _siblings_differ(found, of_maker, column.siblings)


def _density(
    value: Floats, measured: float, spread: float, wrong: float, column: MeasureColumn, assumptions: Assumptions
) -> Floats:
    wide = assumptions.measure_wide * spread
    reach = max(column.high - column.low, 6 * spread)
    gross = (1 - assumptions.measure_wild) * _normal(measured - value, wide) + assumptions.measure_wild / reach
    return (1 - wrong) * _normal(measured - value, spread) + wrong * gross


def measure_spread(kind: FeatureKind, look: Look, tools: Mapping[str, tuple[float, str]]) -> float:
    """One standard deviation of a measure in the feature's unit: of the carburettors themselves and of the tool."""
    own = kind.spread if kind.spread is not None else 0.0
    tool = look.spread
    if tool is None and look.tool in tools:
        spread, unit = tools[look.tool]
        tool = spread * _in_unit(unit or kind.unit, kind.unit)
    if tool is None:
        tool = 0.0 if own > 0 else 0.02 * abs(float(look.value))
    return float(max(np.hypot(own, tool), 1e-3, 1e-4 * abs(float(look.value))))


def _in_unit(unit: str, wanted: str) -> float:
    inches = {"in", "inch", "inches", '"'}
    if (unit in inches) == (wanted in inches):
        return 1.0
    return _MM_PER_INCH if unit in inches else 1 / _MM_PER_INCH


def _normal(distance: npt.NDArray[np.float64], spread: float) -> Floats:
    found: Floats = np.exp(-0.5 * (distance / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    return found


def _grouped(second: tuple[tuple[int, float], ...] | tuple[tuple[int, int], ...]) -> dict[int, list[float]]:
    found: dict[int, list[float]] = {}
    for hypothesis, value in second:
        found.setdefault(hypothesis, []).append(float(value))
    return found
