"""Figures from weighed cases: mistakes among the surest, calibration, what was sent, and what was flagged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

SUREST = 0.8
BINS = 15


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one weighing said, and whether it was right."""

    kit: str
    probability: float
    right: bool
    #: Whether the top kit fits, counted even for a carburettor that is not listed (never) or built from two (never).
    unlisted: bool
    hybrid: bool
    action: str = ""
    sent: str = ""
    sent_right: bool = False
    mixed: float = 0.0
    not_listed: float = 0.0
    troubles: tuple[str, ...] = ()
    case: str = ""


def wrong_among_surest(outcomes: Sequence[Outcome], part: float = SUREST) -> float:
    """Share of wrong top kits among the surest part."""
    surest = sorted(outcomes, key=lambda o: -o.probability)[: int(len(outcomes) * part)]
    return sum(not o.right for o in surest) / max(1, len(surest))


def calibration_error(outcomes: Sequence[Outcome], bins: int = BINS) -> float:
    """Expected calibration error of the top kit: equal-width bins, each weighed by its cases."""
    total = 0.0
    for low, said, right in calibration_table(outcomes, bins):
        del low
        total += abs(sum(said) - right)
    return total / max(1, len(outcomes))


def calibration_table(outcomes: Sequence[Outcome], bins: int = BINS) -> list[tuple[float, list[float], int]]:
    """For each bin that holds cases: its lower edge, the chances said, and how many were right."""
    said: dict[int, list[float]] = {}
    right: Counter[int] = Counter()
    for o in outcomes:
        at = min(bins - 1, int(o.probability * bins))
        said.setdefault(at, []).append(o.probability)
        right[at] += o.right
    return [(at / bins, said[at], right[at]) for at in sorted(said)]


def sent_figures(outcomes: Sequence[Outcome]) -> tuple[float, float]:
    """Share of cases advised to send, and share of wrong kits among them."""
    sent = [o for o in outcomes if o.action == "send"]
    return len(sent) / max(1, len(outcomes)), sum(not o.sent_right for o in sent) / max(1, len(sent))


def told_though_unlisted(outcomes: Sequence[Outcome], sure: float = 0.99) -> float:
    """Share of unlisted carburettors told a kit at this chance or more."""
    unlisted = [o for o in outcomes if o.unlisted]
    return sum(o.probability >= sure for o in unlisted) / max(1, len(unlisted))


def flagged(outcomes: Sequence[Outcome], from_chance: float) -> float:
    """Share of cases said to be built from two with at least this chance."""
    return sum(o.mixed >= from_chance for o in outcomes) / max(1, len(outcomes))


def misled_by(outcomes: Sequence[Outcome]) -> list[tuple[str, int, int, float, float]]:
    """For each kind of trouble: cases, wrong among those at 0.95 or more, mean chance said, and share right."""
    rows = []
    for trouble in sorted({t for o in outcomes for t in (o.troubles or ("none",))}):
        had = [o for o in outcomes if trouble in (o.troubles or ("none",))]
        sure_wrong = sum(o.probability >= 0.95 and not o.right for o in had)
        said = sum(o.probability for o in had) / len(had)
        rows.append((trouble, len(had), sure_wrong, said, sum(o.right for o in had) / len(had)))
    return sorted(rows, key=lambda row: -row[2])
