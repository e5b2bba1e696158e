"""How soon it is proven what to carry: ``python -m benchmarks.what_to_carry``.

20,000 invented enquiries over 2,000 kits, some kits much asked for and most seldom, one to three kits to an enquiry,
one enquiry in fifty that no kit fits.
"""

from __future__ import annotations

import argparse
import time
from typing import Final

import numpy as np

from floatbowl.shelf.carry import SHARES, Enquiry, kits_to_carry

KITS: Final = 2_000


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seeds", type=int, default=3)
    options.add_argument("--seconds", type=float, default=2.0, help="time limit of the solver")
    asked = options.parse_args()
    for seed in range(asked.seeds):
        enquiries = invented(seed, 20_000)
        for share in SHARES:
            began = time.perf_counter()
            found = kits_to_carry(enquiries, share, time_limit_s=asked.seconds)
            took = time.perf_counter() - began
            proof = "proven" if found.proven else f"at least {found.at_least}"
            greedy = len(found.greedy)
            print(
                f"  seed {seed}  {share:.0%}  {took:5.2f} s  {len(found.kits)} kits ({proof}), greedy {greedy}",
                flush=True,
            )
    return 0


def invented(seed: int, count: int) -> list[Enquiry]:
    """Enquiries of an invented shop."""
    draw = np.random.default_rng(seed)
    enquiries = []
    for number in range(count):
        base = int(min(KITS - 1, draw.pareto(0.7) * 25))
        others = draw.integers(1, 6, size=draw.choice([0, 0, 0, 1, 1, 2]))
        kits = frozenset(f"K{min(KITS - 1, base + int(other))}" for other in (0, *others))
        enquiries.append(Enquiry(str(number), kits if draw.random() > 0.02 else frozenset()))
    return enquiries


if __name__ == "__main__":
    raise SystemExit(main())
