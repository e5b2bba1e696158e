"""How long a whole shelf takes: ``python -m benchmarks.shelf_speed [--lines 30000] [--months 60]``.

Invented demand (rates gamma, sizes mostly ones and twos, prices log-normal, several seeds). Timed from the record of
orders to suggestions: forecasts, three quantiles, levels for 90 % of order lines with at least 85 % of the value, what
to order, and what the next unit of every line would do. Compiled code is made ready on a small shelf before.
"""

from __future__ import annotations

import argparse
import sys
import time

import numpy as np

from floatbowl.shelf.choosing import choose
from floatbowl.shelf.demand import demand_over, expect
from floatbowl.shelf.levels import Timing, gains, levels_for_target, next_unit, suggested
from floatbowl.shelf.orders import Orders

GOAL_S = 5.0
TIMING = Timing(lead_months=3, review_months=1)


def invented(lines: int, months: int, seed: int) -> Orders:
    """Orders of a shelf most of whose lines go a few times a year."""
    chance = np.random.default_rng(seed)
    rate = chance.gamma(0.6, 0.5, lines)
    number = chance.poisson(np.repeat(rate, months)).astype(np.int64)
    at = np.repeat(np.arange(lines * months), number)
    return Orders(
        lines=lines,
        months=months,
        line=at // months,
        month=at % months,
        quantity=chance.geometric(chance.uniform(0.4, 1.0, lines)[at // months]).astype(np.int64),
        known_from=np.zeros(lines, np.int64),
    )


def steps(orders: Orders, seed: int) -> dict[str, float]:
    """Seconds of each step."""
    chance = np.random.default_rng(seed + 1000)
    price = np.exp(chance.normal(1.0, 1.0, orders.lines))
    on_hand, nothing = chance.poisson(2.0, orders.lines).astype(np.int64), np.zeros(orders.lines, np.int64)
    took: dict[str, float] = {}
    began = time.perf_counter()

    def done(name: str) -> None:
        nonlocal began
        took[name] = time.perf_counter() - began
        began = time.perf_counter()

    demand = expect(orders)
    done("what is expected of every line")
    table = demand_over(demand, TIMING.protected)
    done("chances over lead time and review")
    for share in (0.5, 0.9, 0.95):
        table.quantile(share)
    done("three quantiles")
    gain = gains(demand, price, TIMING)
    done("what every level does")
    levels = levels_for_target(gain, 0.9, least_value_filled=0.85)
    done("levels for the target, value guarded")
    suggested(levels, on_hand, nothing, nothing)
    next_unit(gain, levels)
    done("suggestions and next units")
    return took


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--lines", type=int, default=30_000)
    options.add_argument("--months", type=int, default=60)
    options.add_argument("--seeds", type=int, default=3)
    options.add_argument("--choosing", action="store_true", help="also time the choice among all methods")
    asked = options.parse_args()
    began = time.perf_counter()
    steps(invented(200, 30, 0), 0)
    print(f"made ready (compiling, or reading what was compiled): {time.perf_counter() - began:.2f} s")
    for seed in range(asked.seeds):
        orders = invented(asked.lines, asked.months, seed)
        took = steps(orders, seed)
        total = sum(took.values())
        print(
            f"{asked.lines} lines, {asked.months} months, {len(orders.line)} orders: {total:.2f} s (bar {GOAL_S:.0f} s)"
        )
        for name, seconds in took.items():
            print(f"  {name:38s} {seconds:6.2f} s")
        if asked.choosing:
            began = time.perf_counter()
            method = choose(orders, 4).method
            print(f"  choice among the methods ({method}): {time.perf_counter() - began:.2f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
