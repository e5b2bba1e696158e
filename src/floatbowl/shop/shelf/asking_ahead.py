"""Questions that would come next are asked at once, where they do not hang on what is answered to the first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Final, TypeVar

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Question
from floatbowl.shelf.supplier_list import Asked

_T = TypeVar("_T")
#: Rounds looked ahead: readers ask in fewer.
_ROUNDS: Final = 4


def ask_ahead(read: Callable[[Mapping[str, str]], _T | Asked], answers: Mapping[str, str]) -> _T | Asked:
    """What is read; or what it asks, with what it would ask next both after all first and after all last answers.

    ``read`` must change nothing. Raises ``Refused`` where the answers given so far cannot be.
    """
    found = read(answers)
    if not isinstance(found, Asked):
        return found
    first, last = (_next(read, answers, found, which) for which in (0, -1))
    also = [
        _alike(one, last[key]) for key, one in first.items() if key in last and _answers(one) == _answers(last[key])
    ]
    return Asked((*found.questions, *also))


def _next(
    read: Callable[[Mapping[str, str]], _T | Asked], answers: Mapping[str, str], asked: Asked, which: int
) -> dict[str, Question]:
    """What is asked after ``asked`` when each question is answered with its first or its last choice."""
    told, later = dict(answers), {}
    found: _T | Asked = asked
    for _ in range(_ROUNDS):
        if not isinstance(found, Asked):
            break
        told |= {question.key: question.choices[which].answer for question in found.questions}
        try:
            found = read(told)
        except Refused:  # so it cannot be answered; what was found until then holds
            break
        if isinstance(found, Asked):
            later |= {question.key: question for question in found.questions}
    return later


def _answers(question: Question) -> tuple[str, ...]:
    return tuple(choice.answer for choice in question.choices)


def _alike(one: Question, other: Question) -> Question:
    """A question without the examples that the answers to others would change."""
    choices = tuple(
        choice if choice == beside else replace(choice, shows="")
        for choice, beside in zip(one.choices, other.choices, strict=True)
    )
    return replace(one, choices=choices)
