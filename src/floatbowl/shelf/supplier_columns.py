"""Which column of a supplier's list is what: told by its heading where one heading alone says it, else asked."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final, Literal

from floatbowl.engine.refusal import Refused
from floatbowl.reference.fault import shown
from floatbowl.shelf.written_numbers import MARKS, Cell, bare, read_number

Role = Literal["part", "name", "price", "pack", "from"]
#: What must be there, and what may be.
NEEDED: Final[tuple[Role, ...]] = ("part", "price")
OPTIONAL: Final[tuple[Role, ...]] = ("name", "pack", "from")
ASKS: Final[Mapping[Role, str]] = {
    "part": "Which column is the supplier's part number?",
    "price": "Which column is the price the shop pays for one?",
    "name": "Which column is the name?",
    "pack": "Which column says how many are in a pack?",
    "from": "Which column says from how many pieces the price holds?",
}
NO_COLUMN: Final = "none"
#: A heading such as ``10+``: the price of each from so many pieces.
_FROM: Final = re.compile(r"(?:price\s*)?(\d{1,6})\s*\+", re.IGNORECASE | re.ASCII)
#: Headings that say that a price is for one piece, also where pieces come in packs.
FOR_ONE: Final = frozenset({"each", "price each", "unit price"})
#: Rows looked at for headings: letterheads are shorter than that.
_TOP: Final = 12
_EXAMPLES: Final = 3


@dataclass(frozen=True, slots=True)
class Choice:
    """One possible answer, and what it would mean, shown with cells of the list."""

    answer: str
    shows: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something the list does not settle: a person chooses. ``key`` is what the answer is filed under."""

    key: str
    asks: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Columns:
    """Where each thing stands; ``prices`` are columns with the number of pieces each price holds from.

    ``for_one``: the heading itself says that the price is for one piece.
    """

    body_from: int
    part: int
    prices: tuple[tuple[int, int], ...]
    name: int | None = None
    pack: int | None = None
    from_: int | None = None
    for_one: bool = False


Rows = Sequence[Sequence[Cell]]


@cache
def headings() -> Mapping[str, Role]:
    """Headings that say what a column is. Sources: ``data/supplier_headings.csv``, row by row."""
    text = resources.files("floatbowl.shelf").joinpath("data/supplier_headings.csv").read_text("utf-8")
    known: dict[str, Role] = {}
    for row in csv.DictReader(text.splitlines()):
        role = next(role for role in (*NEEDED, *OPTIONAL) if role == row["role"])
        known[row["heading"]] = role
    return known


def answered(question: Question, answers: Mapping[str, str]) -> str | None:
    """The answer given, None when there is none yet; ``Refused`` when it is none of the choices."""
    given = answers.get(question.key)
    if given is None:
        return None
    if given not in {choice.answer for choice in question.choices}:
        offered = ", ".join(shown(choice.answer) for choice in question.choices)
        raise Refused(f"{question.key}: {shown(given)} is none of the choices; answer one of {offered}")
    return given


def find_columns(rows: Rows, answers: Mapping[str, str]) -> Columns | tuple[Question, ...]:
    """The columns, or what must be asked first. Raises ``Refused`` when no column could be what is needed."""
    asked = _heading_row(rows)
    told = answered(asked, answers) if isinstance(asked, Question) else str(asked)
    if told is None:
        assert isinstance(asked, Question)
        return (asked,)
    top = 0 if told == NO_COLUMN else int(told)
    found = _Found(rows[top:], _said(rows[top - 1]) if top else [], answers)
    places: dict[Role, int | None] = {role: found.column(role) for role in ("part", *OPTIONAL)}
    prices = found.prices({place for place in places.values() if place is not None})
    part = places["part"]
    if found.questions or part is None:
        return tuple(found.questions)
    for_one = all(plainly(found.heads[place]) in FOR_ONE for place, _ in prices)
    return Columns(top, part, prices, places["name"], places["pack"], places["from"], for_one)


def _said(row: Sequence[Cell]) -> list[str]:
    return ["" if cell is None else " ".join(str(cell).split()) for cell in row]


def plainly(heading: str) -> str:
    """A heading without capitals, currency and signs, as the table of headings has them.

    >>> plainly("Part-No."), plainly("Price (EUR)")
    ('part no', 'price')
    """
    return " ".join(re.sub(r"[^\w+]+", " ", bare(heading).casefold()).split())


def _role(heading: str) -> Role | None:
    return "price" if _FROM.fullmatch(heading.strip()) else headings().get(plainly(heading))


def _heading_row(rows: Rows) -> int | Question:
    """The one row that holds two or more known headings, counted from 1; else the question which it is."""
    top = [(number, _said(row)) for number, row in enumerate(rows[:_TOP], start=1)]
    likely = [number for number, said in top if len({_role(cell) for cell in said} - {None}) > 1]
    if len(likely) == 1:
        return likely[0]
    offered = [(number, said) for number, said in top if any(said) and (not likely or number in likely)]
    choices = [Choice(str(number), " | ".join(said)) for number, said in offered]
    return Question(
        "heading row",
        "Which row holds the headings of the columns?",
        (*choices, Choice(NO_COLUMN, "the list has no headings")),
    )


class _Found:
    """Columns while they are being found; what is not settled becomes a question."""

    def __init__(self, body: Rows, heads: Sequence[str], answers: Mapping[str, str]) -> None:
        self.body, self.answers = body, answers
        width = max((len(row) for row in body), default=0)
        self.heads = [heads[place] if place < len(heads) else "" for place in range(max(width, len(heads)))]
        self.questions: list[Question] = []

    def column(self, role: Role) -> int | None:
        """The column of a role; None where there is none or where it had to be asked."""
        known = headings()
        by_heading = [place for place, head in enumerate(self.heads) if known.get(plainly(head)) == role]
        if len(by_heading) == 1:
            return by_heading[0]
        if not by_heading and role in OPTIONAL:
            return None
        return self._ask(role, by_heading or self._likely(role))

    def prices(self, others: set[int]) -> tuple[tuple[int, int], ...]:
        """The price columns with the pieces they hold from: one price, or those headed 1+, 10+, ..."""
        matches = [(place, _FROM.fullmatch(head.strip())) for place, head in enumerate(self.heads)]
        stepped = tuple((place, int(match[1])) for place, match in matches if match)
        one = [place for place, head in enumerate(self.heads) if headings().get(plainly(head)) == "price"]
        if stepped and not one:
            return stepped
        if len(one) == 1 and not stepped:
            return ((one[0], 1),)
        if stepped:
            alone = [(place, 1) for place in one]
            return self._ask_steps(alone, stepped)
        place = self._ask("price", one or [place for place in self._likely("price") if place not in others])
        return () if place is None else ((place, 1),)

    def _ask_steps(
        self, alone: list[tuple[int, int]], stepped: tuple[tuple[int, int], ...]
    ) -> tuple[tuple[int, int], ...]:
        """A price beside prices for more pieces: is it that of one, or something else (a list price)?"""
        options = {", ".join(self._named(place) for place, _ in stepped): stepped}
        options |= {self._named(place): ((place, 1),) for place, _ in alone}
        if all(start > 1 for _, start in stepped):
            options |= {f"{self._named(one[0])} and {self._list(stepped)}": (one, *stepped) for one in alone}
        choices = tuple(Choice(answer, self._shows(steps[0][0])) for answer, steps in options.items())
        question = Question("column price", "Which of these are the prices the shop pays?", choices)
        told = answered(question, self.answers)
        if told is None:
            self.questions.append(question)
            return ()
        return options[told]

    def _list(self, stepped: tuple[tuple[int, int], ...]) -> str:
        return ", ".join(self._named(place) for place, _ in stepped)

    def _ask(self, role: Role, candidates: Sequence[int]) -> int | None:
        if not candidates:
            raise Refused(f"no column of the list could be its {role}; check that the whole list was read")
        choices = [Choice(self._named(place), self._shows(place)) for place in candidates]
        if role in OPTIONAL:
            choices.append(Choice(NO_COLUMN, "none of these"))
        question = Question(f"column {role}", ASKS[role], tuple(choices))
        told = answered(question, self.answers)
        if told is None:
            self.questions.append(question)
            return None
        return next((place for place in candidates if self._named(place) == told), None)

    def _named(self, place: int) -> str:
        """A column by its heading, so that an answer holds when the columns are shuffled; else by its number."""
        head = self.heads[place]
        alone = head and sum(other.casefold() == head.casefold() for other in self.heads) == 1
        return head if alone else f"{head} (column {place + 1})".strip()

    def _cells(self, place: int) -> list[Cell]:
        cells = [row[place] if place < len(row) else None for row in self.body]
        return [cell for cell in cells if cell is not None and str(cell).strip()]

    def _shows(self, place: int) -> str:
        return ", ".join(str(cell) for cell in self._cells(place)[:_EXAMPLES])

    def _likely(self, role: Role) -> list[int]:
        """Without a heading: prices are mostly numbers; part numbers are there in most rows and mostly differ."""
        return [place for place in range(len(self.heads)) if self._could_be(role, self._cells(place))]

    def _could_be(self, role: Role, cells: Sequence[Cell]) -> bool:
        if role == "price":
            numbers = sum(any(read_number(cell, mark) is not None for mark in MARKS) for cell in cells)
            return numbers * 2 > len(cells)
        return len(cells) * 2 > len(self.body) and len({str(cell) for cell in cells}) * 10 >= len(cells) * 9
