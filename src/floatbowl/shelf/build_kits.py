"""Which kits to build now from the loose parts and bench time on hand, so as to earn or to fill the most.

An integer programme: how many of each kit, such that no part and no minute is used twice and most is gained.
The simple rule's answer stands beside it: most gained for each minute (or each kit) first, as many as can be built.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.near_best import near_best
from floatbowl.shelf.recipes import Recipe, could_build, taken
from floatbowl.shelf.whole_numbers import PROVEN, Floats, Programme, gap_of, least, sparse

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

Aim = Literal["earn", "fill"]
#: The share of the time that rounding may take; the solver has the rest.
_ROUNDING: Final = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Buildable:
    """A kit that could be built. ``chances``: that the first, second, ... one built is wanted; no more are built.

    ``earns``: what one sold brings beyond its parts; an expectation, so a plain number. ``minutes``: bench time for
    one. A kit that a job or an offer waits for has chance 1. Chances never rise: the second is sold after the first.
    """

    recipe: Recipe
    earns: float
    minutes: float
    chances: tuple[float, ...]

    def __post_init__(self) -> None:
        kit = self.recipe.kit
        within(f"{kit}: what one earns", self.earns)
        within(f"{kit}: bench time for one", self.minutes, 0.0, unit="minutes")
        for chance in self.chances:
            within(f"{kit}: the chance that one is wanted", chance, 0.0, 1.0)
        if list(self.chances) != sorted(self.chances, reverse=True):
            raise Refused(f"{kit}: the chances rise; the second kit cannot be likelier to sell than the first")

    @property
    def blocks(self) -> list[tuple[float, int]]:
        """Each chance, highest first, and how many kits have it."""
        return list(Counter(self.chances).items())

    def each(self, aim: Aim) -> float:
        """What one that is wanted brings: money, or one filled."""
        return self.earns if aim == "earn" else 1.0

    def gains(self, count: int, aim: Aim) -> float:
        """What building so many is expected to bring."""
        return math.fsum(self.chances[:count]) * self.each(aim)


@dataclass(frozen=True, slots=True)
class Plan:
    """How many of each kit to build (those of none left out), what is gained, and the minutes it takes."""

    build: tuple[tuple[str, int], ...]
    gains: float
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildPlan:
    """The best plan found; no plan gains more than ``bound``; ``gap`` is how far below it this one may be, as a share.

    ``proven``: the gap is within what was asked for. ``simple``: what the simple rule would build.
    """

    best: Plan
    simple: Plan
    bound: float
    gap: float
    proven: bool


def build_plan(
    kits: Sequence[Buildable],
    on_hand: Mapping[str, float],
    bench_minutes: float = math.inf,
    *,
    aim: Aim = "earn",
    gap: float = PROVEN,
    time_limit_s: float = 2.0,
) -> BuildPlan:
    """What to build now. Raises ``Refused`` for a kit told twice or a time below nothing.

    The plan is checked against parts and minutes after it is solved, and is never worse than the simple rule's.
    """
    within("bench time", 0.0 if math.isinf(bench_minutes) and bench_minutes > 0 else bench_minutes, 0.0, unit="minutes")
    _refuse_twice(kits)
    simple = _simple(kits, on_hand, bench_minutes, aim)
    counts, bound = _solved(kits, on_hand, bench_minutes, aim, gap, time_limit_s)
    best = _plan(kits, counts, aim) if _fits(kits, counts, on_hand, bench_minutes) else simple
    best = max(best, simple, key=lambda plan: plan.gains)
    bound = max(bound, best.gains)
    left = gap_of(best.gains, bound)
    return BuildPlan(best=best, simple=simple, bound=bound, gap=left, proven=left <= gap)


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A kit of which more are wanted than the plan builds; ``parts`` are too few for one more, ``time`` is too short.

    Neither: one more could be built, but brings nothing.
    """

    kit: str
    wanted: int
    built: int
    parts: tuple[str, ...]
    time: bool


def held_back(
    plan: Plan, kits: Sequence[Buildable], on_hand: Mapping[str, float], bench_minutes: float = math.inf
) -> tuple[HeldBack, ...]:
    """What stands in the way of one more of each kit once the plan is carried out: what to buy or make time for."""
    counts = dict(plan.build)
    left = dict(on_hand)
    for kit in kits:
        for part, quantity in taken(kit.recipe, counts.get(kit.recipe.kit, 0)).items():
            left[part] = left.get(part, 0.0) - quantity
    told = []
    for kit in kits:
        built = counts.get(kit.recipe.kit, 0)
        if built < len(kit.chances):
            more = could_build(kit.recipe, left)
            short = () if more.count else more.held_by
            too_long = kit.minutes > bench_minutes - plan.minutes + 1e-9
            told.append(HeldBack(kit.recipe.kit, len(kit.chances), built, short, too_long))
    return tuple(told)


def _refuse_twice(kits: Sequence[Buildable]) -> None:
    names = [kit.recipe.kit for kit in kits]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise Refused(f"kit {twice} is told twice; put its chances together")


def _plan(kits: Sequence[Buildable], counts: Sequence[int], aim: Aim) -> Plan:
    built = [(kit, count) for kit, count in zip(kits, counts, strict=True) if count]
    return Plan(
        build=tuple((kit.recipe.kit, count) for kit, count in built),
        gains=math.fsum(kit.gains(count, aim) for kit, count in built),
        minutes=math.fsum(kit.minutes * count for kit, count in built),
    )


def _simple(kits: Sequence[Buildable], on_hand: Mapping[str, float], minutes: float, aim: Aim) -> Plan:
    """Most gained for each minute first (for each kit, when time is no limit), one kit at a time."""
    timed = math.isfinite(minutes)
    steps = []
    for place, kit in enumerate(kits):
        for chance, number in kit.blocks:
            gain = chance * kit.each(aim)
            if gain > 0:
                per = kit.minutes if timed else 1.0
                steps.append((-gain / per if per else -math.inf, place, -chance, number))
    left = dict(on_hand)
    counts = [0] * len(kits)
    for _, place, _, number in sorted(steps):
        kit = kits[place]
        in_time = math.floor(minutes / kit.minutes + 1e-9) if timed and kit.minutes else number
        count = min(number, could_build(kit.recipe, left).count, in_time)
        if count:
            for part, quantity in taken(kit.recipe, count).items():
                left[part] -= quantity
            minutes -= kit.minutes * count
            counts[place] += count
    return _plan(kits, counts, aim)


def _fits(kits: Sequence[Buildable], counts: Sequence[int], on_hand: Mapping[str, float], minutes: float) -> bool:
    used: dict[str, float] = {}
    for kit, count in zip(kits, counts, strict=True):
        for part, quantity in taken(kit.recipe, count).items():
            used[part] = used.get(part, 0.0) + quantity
    time = math.fsum(kit.minutes * count for kit, count in zip(kits, counts, strict=True))
    enough = all(amount <= on_hand.get(part, 0.0) + 1e-6 for part, amount in used.items())
    return enough and time <= minutes + 1e-6


@dataclass(frozen=True, slots=True)
class _Column:
    """Kits of one sort with one chance: a whole number of them up to ``most``."""

    place: int
    gain: float
    most: int


def _columns(kits: Sequence[Buildable], on_hand: Mapping[str, float], aim: Aim) -> list[_Column]:
    columns = []
    for place, kit in enumerate(kits):
        room = could_build(kit.recipe, on_hand).count
        for chance, number in kit.blocks:
            most = min(number, room)
            room -= most
            if most and kit.each(aim) * chance > 0:
                columns.append(_Column(place, kit.each(aim) * chance, most))
    return columns


def _solved(
    kits: Sequence[Buildable], on_hand: Mapping[str, float], minutes: float, aim: Aim, gap: float, time_limit_s: float
) -> tuple[list[int], float]:
    """How many of each kit, and what no plan can exceed.

    A kit's chances never rise, so the programme takes the likelier ones first without being told to.
    """
    columns = _columns(kits, on_hand, aim)
    rows, high = _rows(kits, columns, on_hand, minutes)
    programme = Programme(
        cost=np.array([-column.gain for column in columns], dtype=float),
        rows=rows,
        low=np.full(high.size, -np.inf),
        high=high,
        upper=np.array([column.most for column in columns], dtype=float),
    )
    x, bound = _best(programme, gap, time_limit_s)
    counts = [0] * len(kits)
    for column, number in zip(columns, x, strict=True):
        counts[column.place] += int(number)
    return counts, bound


def _best(programme: Programme, gap: float, time_limit_s: float) -> tuple[Floats, float]:
    """A rounded choice first, then the solver's on what that leaves open; the better of the two, and the bound."""
    if not programme.cost.size:
        return np.zeros(0), 0.0
    ends = time.perf_counter() + time_limit_s
    near = near_best(programme, _ROUNDING * time_limit_s)
    found = least(near.narrowed, gap=gap, time_limit_s=max(_ROUNDING, ends - time.perf_counter()))
    if found.x is None or programme.cost @ near.x <= programme.cost @ found.x:
        return near.x, -max(found.bound, near.bound) if found.possible else -near.bound
    return found.x, -max(found.bound, near.bound)


def _rows(
    kits: Sequence[Buildable], columns: Sequence[_Column], on_hand: Mapping[str, float], minutes: float
) -> tuple[csr_matrix, Floats]:
    """A row for every part that could run short, and one for the minutes."""
    at: list[tuple[int, int, float]] = []
    number: dict[str, int] = {}
    for place, column in enumerate(columns):
        for part, quantity in kits[column.place].recipe.parts:
            at.append((number.setdefault(part, len(number)), place, quantity))
    high = [on_hand.get(part, 0.0) for part in number]
    if math.isfinite(minutes):
        at += [(len(number), place, kits[column.place].minutes) for place, column in enumerate(columns)]
        high.append(minutes)
    wanted = np.zeros(len(high))
    for row, place, quantity in at:
        wanted[row] += quantity * columns[place].most
    # A row that cannot run short is left out: it only slows the solver.
    scarce = wanted > np.array(high)
    where = np.cumsum(scarce) - 1
    kept = [(where[row], place, quantity) for row, place, quantity in at if scarce[row]]
    shape = (int(scarce.sum()), len(columns))
    matrix = sparse(
        [quantity for _, _, quantity in kept], [row for row, _, _ in kept], [place for _, place, _ in kept], shape
    )
    return matrix, np.array(high)[scarce]
