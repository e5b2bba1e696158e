"""Which check first: by likelihood per cost.

For one fault, independent checks that cost the same whenever they are made and never err, the least expected cost is
had in falling order of likelihood over cost (Kadane and Simon, "Optimal strategies for a class of constrained
sequential problems", Annals of Statistics 5, 1977; Heckerman, Breese and Rommelse, "Decision-theoretic
troubleshooting", CACM 38, 1995; both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from floatbowl.engine.refusal import within


@dataclass(frozen=True, slots=True)
class Check:
    """A check: the likelihood that it finds the fault, and its cost (minutes, or money)."""

    name: str
    likelihood: float
    cost: float


def in_order(checks: Sequence[Check]) -> tuple[Check, ...]:
    """The checks with the least expected cost first; equal ones keep their order. Raises ``Refused`` for bad figures.

    >>> [check.name for check in in_order([Check("plugs", 0.3, 5), Check("tank vent", 0.1, 1)])]
    ['tank vent', 'plugs']
    """
    for check in checks:
        within(f"likelihood of {check.name}", check.likelihood, 0, 1)
        within(f"cost of {check.name}", check.cost, 0, open_low=True)
    return tuple(sorted(checks, key=lambda check: -check.likelihood / check.cost))


def expected_cost(checks: Sequence[Check]) -> float:
    """The expected cost of going through the checks in this order until one finds the fault.

    ``sum over i of cost_i * (1 - sum of the likelihoods before i)``. Raises ``Refused`` when likelihoods exceed one.

    >>> round(expected_cost([Check("plugs", 0.75, 4), Check("tank", 0.25, 8)]), 9)
    6.0
    """
    likelihoods = [check.likelihood for check in checks]
    within("likelihoods together", math.fsum(likelihoods), 0, 1 + 1e-9)
    left = [1 - math.fsum(likelihoods[:place]) for place in range(len(checks))]
    return math.fsum(check.cost * still for check, still in zip(checks, left, strict=True))
