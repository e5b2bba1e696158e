"""How often looks were answered right, counted on confirmed carburettors: for people to read, nothing is refitted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from floatbowl.identify.features import ChoiceColumn
from floatbowl.identify.learning.cases import Case
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.observed import UNINFORMATIVE


@dataclass(frozen=True, slots=True)
class AnswerCount:
    """Answers about one feature: ``right`` of ``of`` in all."""

    feature: str
    coached: bool
    right: int
    of: int


def count_answers(weigher: Weigher, cases: Sequence[Case]) -> tuple[AnswerCount, ...]:
    """Answers to choices whose true value is recorded, untold and coached apart, by feature."""
    counts: dict[tuple[str, bool], list[int]] = {}
    for case in cases:
        at = weigher.catalogue.at.get(case.confirmed or "")
        if at is None:
            continue
        for look in case.enquiry.looks:
            column = weigher.features.get(look.feature)
            if not isinstance(column, ChoiceColumn) or look.value in UNINFORMATIVE:
                continue
            code = int(column.code[at])
            if code < len(column.choices):
                count = counts.setdefault((look.feature, look.coached), [0, 0])
                count[0] += int(look.value == column.choices[code])
                count[1] += 1
    return tuple(AnswerCount(feature, coached, *count) for (feature, coached), count in sorted(counts.items()))
