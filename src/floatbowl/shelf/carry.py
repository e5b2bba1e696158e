"""Which kits to carry: the smallest set that covers a share of the enquiries, and what one more kit would add.

Several kits may fit one enquiry, so this is a set cover with a share left uncovered: an integer programme. The greedy
rule's answer stands beside it (it may need more kits, never more than about ln(n) times as many: V. Chvatal, "A greedy
heuristic for the set-covering problem", Math. Oper. Res. 4(3), 1979).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.whole_numbers import Floats, Programme, least, sparse

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
    smaller, at_least = _smaller(weights, goal, frozenset(keep), len(greedy), time_limit_s)
    better = smaller is not None and len(smaller) < len(greedy) and _covered(weights, smaller) >= goal
    chosen = smaller if smaller is not None and better else greedy
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


def _smaller(
    weights: Weights, goal: int, keep: frozenset[str], greedy: int, time_limit_s: float
) -> tuple[tuple[str, ...] | None, int]:
    """A smallest set below the greedy rule's size if there is one, and how many kits any set needs at least.

    Columns are the kits (0 or 1), then one for every distinct group of two or more kits that fit an enquiry (answered
    or not): ``answered <= sum of its kits`` and ``sum of weight * answered >= goal``. Only the kits need be whole.
    Counts are whole too, so the relaxed programme alone may prove that the greedy rule's set is a smallest.
    """
    if greedy <= len(keep):
        return None, greedy
    kits = sorted(keep.union(*weights))
    lower, programme = _cover(weights, goal, keep, kits)
    # Half a second to import: nobody waits for it who works nothing out.
    from scipy.optimize import linprog

    relaxed = linprog(
        programme.cost,
        A_ub=-programme.rows,
        b_ub=-programme.low,
        bounds=np.column_stack([lower, programme.upper]),
        method="highs",
    )
    at_least = math.ceil(relaxed.fun - 1e-6)
    if at_least >= greedy:
        return None, greedy
    # Only sets smaller than the greedy rule's are looked for: what would add more than is left up to them is ruled out.
    room = greedy - 1 - relaxed.fun + 1e-6
    upper = np.where(relaxed.lower.marginals > room, 0.0, programme.upper)
    narrowed = replace(programme, upper=np.maximum(upper, lower))
    found = least(narrowed, gap=0.999 / greedy, time_limit_s=time_limit_s)
    if not found.possible:
        return None, greedy
    if math.isfinite(found.bound):
        at_least = max(at_least, min(greedy, math.ceil(found.bound - 1e-6)))
    if found.x is None:
        return None, at_least
    return tuple(kit for kit, chosen in zip(kits, found.x[: len(kits)], strict=True) if chosen), at_least


def _cover(weights: Weights, goal: int, keep: frozenset[str], kits: Sequence[str]) -> tuple[Floats, Programme]:
    groups = [group for group in weights if len(group) > 1]
    number = {kit: place for place, kit in enumerate(kits)}
    count = len(kits)
    at = [(row, number[kit], 1.0) for row, group in enumerate(groups) for kit in sorted(group)]
    at += [(row, count + row, -1.0) for row in range(len(groups))]
    at += [(len(groups), count + row, float(weights[group])) for row, group in enumerate(groups)]
    # An enquiry that one kit alone fits is answered when that kit is carried.
    at += [(len(groups), number[next(iter(g))], float(weight)) for g, weight in weights.items() if len(g) == 1]
    rows, columns, values = zip(*at, strict=True) if at else ((), (), ())
    lower = np.array([kit in keep for kit in kits] + [False] * len(groups), dtype=float)
    return lower, Programme(
        cost=np.concatenate([np.ones(count), np.zeros(len(groups))]),
        rows=sparse(values, rows, columns, (len(groups) + 1, count + len(groups))),
        low=np.append(np.zeros(len(groups)), goal),
        high=np.full(len(groups) + 1, np.inf),
        upper=np.ones(count + len(groups)),
        lower=lower,
        whole=np.array([True] * count + [False] * len(groups)),
    )
