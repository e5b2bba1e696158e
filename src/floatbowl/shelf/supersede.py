"""Supersession: the present number of every part, demand put under it, and what else will do along a chain.

A replacement one way, without a condition, supersedes: the old number is done with and its demand belongs to the new.
One that goes both ways is an exchange: the two are one thing on the shelf. One with a condition ("new rod end") is
offered as a substitute with the condition told, but its demand is left where it is unless the caller says otherwise.
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

from floatbowl.engine.refusal import Refused
from floatbowl.reference.cycles import cycles_of
from floatbowl.reference.facts import Replacement

Floats = npt.NDArray[np.float64]
Way = Literal["newer", "exchange"]


class ReplacementCycles(Refused):
    """Replacements that go round, so that no number is the newest. ``cycles`` names every part of every one of them.

    A step one way is written ``->``, an exchange on the way round ``=``.
    """

    def __init__(self, cycles: Sequence[str]) -> None:
        self.cycles = tuple(cycles)
        told = "; ".join(self.cycles)
        super().__init__(f"replacements go round: {told}. None of these is the newest; correct or remove one step")


@dataclass(frozen=True, slots=True)
class Present:
    """Where a part's number has gone: ``present`` is the number to use now, ``chain`` the way there from ``part``.

    Where the records lead to several numbers, ``either`` names them all and the part keeps its own: a person must say.
    """

    part: str
    present: str
    chain: tuple[str, ...]
    either: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Substitute:
    """A number that will do instead, so many steps away, with every condition met on the way."""

    part: str
    steps: int
    way: Way
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Supersession:
    """All replacements, worked out once. ``now`` gives each replaced part's present number, if there is one.

    ``either``: for the parts whose records lead to several numbers, all of these.
    """

    now: Mapping[str, str]
    either: Mapping[str, tuple[str, ...]]
    rows: tuple[Replacement, ...] = field(repr=False)
    merge_conditional: bool = False

    @cached_property
    def _onward_of(self) -> dict[str, list[tuple[Replacement, str]]]:
        """Of each part, exchanges first, the rows that lead on and where to."""
        found: dict[str, list[tuple[Replacement, str]]] = {}
        for row in sorted(self.rows, key=lambda row: row.both_ways != "yes"):
            found.setdefault(row.old, []).append((row, row.new))
            if row.both_ways == "yes":
                found.setdefault(row.new, []).append((row, row.old))
        return found

    def present(self, part: str) -> Present:
        """The present number of a part and the shortest chain to it; a part without replacements is its own."""
        now = self.now.get(part, part)
        return Present(part, now, self._chain(part, now), self.either.get(part, ()))

    def substitutes(self, part: str) -> tuple[Substitute, ...]:
        """Every newer or exchangeable number, nearest first; never an older one, which a one-way step rules out."""
        found: dict[str, Substitute] = {part: Substitute(part, 0, "exchange")}
        waiting = deque([part])
        while waiting:
            at = found[waiting.popleft()]
            for row, new in self._onward_of.get(at.part, ()):
                if new not in found:
                    way: Way = "exchange" if at.way == "exchange" and row.both_ways == "yes" else "newer"
                    told = (*at.conditions, row.condition) if row.condition else at.conditions
                    found[new] = Substitute(new, at.steps + 1, way, told)
                    waiting.append(new)
        del found[part]
        return tuple(found.values())

    def _chain(self, part: str, goal: str) -> tuple[str, ...]:
        came: dict[str, str] = {part: ""}
        waiting = deque([part])
        while waiting and goal not in came:
            at = waiting.popleft()
            for row, new in self._onward_of.get(at, ()):
                if new not in came and (self.merge_conditional or not row.condition):
                    came[new] = at
                    waiting.append(new)
        chain = [goal]
        while chain[-1] != part:
            chain.append(came[chain[-1]])
        return tuple(reversed(chain))


def supersession(replacements: Iterable[Replacement], *, merge_conditional: bool = False) -> Supersession:
    """Work out all chains. ``merge_conditional``: a replacement with a condition supersedes like one without.

    Raises ``ReplacementCycles`` when steps one way lead back to where they began, naming every part on the way.
    """
    rows = tuple(row for row in replacements if row.old != row.new or row.both_ways != "yes")
    _refuse_cycles(row for row in rows if row.both_ways != "yes")
    merged = tuple(row for row in rows if merge_conditional or not row.condition)
    groups = _Groups(row for row in merged if row.both_ways == "yes")
    after = _steps_between(groups, (row for row in merged if row.both_ways != "yes"))
    now, either = _ends(groups, after, merged)
    return Supersession(now, either, rows, merge_conditional)


def cycles_in(replacements: Iterable[Replacement]) -> tuple[str, ...]:
    """The ways round in these replacements, every part on each of them named; none where they lead on.

    >>> cycles_in([Replacement(old="a", new="b"), Replacement(old="b", new="a")])
    ('a -> b -> a',)
    """
    try:
        supersession(replacements)
    except ReplacementCycles as found:
        return found.cycles
    return ()


def merged_demand(demand: Mapping[str, Sequence[float] | Floats], known: Supersession) -> dict[str, Floats]:
    """Demand of superseded and exchanged numbers added under the present one, before anything is forecast.

    The series must be equally long, period for period; ``Refused`` names one that is not.
    """
    merged: dict[str, Floats] = {}
    for part, series in demand.items():
        now = known.now.get(part, part)
        told = np.asarray(series, dtype=float)
        there = merged.get(now)
        if there is not None and there.shape != told.shape:
            raise Refused(
                f"the demand of {part} has {told.size} periods, others of {now} have {there.size}; "
                "give all of them the same periods"
            )
        merged[now] = told.copy() if there is None else there + told
    return merged


def _refuse_cycles(one_way: Iterable[Replacement]) -> None:
    steps: dict[str, list[str]] = {}
    for row in one_way:
        steps.setdefault(row.old, []).append(row.new)
    if _oldest_first(steps) is None:
        found = cycles_of((old, new) for old, news in steps.items() for new in news)
        raise ReplacementCycles([" -> ".join((*cycle, cycle[0])) for cycle in found])


def _oldest_first(steps: Mapping[str, Collection[str]]) -> list[str] | None:
    """All names, each before those it leads to (A. B. Kahn, Comm. ACM 5(11), 1962); None when they go round."""
    before = Counter(new for news in steps.values() for new in news)
    order = [old for old in steps if old not in before]
    for name in order:
        for new in steps.get(name, ()):
            before[new] -= 1
            if not before[new]:
                order.append(new)
    return order if len(order) == len(steps.keys() | before.keys()) else None


class _Groups:
    """Parts that are exchanged for one another, both ways, are one group, named by one of them."""

    def __init__(self, exchanges: Iterable[Replacement]) -> None:
        self.above: dict[str, str] = {}
        self.beside: dict[str, list[str]] = defaultdict(list)
        for row in exchanges:
            self.beside[row.old].append(row.new)
            self.beside[row.new].append(row.old)
            self.above[self.of(row.old)] = self.of(row.new)

    def of(self, part: str) -> str:
        """The group's name; the way to it is made short on the way."""
        if part not in self.above:
            return part
        root = part
        while (higher := self.above.get(root, root)) != root:
            root = higher
        while part != root:
            part, self.above[part] = self.above.get(part, part), root
        return root

    def way(self, start: str, goal: str) -> str:
        """From one member to another by exchanges, written out."""
        came: dict[str, str] = {start: ""}
        waiting = deque([start])
        while waiting and goal not in came:
            at = waiting.popleft()
            for new in self.beside[at]:
                if came.setdefault(new, at) == at:
                    waiting.append(new)
        chain = [goal]
        while chain[-1] != start:
            chain.append(came[chain[-1]])
        return " = ".join(reversed(chain))


#: From group to group, the row that leads there.
_Steps = dict[str, dict[str, Replacement]]


def _steps_between(groups: _Groups, one_way: Iterable[Replacement]) -> _Steps:
    after: _Steps = {}
    for row in one_way:
        old, new = groups.of(row.old), groups.of(row.new)
        if old != new:
            after.setdefault(old, {}).setdefault(new, row)
    return after


def _group_cycles(groups: _Groups, after: _Steps) -> ReplacementCycles:
    """The cycles that run through exchange groups, with the exchanges on the way."""
    told = []
    for cycle in cycles_of((old, new) for old, news in after.items() for new in news):
        rows = [after[old][new] for old, new in zip(cycle, (*cycle[1:], cycle[0]), strict=True)]
        entries = [rows[-1].new, *(row.new for row in rows[:-1])]
        ways = [groups.way(entry, row.old) for entry, row in zip(entries, rows, strict=True)]
        told.append(" -> ".join((*ways, entries[0])))
    return ReplacementCycles(told)


def _ends(
    groups: _Groups, after: _Steps, merged: Sequence[Replacement]
) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    """The present number of every part, or the several numbers that its replacements lead to."""
    order = _oldest_first(after)
    if order is None:
        raise _group_cycles(groups, after)
    newest = _newest(groups, merged)
    ends: dict[str, tuple[str, ...]] = {}
    for group in reversed(order):
        onward = [ends[new] for new in after.get(group, ())]
        ends[group] = _together(onward) if onward else (group,)
    now: dict[str, str] = {}
    either: dict[str, tuple[str, ...]] = {}
    for row in merged:
        for part in (row.old, row.new):
            group = groups.of(part)
            last = ends.get(group) or (group,)
            end = group if len(last) > 1 else last[0]
            now[part] = newest.get(end, end)
            if len(last) > 1:
                either[part] = tuple(sorted(newest.get(each, each) for each in last))
    return now, either


def _together(onward: list[tuple[str, ...]]) -> tuple[str, ...]:
    """All ends that the next groups lead to; mostly there is one next group, and its own answer serves."""
    return onward[0] if len(onward) == 1 else tuple(dict.fromkeys(end for ends in onward for end in ends))


def _newest(groups: _Groups, merged: Sequence[Replacement]) -> dict[str, str]:
    """The number to use of each exchange group: one that no step inside the group leaves, the last told of these."""
    inside = [row for row in merged if row.old in groups.beside and row.new in groups.beside]
    left = {row.old for row in inside if row.both_ways != "yes" and groups.of(row.old) == groups.of(row.new)}
    newest: dict[str, str] = {}
    for row in inside:
        for part in (row.old, row.new):
            if part not in left:
                newest[groups.of(part)] = part
    return newest
