"""Ordering one for each one sold: what a base stock does.

With Poisson demand the units on order are Poisson whatever the lead time's spread, with its mean (C. Palm, 1938); so
with X on order, an order is filled at once if X < S, and max(0, X - S) wait. Source: C. C. Sherbrooke, "METRIC",
Operations Research 16, 1968, 122-141 (from memory). Holds for demand one at a time, all that is short waiting.
"""

from __future__ import annotations

from dataclasses import dataclass

from scipy.stats import poisson

from floatbowl.engine.refusal import within
from floatbowl.shelf.newsvendor import poisson_loss


@dataclass(frozen=True, slots=True)
class BaseStock:
    """Share of orders filled at once, units waiting and units on hand on average."""

    filled: float
    waiting: float
    on_hand: float


def base_stock(level: int, pipeline: float) -> BaseStock:
    """What level S does when ``pipeline`` units are on order on average (demand x lead time).

    filled P(X <= S - 1), waiting E[(X - S)+], on hand S - pipeline + waiting.

    >>> round(base_stock(2, 1.0).filled, 9)
    0.735758882
    """
    within("level", level, 0)
    within("pipeline", pipeline, 0.0, open_low=True)
    waiting = poisson_loss(level, pipeline)
    return BaseStock(float(poisson.cdf(level - 1, pipeline)), waiting, level - pipeline + waiting)


def level_for_fill(filled: float, pipeline: float) -> int:
    """The smallest level that fills at least this share of orders at once.

    >>> level_for_fill(0.73, 1.0)
    2
    """
    within("share filled", filled, 0.0, 0.999999)
    within("pipeline", pipeline, 0.0, open_low=True)
    return int(poisson.ppf(filled, pipeline)) + 1 if filled > 0 else 0
