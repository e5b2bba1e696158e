"""Maximum likelihood with a prior: the most probable rates, given confirmed readings and the rates held so far.

Each rate is fitted as its logit, with a Gaussian prior centred at the present rate (standard deviation ``PRIOR_SD``,
an estimate: most rates are trusted to a factor of about e either way). Minimised by L-BFGS-B (R. H. Byrd, P. Lu,
J. Nocedal, C. Zhu, "A limited memory algorithm for bound constrained optimization", SIAM J. Sci. Comput. 16(5), 1995,
pp. 1190-1208).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, fields, replace
from typing import Final

import numpy as np
from scipy.optimize import minimize
from scipy.special import expit, logit, softmax

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.learning.cases import Case
from floatbowl.identify.learning.told_of import Layout, by_role
from floatbowl.identify.machines import machine_prior
from floatbowl.identify.wear import Floats, Rates
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import ROLES

PRIOR_SD: Final = 1.0
#: No logit moves further than this from where it was: beyond it the prior has long decided.
_REACH: Final = 4.0
#: Not fitted: the readings alone cannot say, since the model takes these as given with the reading.
NOT_FITTED: Final = frozenset({"star", "doubt_clean", "doubt_worn"})
_FITTED: Final = tuple(f.name for f in fields(Rates) if f.name not in NOT_FITTED)
_SHARES: Final = (*(f"read_{role}" for role in ROLES), "read_elsewhere")
_FLOOR: Final = 1e-300


def fit_rates(layout: Layout, rates: Rates) -> Rates:
    """The most probable rates of one way, given readings of confirmed carburettors and the present rates as prior."""

    def loss(x: Floats) -> float:
        values = layout.values(layout.pairs.likelihoods(rates_of(x, rates)))
        return -float(layout.worth @ np.log(np.maximum(values, _FLOOR)))

    return rates_of(_most_probable(loss, vector_of(rates)), rates)


def vector_of(rates: Rates) -> Floats:
    """Rates as logits. ``gone_*`` is a share of what is not given as unread, so that no two can exceed one."""
    told = asdict(rates)
    for state in ("clean", "worn"):
        told[f"gone_{state}"] /= 1.0 - told[f"unread_{state}"]
    return np.asarray(logit([told[name] for name in _FITTED]), np.float64)


def rates_of(x: Floats, rates: Rates) -> Rates:
    """Rates from their logits; those not fitted are taken from ``rates``."""
    told = dict(zip(_FITTED, expit(x).tolist(), strict=True))
    for state in ("clean", "worn"):
        told[f"gone_{state}"] *= 1.0 - told[f"unread_{state}"]
    return replace(rates, **told)


def fit_shares(layouts: Sequence[tuple[Layout, Rates]], assumptions: Assumptions) -> Assumptions:
    """The most probable shares of the roles of marks that people read, given the rates."""
    now = np.array([getattr(assumptions, name) for name in _SHARES])
    parts, present, elsewhere, worth = _by_share(layouts, now)

    def loss(x: Floats) -> float:
        shares = softmax([0.0, *x])
        rest = np.maximum(1.0 - present @ shares[:-1], shares[-1])
        values = parts @ shares[:-1] + rest * elsewhere
        return -float(worth @ np.log(np.maximum(values, _FLOOR)))

    shares = softmax([0.0, *_most_probable(loss, np.log(now[1:] / now[0]))])
    return replace(assumptions, **dict(zip(_SHARES, shares.tolist(), strict=True)))


def _by_share(layouts: Sequence[tuple[Layout, Rates]], now: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """For each reading: what each role adds were its share one, which roles its carburettor bears, and the rest."""
    parts, present, elsewhere = [], [], []
    for layout, rates in layouts:
        parts.append(by_role(layout, layout.pairs.likelihoods(rates), len(ROLES)) / now[:-1])
        for each in layout.heard:
            present.append(np.isin(np.arange(len(ROLES)), each.spoken.role))
            # The present share is taken off again: what is left is the likelihood of a number nobody recorded.
            share = max(1.0 - float(present[-1] @ now[:-1]), float(now[-1]))
            elsewhere.append(each.spoken.unrecorded / share * each.spoken.elsewhere)
    worth = np.concatenate([layout.worth for layout, _ in layouts])
    return np.concatenate(parts), np.array(present, np.float64), np.array(elsewhere), worth


def fit_swapped(weigher: Weigher, cases: Sequence[Case]) -> tuple[Assumptions, int]:
    """The most probable share of carburettors that are not what the machine came with, and how many cases say so."""
    told = [pair for case in cases if (pair := _came_or_not(weigher, case)) is not None]
    if not told:
        return weigher.assumptions, 0
    came, swapped = np.array(told).T

    def loss(x: Floats) -> float:
        share = float(expit(x[0]))
        return -float(np.log(np.maximum((1 - share) * came + share * swapped, _FLOOR)).sum())

    found = _most_probable(loss, np.array([logit(weigher.assumptions.swapped)]))
    return replace(weigher.assumptions, swapped=float(expit(found[0]))), len(told)


def _came_or_not(weigher: Weigher, case: Case) -> tuple[float, float] | None:
    """Prior of the confirmed carburettor were nothing ever swapped, and were everything; ``None`` without a machine."""
    catalogue = weigher.catalogue
    if case.confirmed not in catalogue.at:
        return None

    def prior(swapped: float) -> tuple[float, str | None]:
        found, machine = machine_prior(
            weigher.machines, case.enquiry, catalogue.at, catalogue.share, catalogue.maker_of, len(catalogue.makers),
            replace(weigher.assumptions, swapped=swapped),
        )  # fmt: skip
        return float(found[catalogue.at[str(case.confirmed)]]), machine

    (came, machine), (swapped, _) = prior(0.0), prior(1.0)
    return (came, swapped) if machine is not None and came != swapped else None


def _most_probable(loss: Callable[[Floats], float], centre: Floats) -> Floats:
    """Least loss less the logarithm of the prior around ``centre``."""

    def penalised(x: Floats) -> float:
        return loss(x) + float(((x - centre) ** 2).sum()) / (2 * PRIOR_SD**2)

    bounds = [(at - _REACH, at + _REACH) for at in centre]
    found = minimize(penalised, centre, method="L-BFGS-B", bounds=bounds, options={"maxiter": 60, "ftol": 1e-7})
    return np.asarray(found.x, np.float64)
