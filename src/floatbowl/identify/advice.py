"""Send, ask, or bench: what to do now, by what a wrong kit, a minute and the bench cost."""

from __future__ import annotations

import numpy as np

from floatbowl.identify.answer import Action, Advice, NextLook
from floatbowl.identify.castings import Item
from floatbowl.identify.compiled import Numbers
from floatbowl.identify.looks import chance_after
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Standing
from floatbowl.reference.observed import Enquiry

#: Kits within this of each other fit the same carburettors; the fuller one is preferred.
_TIE = 1e-9
_FULLEST_FIRST = ("full", "")


def advise(standing: Standing, looks: tuple[NextLook, ...]) -> Advice:
    """The action of least expected cost among those that are allowed.

    A kit is sent only when it is likely enough, and two independent kinds of evidence speak for it. Else the best
    look is asked for, unless none would tell anything, or the bench is cheaper.
    """
    costs = standing.weigher.reference.costs
    kit, chance = best_kit(standing)
    if standing.no_kit > chance:
        kit = None
    kinds = kinds_of_evidence(standing, kit)
    send_cost = (1 - chance) * costs.wrong_kit
    if standing.mixed >= 0.5:
        return _advice("bench", None, None, costs.bench, kinds, "It looks built from two carburettors.")
    if kit is not None and chance >= standing.weigher.assumptions.send_at_least and len(kinds) >= 2:
        return _advice("send", kit, None, send_cost, kinds, "Sure enough, by two independent kinds of evidence.")
    look = looks[0] if looks else _confirming(standing)
    if look is None:
        return _advice("bench", kit, None, costs.bench, kinds, "No look from outside would settle it.")
    ask_cost = look.minutes * costs.minute + _cost_after(standing, look)
    if ask_cost > costs.bench + look.minutes * costs.minute:
        return _advice("bench", kit, None, costs.bench, kinds, "The bench is cheaper than asking further.")
    return _advice("ask", kit, look, ask_cost, kinds, _why_ask(chance, kinds, standing))


def best_kit(standing: Standing) -> tuple[str | None, float]:
    """The likeliest kit among those wanted (level, fuel), fuller ones first among equals; ``None`` without kits."""
    wanted = standing.weigher.wanted_kits(standing.enquiry.want_level, standing.enquiry.want_fuel)
    found = np.where(wanted, standing.kit_chances, -1.0)
    if not found.size or float(found.max()) <= 0.0:
        return None, 0.0
    tied = np.flatnonzero(found >= found.max() - _TIE)
    kits = standing.weigher.reference.kits
    chosen = min(tied, key=lambda i: (_fullness(kits[i].level), kits[i].fuel not in ("petrol", ""), i))
    return kits[chosen].kit, float(found[chosen])


def kinds_of_evidence(standing: Standing, kit: str | None) -> tuple[str, ...]:
    """The independent kinds of evidence that speak for a kit: a number, a look at each part, a measure.

    Items of one group count as one kind, and evidence counts only where it makes the kit likelier. A machine, and
    what was bought before, are no kinds of their own.
    """
    if kit is None:
        return ()
    kits = standing.weigher.catalogue.kits
    number = kits.at[kit]
    fits = kits.fits_hypothesis[slice(*np.searchsorted(kits.fits_kit, [number, number + 1]))]
    if standing.posterior[fits].sum() <= 0:
        return ()
    others = standing.prior.copy()
    others[fits] = 0.0
    others /= max(float(others.sum()), 1e-300)
    least = standing.weigher.assumptions.kind_strength_decibans
    pairs = {
        (item.kind, item.group or f" {n}")
        for n, item in enumerate(standing.items)
        if _speaks_for(standing, item, fits, others) >= least
    }
    return _independent(sorted(pairs))


def _independent(pairs: list[tuple[str, str]]) -> tuple[str, ...]:
    """As many kinds as can be had with every kind and every group used once (few items: greedy by rarest group)."""
    kinds: list[str] = []
    groups: set[str] = set()
    for kind, group in sorted(pairs, key=lambda pair: (sum(p[1] == pair[1] for p in pairs), pair)):
        if kind not in kinds and group not in groups:
            kinds.append(kind)
            groups.add(group)
    return tuple(kinds)


def _speaks_for(standing: Standing, item: Item, fits: Numbers, others: Floats) -> float:
    """Decibans by which an item makes the kit's carburettors likelier than the rest, whose shares are ``others``."""
    weights = standing.posterior[fits]
    mine = float(item.values[fits] @ weights / weights.sum())
    rest = float(item.values @ others)
    return 10 * float(np.log10(max(mine, 1e-280) / max(rest, 1e-280)))


def _confirming(standing: Standing) -> NextLook | None:
    """When the kit is clear but rests on one kind of evidence: the cheapest other look that could speak against it."""
    from floatbowl.identify.confirm import confirming_look

    return confirming_look(standing)


def _cost_after(standing: Standing, look: NextLook) -> float:
    """Expected cost of a wrong kit after one look, deciding at once by the likeliest group of kits."""
    best = chance_after(standing, look)
    return (1 - best) * standing.weigher.reference.costs.wrong_kit


def _fullness(level: str) -> int:
    return _FULLEST_FIRST.index(level) if level in _FULLEST_FIRST else len(_FULLEST_FIRST)


def _why_ask(chance: float, kinds: tuple[str, ...], standing: Standing) -> str:
    if chance >= standing.weigher.assumptions.send_at_least and len(kinds) < 2:
        return "The kit is likely, but only one kind of evidence speaks for it; one more look confirms it."
    return "One more look would tell the remaining ones apart."


def _advice(
    action: Action, kit: str | None, look: NextLook | None, cost: float, kinds: tuple[str, ...], why: str
) -> Advice:
    return Advice(
        action,
        kit,
        ask_feature=look.feature if look else "",
        ask_mark=look.mark if look else "",
        expected_cost=cost,
        kinds=kinds,
        why=why,
    )


__all__ = ["Enquiry", "advise", "best_kit", "kinds_of_evidence"]
