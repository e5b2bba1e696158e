"""What each answer to each further look would do to the question which kit: joint chances of answers and kit groups."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import erfc, sqrt
from typing import Final

import numpy as np

from floatbowl.identify import gains
from floatbowl.identify.compiled import Ints, Numbers
from floatbowl.identify.features import ChoiceColumn, MeasureColumn, Shown, entropies, shown
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Standing, once

#: Candidates beyond these are left out when looks are compared; they hold next to nothing.
_MOST_CANDIDATES: Final = 4000
_LEAST_SHARE: Final = 1e-6
_MOST_BINS: Final = 48
#: One standard deviation of a measure whose tool is not known yet, in millimetres: a steel rule (estimate).
_RULE_MM: Final = 0.5
#: Divisions of a column into intervals that are kept.
_MOST_DIVIDED: Final = 500
_NEXT_TO_NEVER: Final = 1e-18
_NATS_PER_BIT: Final = float(np.log(2))


@dataclass(frozen=True)
class Candidates:
    """The hypotheses worth telling apart: their places, probabilities (summing to one) and kit groups.

    They stand group by group; ``starts`` is where each of the ``groups`` (numbered from 0 in ``group``) begins.
    """

    at: Numbers
    probability: Floats
    group: Numbers
    groups: Ints
    starts: Numbers

    @cached_property
    def by_group(self) -> Floats:
        """Probability of each kit group."""
        return np.asarray(np.add.reduceat(self.probability, self.starts), np.float64)

    @cached_property
    def kit_entropy(self) -> float:
        """Entropy of the kit group, in bits."""
        return entropy_bits(self.by_group)


@once
def candidates(standing: Standing) -> Candidates:
    """Those that hold nearly all of the probability, grouped by the kits that fit them."""
    posterior = standing.posterior
    chosen = np.flatnonzero(posterior >= _LEAST_SHARE * posterior.max())
    if chosen.size > _MOST_CANDIDATES:
        chosen = chosen[np.argpartition(-posterior[chosen], _MOST_CANDIDATES)[:_MOST_CANDIDATES]]
    numbers = standing.weigher.kit_groups(standing.enquiry.want_level, standing.enquiry.want_fuel)[chosen]
    order = np.argsort(numbers, kind="stable")
    chosen, numbers = chosen[order], numbers[order]
    begins = np.concatenate([[True], numbers[1:] != numbers[:-1]])
    starts = np.flatnonzero(begins)
    probability = posterior[chosen]
    return Candidates(chosen, probability / probability.sum(), np.cumsum(begins) - 1, numbers[starts], starts)


def entropy_bits(chances: Floats) -> float:
    """Shannon entropy in bits of chances that need not sum to one (they are normalised).

    >>> entropy_bits(np.array([0.5, 0.5]))
    1.0
    """
    total = float(chances.sum())
    if total <= 0:
        return 0.0
    return float(entropies(chances / total).sum()) / _NATS_PER_BIT


def gain_bits(joint: Floats) -> float:
    """Mutual information in bits between answers (rows) and groups (columns) of a joint distribution.

    >>> round(gain_bits(np.array([[0.5, 0.0], [0.0, 0.5]])), 6)
    1.0
    """
    total = float(joint.sum())
    if total <= 0:
        return 0.0
    return max(0.0, entropy_bits(joint.sum(axis=0)) + entropy_bits(joint.sum(axis=1)) - entropy_bits(joint))


def choice_joint(standing: Standing, pool: Candidates, column: ChoiceColumn) -> Floats:
    """Joint chances (answer x kit group) of asking about a choice, with instruction."""
    given = standing.weigher.told_rightly(column).given
    return given.T @ _by_code(column.code[pool.at], given.shape[0], pool)


def choice_gain_bits(standing: Standing, pool: Candidates, column: ChoiceColumn) -> float:
    """``gain_bits`` of ``choice_joint``."""
    told = standing.weigher.told_rightly(column)
    return _gain_bits(column.code, np.arange(told.given.shape[0]), told, pool)


def measure_joint(pool: Candidates, column: MeasureColumn) -> Floats:
    """Joint chances (interval x kit group) of measuring with a rule."""
    row_of_place, known = _intervals(pool, column)
    code, rows = row_of_place[column.place[pool.at]], known.given.shape[0]
    common = np.bincount(code, pool.probability, minlength=rows + 1)[:rows]
    given = np.vstack([known.given, common @ known.given / max(common.sum(), 1e-300)])
    return given.T @ _by_code(code, rows + 1, pool)


def measure_gain_bits(pool: Candidates, column: MeasureColumn) -> float:
    """``gain_bits`` of ``measure_joint``."""
    return _gain_bits(column.place, *_intervals(pool, column), pool)


def _gain_bits(place: Numbers, row_of_place: Numbers, told: Shown, pool: Candidates) -> float:
    nats = gains.gain_nats(place, row_of_place, pool.at, pool.probability, pool.starts, told.given, told.uncertain)
    return float(nats) / _NATS_PER_BIT


def _intervals(pool: Candidates, column: MeasureColumn) -> tuple[Numbers, Shown]:
    """The interval of each of the column's places (one more: "not recorded"), and what a rule shows given it."""
    low, high = gains.span(column.place, pool.at, column.distinct.size)
    if high < 0:
        return np.zeros(column.distinct.size + 1, np.intp), Shown(np.zeros((1, 1)), np.zeros(1))
    spread = float(np.hypot(column.kind.spread or 0.0, _RULE_MM))
    return _divided(column, int(low), int(high), spread)


def _divided(column: MeasureColumn, low: int, high: int, spread: float) -> tuple[Numbers, Shown]:
    """Intervals from the one place to the other, with room for the rule's own spread."""
    if (low, high) in column.divided:
        return column.divided[low, high]
    start, stop = float(column.distinct[low]) - 3 * spread, float(column.distinct[high]) + 3 * spread
    bins = int(min(_MOST_BINS, max(2, np.ceil((stop - start) / spread))))
    edges = np.linspace(start, stop, bins + 1)
    row_of_place = np.full(column.distinct.size + 1, bins, np.intp)
    row_of_place[:-1] = np.clip(np.searchsorted(edges, column.distinct, side="right") - 1, 0, bins - 1)
    found = row_of_place, _rule_shows(bins, (stop - start) / bins / spread)
    if len(column.divided) < _MOST_DIVIDED:
        column.divided[low, high] = found
    return found


@lru_cache(maxsize=256)
def _rule_shows(bins: int, width: float) -> Shown:
    """What a rule shows, the true value being in the middle of each interval; ``width`` is in standard deviations.

    It depends only on how many intervals lie between. What is next to impossible is left out.
    """
    steps = np.diff([0.5 * erfc((0.5 - i) * width / sqrt(2)) for i in range(1 - bins, bins + 1)])
    steps[steps < _NEXT_TO_NEVER] = 0.0
    return shown(np.lib.stride_tricks.sliding_window_view(steps, bins)[::-1].copy())


def mark_gain_bits(standing: Standing, pool: Candidates, part: str) -> float:
    """Mutual information in bits between the identifying mark on a part, read without fault, and the kit group."""
    mark, both = (numbers[pool.at] for numbers in standing.weigher.marks_and_kits(part, *_wanted(standing)))
    if (mark == mark[0]).all():
        return 0.0
    return max(0.0, _entropy(mark, pool) + pool.kit_entropy - _entropy(both, pool))


def settled(standing: Standing, pool: Candidates, column: ChoiceColumn | MeasureColumn) -> float:
    """Chance that the likeliest kit group is the right one after one more answer about a feature."""
    joint = choice_joint(standing, pool, column) if isinstance(column, ChoiceColumn) else measure_joint(pool, column)
    return float(joint.max(axis=1).sum() / joint.sum())


def settled_by_mark(standing: Standing, pool: Candidates, part: str) -> float:
    """The same after the identifying mark on a part was read without fault."""
    mark, both = (numbers[pool.at] for numbers in standing.weigher.marks_and_kits(part, *_wanted(standing)))
    _, first, number = np.unique(both, return_index=True, return_inverse=True)
    together = np.bincount(number, pool.probability)
    best = np.zeros(int(mark.max()) + 1)
    np.maximum.at(best, mark[first], together)
    return float(best.sum())


def _wanted(standing: Standing) -> tuple[str, str]:
    return standing.enquiry.want_level, standing.enquiry.want_fuel


def _entropy(code: Numbers, pool: Candidates) -> float:
    if code.size < 1000:
        _, code = np.unique(code, return_inverse=True)
    chances: Floats = np.bincount(code, pool.probability).astype(np.float64)
    return entropy_bits(chances[chances > 0])


def _by_code(code: Numbers, codes: int, pool: Candidates) -> Floats:
    groups = pool.groups.shape[0]
    flat = np.bincount(code * groups + pool.group, pool.probability, minlength=codes * groups)
    return np.asarray(flat.reshape(codes, groups), np.float64)
