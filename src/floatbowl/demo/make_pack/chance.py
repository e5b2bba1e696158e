"""Seeded chance that gives the same pack on every Python: only ``Random.random`` is relied upon."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")


def chance_for(*purpose: object) -> Random:
    """A generator of its own for one purpose, so that a change in one table leaves the others as they were."""
    return Random("nettlebeck:" + ":".join(map(str, purpose)))


def pick(random: Random, items: Sequence[T], weights: Sequence[float] | None = None) -> T:
    """One of ``items``, each equally likely or by weight."""
    if weights is None:
        return items[int(random.random() * len(items))]
    place = random.random() * sum(weights)
    for item, weight in zip(items, weights, strict=True):
        place -= weight
        if place < 0:
            return item
    return items[-1]


def whole(random: Random, low: int, high: int) -> int:
    """A whole number from ``low`` to ``high``, both included."""
    return low + int(random.random() * (high - low + 1))
