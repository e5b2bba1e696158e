"""Invented records of orders that the tests of demand and levels share."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from floatbowl.shelf.orders import Orders, orders_from_months


def shelf(
    lines: int, months: int, seed: int, shape: float = 0.8, a_month: float = 0.4, mean_size: float = 1.6
) -> Orders:
    """Rates gamma over the lines, orders Poisson, sizes geometric: what the pooled forecast holds to be true."""
    chance = np.random.default_rng(seed)
    rate = chance.gamma(shape, a_month / shape, lines)
    number = chance.poisson(np.repeat(rate, months))
    at = np.repeat(np.arange(lines * months), number)
    return Orders(
        lines=lines,
        months=months,
        line=at // months,
        month=at % months,
        quantity=chance.geometric(1 / mean_size, len(at)),
        known_from=np.zeros(lines, np.int64),
    )


#: Small tables of monthly demand, a row a line, at least one of them asked for.
TABLES = (
    st.integers(2, 12)
    .flatmap(
        lambda months: st.lists(st.lists(st.integers(0, 6), min_size=months, max_size=months), min_size=1, max_size=6)
    )
    .filter(lambda rows: any(map(any, rows)))
)
RECORDS = TABLES.map(orders_from_months)
