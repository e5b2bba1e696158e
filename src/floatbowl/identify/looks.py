"""What to look at next: the most that can be learnt about the kit, per minute."""

from __future__ import annotations

from typing import Final

from floatbowl.identify.answer import NextLook
from floatbowl.identify.features import ChoiceColumn
from floatbowl.identify.outlook import (
    Candidates,
    candidates,
    choice_gain_bits,
    mark_gain_bits,
    measure_gain_bits,
    settled,
    settled_by_mark,
)
from floatbowl.identify.weigh import Standing
from floatbowl.reference.facts import FeatureKind

#: Looks that would tell less than this are not worth a caller's time.
LEAST_BITS: Final = 0.004
_DEFAULT_MINUTES: Final = 2.0
#: A look that may harm counts as so much longer for each step of risk (estimate).
_RISK_AS_TIME: Final = 0.35
#: What is left of a mark's worth when it has been read once already (estimate).
_READ_AGAIN: Final = 0.4
_READ_RISK: Final = 2
READ_HOW: Final = (
    "Photograph it untouched first. Then solvent and a soft brush, a rag, light from the side, from four sides; "
    "chalk or talc wiped over, and photograph it again."
)
READ_CAUTION: Final = "Never wire, abrasive, scraper or buff: they take the number off. Solvent: gloves, air, no flame."


def next_looks(standing: Standing, limit: int = 8) -> tuple[NextLook, ...]:
    """Looks not taken yet, best first: expected drop of the kit's entropy in bits, per minute, risk counted as time.

    Information per cost is a rule of thumb, not an optimum (D. Heckerman, J. S. Breese, K. Rommelse,
    "Decision-theoretic troubleshooting", Comm. ACM 38(3), 1995). Empty when all that remains takes the same kits.
    """
    pool = candidates(standing)
    if pool.groups.shape[0] < 2:
        return ()
    found = [*_features(standing, pool), *_marks(standing, pool)]
    worth = [look for look in found if look.bits >= LEAST_BITS]
    return tuple(sorted(worth, key=_rank, reverse=True)[:limit])


def chance_after(standing: Standing, look: NextLook) -> float:
    """Chance that the likeliest group of kits is the right one after this look."""
    pool = candidates(standing)
    if look.mark:
        return settled_by_mark(standing, pool, look.mark)
    return settled(standing, pool, standing.weigher.features[look.feature])


def _features(standing: Standing, pool: Candidates) -> list[NextLook]:
    asked = {look.feature for look in standing.enquiry.looks}
    found = []
    for feature, column in standing.weigher.features.items():
        if feature not in asked:
            if isinstance(column, ChoiceColumn):
                bits = choice_gain_bits(standing, pool, column)
            else:
                bits = measure_gain_bits(pool, column)
            found.append(_feature_look(column.kind, bits))
    return found


def _feature_look(kind: FeatureKind, bits: float) -> NextLook:
    minutes = kind.minutes if kind.minutes else _DEFAULT_MINUTES
    return NextLook(
        minutes=minutes,
        risk=kind.risk or 0,
        bits=bits,
        bits_per_minute=bits / minutes,
        feature=kind.feature,
        question=kind.question,
        how=kind.how,
        needs=kind.needs,
        caution=kind.caution,
    )


def _marks(standing: Standing, pool: Candidates) -> list[NextLook]:
    catalogue, assumptions = standing.weigher.catalogue, standing.weigher.assumptions
    read = {reading.part for reading in standing.enquiry.readings}
    found = []
    for part in standing.weigher.identifying_parts:
        succeeds = assumptions.read_succeeds * (_READ_AGAIN if part in read else 1.0)
        bits = succeeds * mark_gain_bits(standing, pool, part)
        found.append(
            NextLook(
                minutes=assumptions.read_minutes,
                risk=_READ_RISK,
                bits=bits,
                bits_per_minute=bits / assumptions.read_minutes,
                mark=part,
                question=f"What number is on the {part}?",
                how=READ_HOW,
                caution=READ_CAUTION,
            )
        )
    return found if catalogue.recorded else []


def _rank(look: NextLook) -> float:
    return look.bits / (look.minutes * (1 + _RISK_AS_TIME * look.risk))
