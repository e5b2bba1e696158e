"""What each answer to each further look would do to the question which kit: joint chances of answers and kit groups."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np
from scipy.special import entr, ndtr

from floatbowl.identify.features import ChoiceColumn, MeasureColumn, Numbers
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Standing, once

#: Candidates beyond these are left out when looks are compared; they hold next to nothing.
_MOST_CANDIDATES: Final = 4000
_LEAST_SHARE: Final = 1e-6
_MOST_BINS: Final = 48
#: One standard deviation of a measure whose tool is not known yet, in millimetres: a steel rule (estimate).
_RULE_MM: Final = 0.5
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
    groups: Numbers
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
    return float(entr(chances / total).sum()) / _NATS_PER_BIT


def gain_bits(joint: Floats) -> float:
    """Mutual information in bits between answers (rows) and groups (columns) of a joint distribution.

    >>> round(gain_bits(np.array([[0.5, 0.0], [0.0, 0.5]])), 6)
    1.0
    """
    total = float(joint.sum())
    if total <= 0:
        return 0.0
    return max(0.0, entropy_bits(joint.sum(axis=0)) + entropy_bits(joint.sum(axis=1)) - entropy_bits(joint))


@dataclass(frozen=True, slots=True)
class Shown:
    """Chances of each answer (columns) given each code of a hypothesis (rows), and each row's own uncertainty.

    ``uncertain`` is the entropy of a row in nats, times its sum: a little of what a rule shows lies outside all intervals.
    """

    given: Floats
    uncertain: Floats


def shown(given: Floats) -> Shown:
    """A table of chances with the uncertainty of its rows."""
    return Shown(given, entr(given).sum(axis=1) - entr(given.sum(axis=1)))


def choice_joint(standing: Standing, pool: Candidates, column: ChoiceColumn) -> Floats:
    """Joint chances (answer x kit group) of asking about a choice, with instruction."""
    given = _told(standing, column).given
    return given.T @ _by_code(column.code[pool.at], given.shape[0], pool)


def choice_gain_bits(standing: Standing, pool: Candidates, column: ChoiceColumn) -> float:
    """``gain_bits`` of ``choice_joint``."""
    return _gain_bits(column.code[pool.at], _told(standing, column), pool)


def _told(standing: Standing, column: ChoiceColumn) -> Shown:
    kept = standing.weigher.told
    if column.kind.feature not in kept:
        kept[column.kind.feature] = shown(standing.weigher.told_rightly(column))
    return kept[column.kind.feature]


def measure_joint(pool: Candidates, column: MeasureColumn) -> Floats:
    """Joint chances (interval x kit group) of measuring with a rule."""
    code, given = _intervals(pool, column)
    return given.given.T @ _by_code(code, given.given.shape[0], pool)


def measure_gain_bits(pool: Candidates, column: MeasureColumn) -> float:
    """``gain_bits`` of ``measure_joint``."""
    return _gain_bits(*_intervals(pool, column), pool)


def _gain_bits(code: Numbers, told: Shown, pool: Candidates) -> float:
    """Mutual information in bits between an answer and the kit group, ``code`` being each candidate's row.

    Written as the entropy of the answer less that given the group, since groups whose members are all alike need no
    column of their own.
    """
    if (code == code[0]).all():
        return 0.0
    given, rows = told.given, told.given.shape[0]
    alike = np.minimum.reduceat(code, pool.starts) == np.maximum.reduceat(code, pool.starts)
    left = float(np.bincount(code[pool.starts], pool.by_group * alike, minlength=rows) @ told.uncertain)
    by_code = np.bincount(code, pool.probability, minlength=rows)
    if not alike.all():
        unlike = ~alike
        number, mine = np.cumsum(unlike) - 1, np.flatnonzero(unlike[pool.group])
        count = int(number[-1]) + 1
        flat = code[mine] * count + number[pool.group[mine]]
        table = np.bincount(flat, pool.probability[mine], minlength=rows * count).reshape(rows, count)
        used = np.flatnonzero(by_code)
        joint = given[used].T @ table[used]
        left += float(entr(joint).sum()) - float(entr(joint.sum(axis=0)).sum())
    answers = by_code @ given
    total = float(answers.sum())
    return max(0.0, (float(entr(answers).sum()) - left) / total + float(np.log(total))) / _NATS_PER_BIT


def _intervals(pool: Candidates, column: MeasureColumn) -> tuple[Numbers, Shown]:
    """The interval each candidate measures in (one more stands for "not recorded"), and what a rule shows given it."""
    place = column.place[pool.at]
    by_place = np.bincount(place, pool.probability, minlength=column.distinct.size + 1)
    present = np.flatnonzero(by_place[:-1])
    if not present.size:
        return np.zeros(pool.at.size, np.intp), Shown(np.ones((1, 1)), np.zeros(1))
    spread = float(np.hypot(column.kind.spread or 0.0, _RULE_MM))
    low = float(column.distinct[present[0]]) - 3 * spread
    high = float(column.distinct[present[-1]]) + 3 * spread
    bins = int(min(_MOST_BINS, max(2, np.ceil((high - low) / spread))))
    known = _rule_shows(bins, (high - low) / bins / spread)
    of_place = np.full(column.distinct.size + 1, bins, np.intp)
    edges = np.linspace(low, high, bins + 1)
    of_place[:-1] = np.clip(np.searchsorted(edges, column.distinct, side="right") - 1, 0, bins - 1)
    if by_place[-1] == 0.0:
        return of_place[place], known
    common = np.bincount(of_place[:-1], by_place[:-1], minlength=bins)
    unknown = shown((common @ known.given / common.sum())[None])
    given = Shown(np.vstack([known.given, unknown.given]), np.append(known.uncertain, unknown.uncertain))
    return of_place[place], given


@lru_cache(maxsize=256)
def _rule_shows(bins: int, width: float) -> Shown:
    """What a rule shows, the true value being in the middle of each interval; ``width`` is in standard deviations.

    It depends only on how many intervals lie between. What is next to impossible is left out.
    """
    steps = np.diff(ndtr((np.arange(1 - bins, bins + 1) - 0.5) * width))
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
    chances = np.bincount(code, pool.probability)
    return entropy_bits(chances[chances > 0])


def _by_code(code: Numbers, codes: int, pool: Candidates) -> Floats:
    groups = pool.groups.shape[0]
    flat = np.bincount(code * groups + pool.group, pool.probability, minlength=codes * groups)
    return np.asarray(flat.reshape(codes, groups), np.float64)
