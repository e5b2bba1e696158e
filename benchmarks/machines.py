"""Machines of the synthetic catalogue: factory options, replacements, serial ranges and shares."""

from __future__ import annotations

import random
from collections import defaultdict

from floatbowl.reference.facts import CameOn, Machine

#: Part of the shop's callers whose carburettor came on some listed machine (an estimate).
FROM_MACHINES = 0.6
#: Shares fall with rank as 1 / (rank + this): Zipf-like without a single giant.
ZIPF_FLATTENING = 15.0


def zipf_shares(count: int, rng: random.Random) -> list[float]:
    """Shares that sum to one, Zipf-like, in random order."""
    ranks = rng.sample(range(count), count)
    shares = [1.0 / (rank + ZIPF_FLATTENING) for rank in ranks]
    total = sum(shares)
    return [share / total for share in shares]


def make_machines(
    names: list[str], rng: random.Random
) -> tuple[tuple[Machine, ...], tuple[CameOn, ...], dict[str, float]]:
    """About one machine to ten carburettors, what came on each, and every carburettor's share at the counter.

    A carburettor's share is what its machines bring in, and a Zipf-like share of its own.
    """
    count = max(2, len(names) // 10)
    shares = zipf_shares(count, rng)
    machines, rows = [], []
    total: dict[str, float] = defaultdict(float)
    for name, own in zip(names, zipf_shares(len(names), rng), strict=True):
        total[name] = (1 - FROM_MACHINES) * own
    for i, share in enumerate(shares):
        key = f"machine-{i:04d}"
        machines.append(Machine(machine=key, make=f"Make {i % 17}", model=f"Model {i}", share=share))
        options = _options(key, names, rng)
        rows.extend(options)
        for row in options:
            total[row.carburettor] += FROM_MACHINES * share * (row.share or 0.0)
    return tuple(machines), tuple(rows), dict(total)


def _options(machine: str, names: list[str], rng: random.Random) -> list[CameOn]:
    """One to four carburettors, the first common, later ones rarer; half the machines changed over at some serial."""
    count = rng.choices((1, 2, 3, 4), weights=(4, 4, 2, 1))[0]
    first = rng.randrange(len(names))
    chosen = dict.fromkeys([names[first]])
    while len(chosen) < count:
        near = rng.random() < 0.4
        at = min(len(names) - 1, first + rng.randint(1, 6)) if near else rng.randrange(len(names))
        chosen[names[at]] = None
        count = min(count, len(names))
    weights = [rng.uniform(0.5, 1.5) / (i + 1) for i in range(len(chosen))]
    changed_over = len(chosen) > 1 and rng.random() < 0.5
    edges = sorted(rng.sample(range(2000, 60000), len(chosen) - 1))
    rows = []
    for i, name in enumerate(chosen):
        low = 1001 if i == 0 else edges[i - 1]
        high = 65000 if i == len(chosen) - 1 else edges[i]
        rows.append(
            CameOn(
                machine=machine,
                carburettor=name,
                share=weights[i] / sum(weights),
                how="factory" if i == 0 or changed_over else rng.choice(("option", "option", "replacement")),
                serial_from=str(low) if changed_over else "",
                serial_to=str(high) if changed_over else "",
                serial_doubt=500.0 if changed_over else None,
            )
        )
    return rows
