"""How soon 30,000 parts have their present numbers: ``python -m benchmarks.supersession``.

Invented replacements: short chains with exchanges and conditions, and one chain of them all.
"""

from __future__ import annotations

import time
from typing import Final

import numpy as np

from floatbowl.reference.facts import Replacement
from floatbowl.shelf.supersede import ReplacementCycles, merged_demand, supersession

PARTS: Final = 30_000
MONTHS: Final = 60
GOAL_S: Final = 0.5


def main() -> int:
    slowest = 0.0
    for name, rows in {"short chains": short_chains(0), "one chain": one_chain()}.items():
        began = time.perf_counter()
        known = supersession(rows)
        took = time.perf_counter() - began
        slowest = max(slowest, took)
        print(f"  {name:14s} {len(rows):6d} replacements  {took:.3f} s  {len(set(known.now.values()))} present numbers")
    demand = {f"p{number}": np.ones(MONTHS) for number in range(PARTS)}
    began = time.perf_counter()
    merged = merged_demand(demand, known)
    print(f"  demand of {PARTS} parts merged to {len(merged)} in {time.perf_counter() - began:.3f} s")
    began = time.perf_counter()
    try:
        supersession([*one_chain(), Replacement(old=f"p{PARTS - 1}", new="p0")])
    except ReplacementCycles as cycles:
        print(f"  a cycle of {cycles.cycles[0].count('->')} parts refused in {time.perf_counter() - began:.3f} s")
    print(f"  aim: under {GOAL_S:g} s; slowest {slowest:.3f} s")
    return int(slowest >= GOAL_S)


def short_chains(seed: int) -> list[Replacement]:
    """Half the parts have a newer number, a tenth an exchange, a tenth a newer one under a condition."""
    draw = np.random.default_rng(seed)
    rows = []
    for number in range(PARTS - 6):
        kind, ahead = draw.random(), number + 1 + int(draw.integers(5))
        if kind < 0.5:
            rows.append(Replacement(old=f"p{number}", new=f"p{ahead}"))
        elif kind < 0.6:
            rows.append(Replacement(old=f"p{number}", new=f"p{number}x", both_ways="yes"))
        elif kind < 0.7:
            rows.append(Replacement(old=f"p{number}", new=f"p{ahead}", condition="New rod end."))
    return rows


def one_chain() -> list[Replacement]:
    """Every part is followed by the next."""
    return [Replacement(old=f"p{number}", new=f"p{number + 1}") for number in range(PARTS - 1)]


if __name__ == "__main__":
    raise SystemExit(main())
