"""Which kits to carry: the smallest set that covers a share of the enquiries, and what one more kit would add.

Several kits may fit one enquiry, so this is a set cover with a share left uncovered: an integer programme. The greedy
rule's answer stands beside it (it may need more kits, never more than about ln(n) times as many: V. Chvatal, "A greedy
heuristic for the set-covering problem", Math. Oper. Res. 4(3), 1979).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.sparse import csr_matrix

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.whole_numbers import Programme, least

#: The shares a shop usually looks at.
SHARES: Final = (0.80, 0.90, 0.95)
Weights = dict[frozenset[str], int]


@dataclass(frozen=True, slots=True)
class Enquiry:
    """One enquiry and every kit that would have answered it; ``lost`` when it ended without a sale."""

    enquiry: str
    kits: frozenset[str]
    lost: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A set of kits for one share of the enquiries. ``proven``: no smaller set will do; else ``at_least`` are needed.

    ``covered`` of ``enquiries`` are answered. ``greedy`` is the greedy rule's set, in the order it chose. When even all
    kits cannot answer the share, ``reachable`` is False and the set is the smallest that answers all that can be.
    """

    share: float
    kits: tuple[str, ...]
    covered: int
    enquiries: int
    at_least: int
    proven: bool
    reachable: bool
    greedy: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OneMore:
    """What one more kit adds: so many enquiries that no carried kit answers, and the share answered then."""

    kit: str
    adds: int
    share_then: float


def kits_to_carry(
    enquiries: Iterable[Enquiry], share: float, *, keep: Collection[str] = (), time_limit_s: float = 2.0
) -> Carried:
    """The smallest set of kits that answers at least ``share`` of the enquiries, those of ``keep`` always in it.

    An enquiry that no kit fits counts among the enquiries and is never answered. Raises ``Refused`` for a share that
    is not between 0 and 1, or when there are no enquiries.
    """
    within("the share of enquiries to answer", share, 0.0, 1.0)
    weights = _weights(enquiries)
    total = sum(weights.values())
    if not total:
        raise Refused("there are no enquiries to cover; take a longer time")
    wanted = math.ceil(share * total - 1e-9)
    can_be = total - weights.get(frozenset(), 0)
    goal = min(wanted, can_be)
    greedy = _greedy(weights, goal, keep)
    # Counts are whole, so a gap of less than one kit proves the smallest.
    chosen, at_least = _smallest(weights, goal, frozenset(keep), 0.999 / max(1, len(greedy)), time_limit_s)
    if chosen is None or len(chosen) > len(greedy) or _covered(weights, chosen) < goal:
        chosen = greedy
    return Carried(
        share=share,
        kits=tuple(sorted(chosen)),
        covered=_covered(weights, chosen),
        enquiries=total,
        at_least=min(at_least, len(chosen)),
        proven=len(chosen) <= at_least,
        reachable=wanted <= can_be,
        greedy=greedy,
    )


def one_more(enquiries: Iterable[Enquiry], carried: Collection[str]) -> tuple[OneMore, ...]:
    """Every kit not carried that would answer more enquiries, most first."""
    weights = _weights(enquiries)
    total = sum(weights.values())
    have = frozenset(carried)
    covered = _covered(weights, have)
    adds: Counter[str] = Counter()
    for kits, weight in weights.items():
        if have.isdisjoint(kits):
            adds.update(dict.fromkeys(kits, weight))
    ranked = sorted(adds.items(), key=lambda item: (-item[1], item[0]))
    return tuple(OneMore(kit, weight, (covered + weight) / total) for kit, weight in ranked)


def lost_but_fillable(
    enquiries: Iterable[Enquiry], carried: Collection[str]
) -> tuple[tuple[Enquiry, tuple[str, ...]], ...]:
    """The lost enquiries that these kits would have filled, each with the kits that would have done it."""
    have = frozenset(carried)
    return tuple((each, tuple(sorted(have & each.kits))) for each in enquiries if each.lost and have & each.kits)


def _weights(enquiries: Iterable[Enquiry]) -> Weights:
    """Enquiries that the same kits fit are one, with their count."""
    return dict(Counter(each.kits for each in enquiries))


def _covered(weights: Weights, kits: Collection[str]) -> int:
    have = frozenset(kits)
    return sum(weight for fits, weight in weights.items() if not have.isdisjoint(fits))


def _greedy(weights: Weights, goal: int, keep: Collection[str]) -> tuple[str, ...]:
    chosen = list(dict.fromkeys(keep))
    covered = _covered(weights, chosen)
    open_ = {kits: weight for kits, weight in weights.items() if kits and kits.isdisjoint(chosen)}
    adds: Counter[str] = Counter()
    holding: dict[str, list[frozenset[str]]] = {}
    for kits, weight in open_.items():
        for kit in kits:
            adds[kit] += weight
            holding.setdefault(kit, []).append(kits)
    while covered < goal:
        best = min(adds, key=lambda kit: (-adds[kit], kit))
        chosen.append(best)
        for kits in holding[best]:
            weight = open_.pop(kits, 0)
            covered += weight
            for kit in kits:
                adds[kit] -= weight
    return tuple(chosen)


def _smallest(
    weights: Weights, goal: int, keep: frozenset[str], gap: float, time_limit_s: float
) -> tuple[tuple[str, ...] | None, int]:
    """A smallest set, and how many kits any set needs at least.

    Columns are the kits (0 or 1), then one for every distinct group of kits that fit an enquiry (answered or not):
    ``answered <= sum of its kits`` and ``sum of weight * answered >= goal``. Only the kits need be whole.
    """
    groups = [kits for kits in weights if kits]
    kits = sorted(keep.union(*groups))
    number = {kit: place for place, kit in enumerate(kits)}
    programme = Programme(
        cost=np.concatenate([np.ones(len(kits)), np.zeros(len(groups))]),
        rows=_cover_rows(groups, weights, number),
        low=np.append(np.zeros(len(groups)), goal),
        high=np.full(len(groups) + 1, np.inf),
        upper=np.ones(len(kits) + len(groups)),
        lower=np.array([kit in keep for kit in kits] + [False] * len(groups), dtype=float),
        whole=np.array([True] * len(kits) + [False] * len(groups)),
    )
    found = least(programme, gap=gap, time_limit_s=time_limit_s)
    at_least = max(len(keep), math.ceil(found.bound - 1e-6) if math.isfinite(found.bound) else 0)
    if found.x is None:
        return None, at_least
    return tuple(kit for kit, chosen in zip(kits, found.x[: len(kits)], strict=True) if chosen), at_least


def _cover_rows(groups: Sequence[frozenset[str]], weights: Weights, number: dict[str, int]) -> csr_matrix:
    at = [(row, number[kit], 1.0) for row, group in enumerate(groups) for kit in sorted(group)]
    at += [(row, len(number) + row, -1.0) for row in range(len(groups))]
    at += [(len(groups), len(number) + row, float(weights[group])) for row, group in enumerate(groups)]
    rows, columns, values = zip(*at, strict=True) if at else ((), (), ())
    return csr_matrix((values, (rows, columns)), shape=(len(groups) + 1, len(number) + len(groups)))
