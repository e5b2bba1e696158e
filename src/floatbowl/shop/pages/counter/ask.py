"""The one question to put next: which look, how to take it, and the answers as buttons."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from floatbowl.identify.answer import Answer, NextLook
from floatbowl.reference.facts import FeatureKind
from floatbowl.reference.observed import PLACE_BOOK
from floatbowl.shop.models.enquiry import Evidence
from floatbowl.shop.models.photograph import READ_BY
from floatbowl.shop.pages.counter import choices, words
from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.pages.counter.drawings import Drawing, drawing_for, drawing_of_mark
from floatbowl.shop.photographs.storage import pictures_beside

OTHER_LOOKS = 3


@dataclass(frozen=True)
class Question:
    """One look to ask for."""

    question: str
    drawing: Drawing
    feature: str = ""
    mark: str = ""
    kind: FeatureKind | None = None
    how: str = ""
    needs: str = ""
    caution: str = ""
    why: str = ""
    minutes: str = ""
    risk: str = ""
    risky: bool = False
    answers: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    unit: str = ""
    proposed: bool = False
    #: The item this answer will replace, and what it said.
    changes: Evidence | None = None

    @property
    def is_measure(self) -> bool:
        return self.kind is not None and self.kind.kind == "measure"


@dataclass(frozen=True)
class Other:
    """A look that may be asked for instead."""

    question: str
    minutes: str
    feature: str = ""
    mark: str = ""


def question_of(kind: FeatureKind, book: Book, why: str = "", changes: Evidence | None = None) -> Question:
    """A look by its kind."""
    risk = kind.risk or 0
    return Question(
        question=kind.question,
        drawing=drawing_for(kind),
        feature=kind.feature,
        kind=kind,
        how=kind.how,
        needs=kind.needs,
        caution=kind.caution,
        why=why,
        minutes=words.minutes(kind.minutes) if kind.minutes is not None else "",
        risk=words.RISKS[risk],
        risky=risk > 1,
        answers=kind.choice_list,
        tools=tuple(book.tools_for(kind)) if kind.kind == "measure" else (),
        unit=kind.unit,
        proposed=bool(why),
        changes=changes,
    )


def question_of_mark(mark: str, look: NextLook | None = None) -> Question:
    """A number to read at a place of the carburettor."""
    place = "in the book or on the invoice" if mark == PLACE_BOOK else f"on the {mark}"
    return Question(
        question=(look.question if look else "") or f"What number can be read {place}?",
        drawing=drawing_of_mark(mark),
        mark=mark,
        how=look.how if look else "",
        needs=look.needs if look else "",
        caution=look.caution if look else "",
        why=look.why if look else "",
        minutes=words.minutes(look.minutes) if look else "",
        risk=words.RISKS[min(look.risk, 3)] if look else "",
        risky=bool(look and look.risk > 1),
        proposed=look is not None,
    )


def open_looks(answer: Answer, items: Iterable[Evidence]) -> list[NextLook]:
    """The looks worth taking that nobody has answered yet, even with unsure."""
    items = list(items)
    answered = {item.feature for item in items if item.feature}
    unreadable = {item.part for item in items if item.kind == Evidence.LOOK and not item.feature}
    return [
        look for look in answer.next if look.feature not in answered and (look.feature or look.mark not in unreadable)
    ]


def next_question(answer: Answer, items: Iterable[Evidence], book: Book) -> tuple[Question | None, list[Other]]:
    """The look to propose, and a few to take instead. When enough is known, all are only to be taken instead."""
    items = list(items)
    looks = [look for look in open_looks(answer, items) if look.mark or look.feature in book.kinds]
    if answer.advice.action == "send":
        return None, [_other(look, book) for look in looks[:OTHER_LOOKS]]
    if not looks:
        return _any_other_look(items, book) if answer.advice.action == "ask" else None, []
    first, *rest = looks
    others = [_other(look, book) for look in rest[:OTHER_LOOKS]]
    if first.feature:
        return question_of(book.kinds[first.feature], book, why=first.why or _by_bits(first)), others
    return question_of_mark(first.mark, first), others


def _other(look: NextLook, book: Book) -> Other:
    question = book.kinds[look.feature].question if look.feature else f"What number is on the {look.mark}?"
    return Other(question, words.minutes(look.minutes), look.feature, look.mark)


def _any_other_look(items: Sequence[Evidence], book: Book) -> Question | None:
    """When the weighing proposes nothing that is still open: the look that is easiest and safest to take."""
    answered = {item.feature for item in items}
    left = [kind for kind in book.kinds.values() if kind.feature not in answered]
    if not left:
        return None
    easiest = min(left, key=lambda kind: (kind.risk or 0, kind.minutes if kind.minutes is not None else 99.0))
    return question_of(
        easiest, book, why="It is the easiest look not taken yet, and confirms or contradicts the others."
    )


def _by_bits(look: NextLook) -> str:
    """Why a look is proposed, when the weighing gave no words of its own."""
    much = "most of" if look.bits >= 1 else "some of"
    return f"Of all looks it is expected to settle {much} what is left in the least time."


@dataclass(frozen=True)
class GivenReading:
    """A number already read, as it is listed."""

    item: Evidence
    how: str
    #: Its photographs as small pictures: address and what each shows; and who read them.
    pictures: tuple[tuple[str, str], ...] = ()
    read_by: str = ""


def given_readings(items: Iterable[Evidence]) -> list[GivenReading]:
    """The numbers read, with where each stands and how it reached us."""
    readings = [item for item in items if item.kind == Evidence.READING]
    return [GivenReading(item, _how_read(item), _pictures(item), _read_by(item)) for item in readings]


def _how_read(item: Evidence) -> str:
    said = (
        choices.place_name(item.part) if item.part else "",
        choices.form_name(item.form),
        choices.via_name(item.via),
    )
    return ", ".join(word for word in (*said, item.group) if word)


def _read_by(item: Evidence) -> str:
    return dict(READ_BY).get(item.read_by, "") if item.read_by else ""


def _pictures(item: Evidence) -> tuple[tuple[str, str], ...]:
    return pictures_beside(item.photo_set) if item.photo_set else ()


@dataclass(frozen=True)
class Given:
    """An answer already given, as it is listed."""

    item: Evidence
    question: str
    answer: str
    how: str


def given_looks(items: Iterable[Evidence], book: Book) -> list[Given]:
    """The answers given, in words."""
    return [_given(item, book) for item in items if item.kind == Evidence.LOOK]


def _given(item: Evidence, book: Book) -> Given:
    kind = book.kinds.get(item.feature)
    question = kind.question if kind else (item.feature or f"Number on the {item.part}")
    how = [choices.via_name(item.via)]
    if item.coached:
        how.append("how to look was explained")
    if item.group:
        how.append(item.group)
    return Given(item, question, said_value(item, kind), ", ".join(how))


def said_value(item: Evidence, kind: FeatureKind | None) -> str:
    """An answer as it was said: the choice, or the figure with its unit and tool."""
    if item.number is None:
        return "nobody can read it" if not item.feature else item.value
    unit = f" {kind.unit}" if kind and kind.unit else ""
    typed = f" (given as {item.typed})" if item.typed and words.number(item.number) != item.typed else ""
    return f"{words.number(item.number)}{unit}{typed}" + (f", {item.tool}" if item.tool else "")
