"""What was asked of every line: one entry an order line, or one a month where only monthly sales are known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from floatbowl.engine.refusal import Refused

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Orders:
    """Order lines of a shelf: entry k asked ``quantity[k]`` of line ``line[k]`` in month ``month[k]`` (0 is the first).

    Sales and lost enquiries are entries alike: both were asked. ``known_from`` is the first month in which a line
    could have been asked for, so that a new line is not taken for a slow one. ``by_month`` says that only
    months' totals are known: a line has one order a month at most.
    """

    lines: int
    months: int
    line: Whole
    month: Whole
    quantity: Whole
    known_from: Whole
    by_month: bool = False

    def __post_init__(self) -> None:
        if not len(self.line) == len(self.month) == len(self.quantity):
            raise Refused("the orders' lines, months and quantities must be as many as one another")
        if len(self.known_from) != self.lines:
            raise Refused(
                f"known_from has {len(self.known_from)} entries; it must have one for each of {self.lines} lines"
            )
        if len(self.line) == 0:
            return
        _inside("line", self.line, self.lines)
        _inside("month", self.month, self.months)
        if self.quantity.min() < 1:
            worst = int(np.argmin(self.quantity))
            raise Refused(f"order {worst} asks {self.quantity[worst]}; leave out returns and orders for nothing")

    def until(self, month: int) -> Orders:
        """What was known at the start of ``month``: the orders of the months before it."""
        if not 0 < month <= self.months:
            raise Refused(f"month {month} is outside the record; it must be from 1 to {self.months}")
        kept = self.month < month
        return Orders(
            lines=self.lines,
            months=month,
            line=self.line[kept],
            month=self.month[kept],
            quantity=self.quantity[kept],
            known_from=self.known_from,
            by_month=self.by_month,
        )

    def monthly(self) -> Whole:
        """Units asked, a row a line and a column a month."""
        units = np.zeros((self.lines, self.months), np.int64)
        np.add.at(units, (self.line, self.month), self.quantity)
        return units


def _inside(name: str, values: Whole, limit: int) -> None:
    if values.min() < 0 or values.max() >= limit:
        raise Refused(f"the orders name {name} {values.min()} to {values.max()}; there are {name}s 0 to {limit - 1}")


def orders_from_months(units: npt.ArrayLike, known_from: npt.ArrayLike | None = None) -> Orders:
    """Orders from monthly totals (a row a line): every month with demand is taken as one order of that total.

    Raises ``Refused`` for anything but whole numbers of at least 0.

    >>> record = orders_from_months([[0, 2, 0], [1, 0, 4]])
    >>> record.line.tolist(), record.month.tolist(), record.quantity.tolist()
    ([0, 1, 1], [1, 0, 2], [2, 1, 4])
    """
    table = np.atleast_2d(np.asarray(units))
    if table.ndim != 2 or 0 in table.shape:
        raise Refused("monthly demand must be a table with a row for each line and a column for each month")
    whole = np.asarray(table, np.float64)
    if not np.all(np.isfinite(whole) & (whole >= 0) & (whole == np.floor(whole))):
        at = np.argwhere(~(np.isfinite(whole) & (whole >= 0) & (whole == np.floor(whole))))[0]
        raise Refused(f"line {at[0]}, month {at[1]} holds {whole[at[0], at[1]]:g}; demand is a whole number, 0 or more")
    counts = whole.astype(np.int64)
    line, month = np.nonzero(counts)
    first = np.zeros(len(counts), np.int64) if known_from is None else np.asarray(known_from, np.int64)
    return Orders(
        lines=counts.shape[0],
        months=counts.shape[1],
        line=line.astype(np.int64),
        month=month.astype(np.int64),
        quantity=counts[line, month],
        known_from=first,
        by_month=True,
    )
