"""Cycles in what replaces what."""

from __future__ import annotations

from collections.abc import Iterable


def cycles_of(steps: Iterable[tuple[str, str]]) -> list[tuple[str, ...]]:
    """One cycle for every knot of steps from old to new, each told from its smallest name.

    >>> cycles_of([("a", "b"), ("b", "c"), ("c", "a"), ("c", "d")])
    [('a', 'b', 'c')]
    """
    after: dict[str, list[str]] = {}
    for old, new in steps:
        after.setdefault(old, []).append(new)
    done: set[str] = set()
    found: dict[frozenset[str], tuple[str, ...]] = {}
    for start in after:
        if start not in done:
            for cycle in _walk(start, after, done):
                smallest = cycle.index(min(cycle))
                found.setdefault(frozenset(cycle), cycle[smallest:] + cycle[:smallest])
    return list(found.values())


def _walk(start: str, after: dict[str, list[str]], done: set[str]) -> Iterable[tuple[str, ...]]:
    """Depth first, without recursion: a step back onto the path closes a cycle."""
    path: list[str] = [start]
    place = {start: 0}
    waiting = [iter(after.get(start, ()))]
    while path:
        for new in waiting[-1]:
            if new in place:
                yield tuple(path[place[new] :])
            elif new not in done:
                place[new] = len(path)
                path.append(new)
                waiting.append(iter(after.get(new, ())))
                break
        else:
            waiting.pop()
            left = path.pop()
            del place[left]
            done.add(left)
