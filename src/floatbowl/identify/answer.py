"""The answer to one enquiry, as plain values that a page, a paper or a result line can show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from floatbowl.reference.observed import Enquiry

#: Chances below this are left out of an answer (results format, version 1).
CUT_OFF = 0.0005
#: From this chance on an answer says outright that the carburettor is perhaps built from two. Chosen on two of the five
#: simulated catalogues it is measured on, so that four in five are told and hardly any whole one is.
BUILT_FROM_TWO = 0.15

Action = Literal["send", "ask", "bench"]


@dataclass(frozen=True, slots=True)
class Chance:
    """How likely one carburettor (or kit) is: ``key`` names it in the pack."""

    key: str
    probability: float


@dataclass(frozen=True, slots=True)
class NextLook:
    """A look worth taking next. ``feature`` names a feature kind, or ``mark`` the part whose number to read."""

    minutes: float
    risk: int
    bits: float
    bits_per_minute: float
    feature: str = ""
    mark: str = ""
    question: str = ""
    how: str = ""
    needs: str = ""
    caution: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do now, what it is expected to cost, and the independent kinds of evidence behind it."""

    action: Action
    kit: str | None
    ask_feature: str = ""
    ask_mark: str = ""
    expected_cost: float = 0.0
    kinds: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class Reason:
    """One piece of evidence in plain words, and its weight for (positive) or against a carburettor."""

    says: str
    for_: str
    decibans: float


@dataclass(frozen=True, slots=True)
class Difference:
    """A part, size or setting in which the remaining carburettors differ: value shown -> carburettors having it."""

    what: str
    values: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Answer:
    """Everything the weighing of one enquiry has to say.

    ``carburettors``, ``not_listed`` and ``mixed`` are exclusive and sum to one within what is cut off;
    a kit's probability is that it fits, so kits may total more than one.
    """

    enquiry: Enquiry
    carburettors: tuple[Chance, ...]
    kits: tuple[Chance, ...]
    not_listed: float
    mixed: float
    no_kit: float
    advice: Advice
    next: tuple[NextLook, ...] = ()
    reasons: tuple[Reason, ...] = ()
    contradictions: tuple[str, ...] = ()
    differences: tuple[Difference, ...] = ()
    warnings: tuple[str, ...] = ()
    parts: Mapping[str, tuple[Chance, ...]] = field(default_factory=dict)


def as_result(answer: Answer) -> dict[str, Any]:
    """The answer as one result line (results of weighing enquiries, version 1)."""
    advice = answer.advice
    ask: dict[str, str] | None = None
    if advice.ask_feature:
        ask = {"feature": advice.ask_feature}
    elif advice.ask_mark:
        ask = {"mark": advice.ask_mark}
    return {
        "enquiry": answer.enquiry.enquiry,
        "carburettors": [{"carburettor": c.key, "probability": round(c.probability, 6)} for c in answer.carburettors],
        "kits": [{"kit": c.key, "probability": round(c.probability, 6)} for c in answer.kits],
        "not_listed": round(answer.not_listed, 6),
        "mixed": round(answer.mixed, 6),
        "no_kit": round(answer.no_kit, 6),
        "parts": {
            part: [{"carburettor": c.key, "probability": round(c.probability, 6)} for c in chances]
            for part, chances in answer.parts.items()
        },
        "advice": {
            "action": advice.action,
            "kit": advice.kit,
            "ask": ask,
            "expected_cost": round(advice.expected_cost, 4),
            "kinds": list(advice.kinds),
        },
        "next": [
            ({"feature": look.feature} if look.feature else {"mark": look.mark})
            | {"minutes": look.minutes, "bits_per_minute": round(look.bits_per_minute, 5)}
            for look in answer.next
        ],
        "reasons": [{"says": r.says, "for": r.for_, "decibans": round(r.decibans, 2)} for r in answer.reasons],
        "contradictions": list(answer.contradictions),
        "warnings": list(answer.warnings),
    }
