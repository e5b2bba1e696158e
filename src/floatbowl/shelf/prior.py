"""What all lines of a shelf say about a line with little history of its own: empirical Bayes.

How often: orders a month are gamma-distributed over the lines of a group, so that past counts say best what came
after; with a short record, by marginal likelihood of the counts. How much at once: the group's shares of sizes, with
the weight of so many orders, by credibility.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.counts import Counts, Pooling, count
from floatbowl.shelf.orders import Floats, Orders, Whole

#: A group with fewer lines or orders than this is too small to learn from; it takes what all lines say (estimate).
LEAST_LINES: Final = 30
LEAST_ORDERS: Final = 60
#: Sizes rarer than this among all orders of a group are left to the lines that have them.
_RAREST: Final = 5e-4
#: What followed is looked at in two runs of so many months, where the record has at least so many.
_AHEAD: Final = 4
_LEAST_TO_FOLLOW: Final = 18
_LEAST_WEIGHT: Final = 0.25
_MOST_WEIGHT: Final = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPrior:
    """What one group of lines says: orders a month gamma(``shape``, rate ``months``), sizes and their weight."""

    shape: float
    months: float
    size: Whole
    share: Floats
    size_weight: float

    @property
    def orders_a_month(self) -> float:
        """What a line of the group is asked, times a month."""
        return self.shape / self.months


def learn_groups(orders: Orders, counts: Counts, group: Whole, pooling: Pooling) -> tuple[GroupPrior, ...]:
    """A prior for each group 0, 1, 2...; small groups take that of all lines. Raises ``Refused`` without any orders."""
    if counts.orders.sum() <= 0:
        raise Refused("no orders are on record; enter sales or lost enquiries before asking what they say")
    followed = _followed(orders, pooling)
    whole = _learn(counts, followed, np.ones(len(group), bool))
    found = []
    for number in range(int(group.max(initial=0)) + 1):
        chosen = group == number
        enough = chosen.sum() >= LEAST_LINES and np.count_nonzero(chosen[counts.size_line]) >= LEAST_ORDERS
        found.append(_learn(counts, followed, chosen) if enough and not chosen.all() else whole)
    return tuple(found)


def _learn(counts: Counts, followed: tuple[Followed, ...], chosen: npt.NDArray[np.bool_]) -> GroupPrior:
    shape, months = fit_gamma(counts.orders[chosen], counts.months[chosen])
    if followed and sum(one.came[chosen].sum() for one in followed) >= LEAST_ORDERS:
        shape, months = fit_by_what_followed([one.of(chosen) for one in followed], shape, months)
    ours = chosen[counts.size_line]
    line, size, times = counts.size_line[ours], counts.size[ours], counts.size_times[ours]
    total = np.bincount(size, counts.size_count[ours])
    kept = np.flatnonzero(total >= _RAREST * total.sum())
    share = total[kept] / total[kept].sum()
    return GroupPrior(
        shape=shape, months=months, size=kept, share=share, size_weight=fit_size_weight(line, size, times)
    )


@dataclass(frozen=True, slots=True)
class Followed:
    """Lines' discounted orders and months as at a past month, and what came in ``ahead`` months after."""

    orders: Floats
    months: Floats
    came: Floats
    ahead: int

    def of(self, chosen: npt.NDArray[np.bool_]) -> Followed:
        return Followed(self.orders[chosen], self.months[chosen], self.came[chosen], self.ahead)


def _followed(orders: Orders, pooling: Pooling) -> tuple[Followed, ...]:
    if orders.months < _LEAST_TO_FOLLOW:
        return ()
    found = []
    for then in (orders.months - _AHEAD, orders.months - 2 * _AHEAD):
        past = count(orders.until(then), pooling)
        after = (orders.month >= then) & (orders.month < then + _AHEAD)
        came = np.bincount(orders.line[after], minlength=orders.lines).astype(np.float64)
        found.append(Followed(past.orders, past.months, came, _AHEAD))
    return tuple(found)


def fit_by_what_followed(followed: Sequence[Followed], shape: float, months: float) -> tuple[float, float]:
    """Shape and rate under which past counts say best what came after, beginning from those given.

    Poisson quasi-likelihood of the means ahead (a + n) / (b + m) (P. McCullagh, J. A. Nelder, "Generalized Linear
    Models", 2nd ed., chapter 9; from memory). The marginal likelihood takes discounted counts for Poisson counts; they
    scatter less, so it finds lines more alike than they are. This does not ask how counts scatter.
    """
    orders, known = (np.concatenate([getattr(one, name) for one in followed]) for name in ("orders", "months"))
    came = np.concatenate([one.came for one in followed])
    ahead = np.concatenate([np.full(len(one.came), float(one.ahead)) for one in followed])
    there = known > 0
    orders, known, came, ahead = orders[there], known[there], came[there], ahead[there]

    def against(at: Floats) -> float:
        a, b = np.exp(np.clip(at, -5, 6))
        expected = ahead * (a + orders) / (b + known)
        return float((expected - came * np.log(expected)).sum() + 0.02 * ((at - begin) ** 2).sum())

    begin = np.log([shape, months])
    # Half a second to import: nobody waits for it who works nothing out.
    from scipy.optimize import minimize

    best = minimize(against, begin, method="Nelder-Mead", options={"xatol": 2e-3, "fatol": 1e-3, "maxiter": 300})
    a, b = np.exp(np.clip(best.x, -5, 6))
    return float(a), float(b)


def fit_gamma(orders: Floats, months: Floats) -> tuple[float, float]:
    """Shape and rate (months) of the gamma under which the lines' counts are likeliest.

    The marginal of a Poisson count with gamma rate: G(a + n) / G(a) b^a / (b + m)^(a + n), summed over lines in logs
    (A. Gelman and others, "Bayesian Data Analysis", 3rd ed., section 2.6). Discounted counts are taken as counts. A
    narrow prior on the shape (log-normal about 1) keeps it finite where all lines look alike.
    """
    # A second to import together: nobody waits for it who works nothing out.
    from scipy.optimize import minimize
    from scipy.special import gammaln

    mean = max(float(orders.sum() / max(months.sum(), 1e-9)), 1e-9)

    def against(at: Floats) -> float:
        shape = float(np.exp(np.clip(at[0], -4, 5)))
        rate = shape / (mean * float(np.exp(np.clip(at[1], -5, 5))))
        seen = (
            gammaln(shape + orders) - gammaln(shape) + shape * np.log(rate) - (shape + orders) * np.log(rate + months)
        )
        return float(-seen.sum() + 0.5 * (at[0] / 2) ** 2 + 0.5 * at[1] ** 2)

    best = minimize(against, np.zeros(2), method="Nelder-Mead", options={"xatol": 2e-3, "fatol": 1e-3, "maxiter": 200})
    shape = float(np.exp(np.clip(best.x[0], -4, 5)))
    return shape, shape / (mean * float(np.exp(np.clip(best.x[1], -5, 5))))


def fit_size_weight(line: Whole, size: Whole, times: Floats) -> float:
    """The weight, in orders, of the group's sizes beside a line's own: variance within lines over that between them.

    Credibility of a mean of few observations (H. Buehlmann, E. Straub, "Glaubwuerdigkeit fuer Schadensaetze", 1970,
    from memory): a line's n orders count n / (n + weight), the group the rest. Kept between 0.25 and 100 orders.
    """
    number, total = np.bincount(line, times), np.bincount(line, times * size)
    seen = number > 0
    lines, orders = int(seen.sum()), float(number.sum())
    if lines < 2 or orders <= lines:
        return 1.0
    mean = np.divide(total, number, out=np.zeros_like(total), where=seen)
    within_lines = float((times * (size - mean[line]) ** 2).sum()) / (orders - lines)
    apart = float((number * (mean - total.sum() / orders) ** 2).sum()) - (lines - 1) * within_lines
    between_lines = apart / (orders - float((number**2).sum()) / orders)
    if between_lines <= 0:
        return _MOST_WEIGHT
    return float(np.clip(within_lines / between_lines, _LEAST_WEIGHT, _MOST_WEIGHT))
