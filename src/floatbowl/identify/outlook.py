"""What each answer to each further look would do to the question which kit: joint chances of answers and kit groups."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.special import entr, ndtr

from floatbowl.identify.compiled import Ints
from floatbowl.identify.features import ChoiceColumn, MeasureColumn, answer_table, wrong_rate
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Standing
from floatbowl.reference.observed import Look

#: Candidates beyond these are left out when looks are compared; they hold next to nothing.
_MOST_CANDIDATES: Final = 4000
_LEAST_SHARE: Final = 1e-6
_MOST_BINS: Final = 48
#: One standard deviation of a measure whose tool is not known yet, in millimetres: a steel rule (estimate).
_RULE_MM: Final = 0.5
_NATS_PER_BIT: Final = float(np.log(2))


@dataclass(frozen=True, slots=True)
class Candidates:
    """The hypotheses worth telling apart: their places, probabilities (summing to one) and kit groups."""

    at: Ints
    probability: Floats
    group: Ints
    groups: Ints

    @property
    def kit_entropy(self) -> float:
        """Entropy of the kit group, in bits."""
        return entropy_bits(np.bincount(self.group, self.probability).astype(np.float64))


def candidates(standing: Standing) -> Candidates:
    """Those that hold nearly all of the probability, grouped by the kits that fit them."""
    posterior = standing.posterior
    chosen = np.flatnonzero(posterior >= _LEAST_SHARE * posterior.max())
    if chosen.size > _MOST_CANDIDATES:
        chosen = chosen[np.argpartition(-posterior[chosen], _MOST_CANDIDATES)[:_MOST_CANDIDATES]]
    probability = posterior[chosen]
    groups, group = np.unique(
        standing.weigher.kit_groups(standing.enquiry.want_level, standing.enquiry.want_fuel)[chosen],
        return_inverse=True,
    )
    return Candidates(
        chosen.astype(np.int32), probability / probability.sum(), group.astype(np.int32), groups.astype(np.int32)
    )


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


def choice_joint(standing: Standing, pool: Candidates, column: ChoiceColumn) -> Floats:
    """Joint chances (answer x kit group) of asking about a choice, with instruction."""
    assumptions = standing.weigher.assumptions
    told = Look(column.kind.feature, "", coached=True)
    table = answer_table(column, wrong_rate(column.kind, told, assumptions), assumptions)
    given = np.vstack([table, column.by_maker @ table])
    return given.T @ _by_code(column.code[pool.at], given.shape[0], pool)


def measure_joint(pool: Candidates, column: MeasureColumn) -> Floats:
    """Joint chances (interval x kit group) of measuring with a rule."""
    value = column.value[pool.at]
    known = ~np.isnan(value)
    if not known.any():
        return np.asarray(np.bincount(pool.group, pool.probability)[None, :], np.float64)
    spread = float(np.hypot(column.kind.spread or 0.0, _RULE_MM))
    low, high = float(value[known].min()) - 3 * spread, float(value[known].max()) + 3 * spread
    bins = int(min(_MOST_BINS, max(2, np.ceil((high - low) / spread))))
    edges = np.linspace(low, high, bins + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    given = np.diff(ndtr((edges[None, :] - middle[:, None]) / spread), axis=1)
    code = np.where(known, np.clip(np.digitize(np.nan_to_num(value), edges) - 1, 0, bins - 1), bins)
    common = np.bincount(code[known], pool.probability[known], minlength=bins)
    given = np.vstack([given, common @ given / common.sum()])
    return given.T @ _by_code(code.astype(np.int32), bins + 1, pool)


def mark_joint(standing: Standing, pool: Candidates, part: str) -> Floats:
    """Joint chances (mark x kit group) of reading the identifying mark on one part, were it read without fault."""
    code = _marks_of(standing, pool, part)
    return _by_code(code, int(code.max()) + 1, pool)


def mark_gain_bits(standing: Standing, pool: Candidates, part: str) -> float:
    """``gain_bits`` of ``mark_joint``, without laying out a table that is nearly empty."""
    code = _marks_of(standing, pool, part)
    both = code.astype(np.int64) * pool.groups.shape[0] + pool.group
    _, together = np.unique(both, return_inverse=True)
    return max(0.0, _entropy(code, pool) + pool.kit_entropy - _entropy(together, pool))


def _entropy(code: npt.NDArray[np.integer], pool: Candidates) -> float:
    return entropy_bits(np.bincount(code, pool.probability).astype(np.float64))


def _marks_of(standing: Standing, pool: Candidates, part: str) -> Ints:
    """Which mark on a part each candidate bears, as numbers from 0; all without one share a number."""
    _, code = np.unique(standing.weigher.mark_on(part)[pool.at], return_inverse=True)
    return code.astype(np.int32)


def _by_code(code: Ints, codes: int, pool: Candidates) -> Floats:
    groups = pool.groups.shape[0]
    flat = np.bincount(code.astype(np.int64) * groups + pool.group, pool.probability, minlength=codes * groups)
    return np.asarray(flat.reshape(codes, groups), np.float64)
