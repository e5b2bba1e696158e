"""A record of orders as discounted counts: how often each line was asked for, and how much at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from floatbowl.engine.refusal import within
from floatbowl.shelf.orders import Floats, Orders, Whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooling:
    """How the past counts. ``discount`` is what a month's orders are worth a month later; ``size_discount`` likewise
    for the sizes of orders. ``spread`` widens the doubt about each line's rate (1 leaves it); ``correct`` brings
    forecasts down or up by what those of the last year missed by, over the whole shelf.

    ``before_first`` is for records that do not say since when a line could be asked for: it is taken to be so many
    months before its first order (a line never asked for, so many months before now).

    The discounts are those chosen on a third of the lines of one data set (benchmarks/shelf_backtest.py), where a
    spread of a half was best; whether they suit a shelf is for its own past to say (``floatbowl.shelf.choosing``).
    """

    discount: float = 0.88
    size_discount: float = 0.9
    spread: float = 1.0
    correct: bool = True
    before_first: int | None = None

    def __post_init__(self) -> None:
        within("discount", self.discount, 0.5, 1.0)
        within("size discount", self.size_discount, 0.5, 1.0)
        within("spread", self.spread, 0.05, 20.0)
        if self.before_first is not None:
            within("months before the first order", self.before_first, 0, 600)


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Every line's discounted orders and the months they were counted in; its sizes, sparse: discounted counts, and
    how many times each came (``size_times``). ``size_worth`` is what a line's discounted counts of sizes are worth
    each, so that they add up to the number of equal orders that would tell as much: (sum w)^2 / sum w^2 in all
    (L. Kish, "Survey Sampling", 1965; from memory)."""

    orders: Floats
    months: Floats
    size_line: Whole
    size: Whole
    size_count: Floats
    size_times: Floats
    size_worth: Floats


def count(orders: Orders, pooling: Pooling) -> Counts:
    """Discounted counts at the end of the record."""
    age = orders.months - 1 - orders.month
    known = np.maximum(orders.months - _known_from(orders, pooling.before_first), 0)
    beyond = 1 + int(orders.quantity.max(initial=0))
    key, where = np.unique(orders.line * beyond + orders.quantity, return_inverse=True)
    weight = np.asarray(pooling.size_discount**age, np.float64)
    return Counts(
        orders=_sums(orders.line, np.asarray(pooling.discount**age, np.float64), orders.lines),
        months=_discounted_months(pooling.discount, known),
        size_line=key // beyond,
        size=key % beyond,
        size_count=_sums(where, weight, len(key)),
        size_times=_sums(where, np.ones(len(where)), len(key)),
        size_worth=_worth(orders, weight),
    )


def _sums(where: npt.NDArray[np.intp], weight: Floats, places: int) -> Floats:
    return np.bincount(where, weight, minlength=places).astype(np.float64)


def _worth(orders: Orders, weight: Floats) -> Floats:
    once, twice = _sums(orders.line, weight, orders.lines), _sums(orders.line, weight * weight, orders.lines)
    return np.asarray(np.divide(once, twice, out=np.ones_like(once), where=twice > 0), np.float64)


def _known_from(orders: Orders, before_first: int | None) -> Whole:
    if before_first is None:
        return orders.known_from
    first = np.full(orders.lines, orders.months, np.int64)
    np.minimum.at(first, orders.line, orders.month)
    return np.maximum(orders.known_from, first - before_first)


def _discounted_months(discount: float, known: Whole) -> Floats:
    return np.asarray((1.0 - discount**known) / (1.0 - discount) if discount < 1 else known, np.float64)
