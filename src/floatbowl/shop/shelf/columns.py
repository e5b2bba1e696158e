"""Which column of a table is what: told by its heading where that is known, else asked; none is passed over unsaid."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cache
from importlib import resources
from itertools import islice
from typing import Final

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Choice, Question, answered, plainly

Cell = str | int | float | Decimal | date | None
Rows = Sequence[Sequence[Cell]]
#: What a known heading stands for where the shelf has no place for it, such as a customer's name.
NOT_KEPT: Final = "not kept"
LEAVE_OUT: Final = "leave it out"
_EXAMPLES: Final = 3
_LONGEST: Final = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a column may be: the word that answers for it, what that means, and how it is asked for."""

    role: str
    answer: str
    means: str
    asks: str
    needed: bool = False


@dataclass(slots=True)
class Settled:
    """Where each thing stands, what is still to be asked, and the columns that are left out, in words."""

    places: dict[str, int] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


@cache
def known_headings(table: str) -> Mapping[str, str]:
    """Headings of one kind of table without their blanks, with what each stands for. Sources: ``headings.csv``."""
    text = resources.files("floatbowl.shop.shelf").joinpath("headings.csv").read_text("utf-8")
    return {close(row["heading"]): row["role"] for row in csv.DictReader(text.splitlines()) if row["table"] == table}


def close(heading: Cell) -> str:
    """A heading without capitals, signs, currency and blanks, as headings are held against each other.

    >>> close("Bestell-Nr."), close("bestellnr"), close(12.5)
    ('bestellnr', 'bestellnr', '')
    """
    return plainly(heading).replace(" ", "") if isinstance(heading, str) else ""


def text_of(cell: Cell) -> str:
    """What a cell says; a whole number that a spreadsheet holds has no decimals.

    >>> text_of(7.0), text_of(" 7.50 "), text_of(None)
    ('7', '7.50', '')
    """
    whole = int(cell) if isinstance(cell, float) and cell.is_integer() else cell
    return "" if whole is None else str(whole).strip()


def settle(
    heads: Sequence[Cell], body: Rows, known: Mapping[str, str], wanted: Sequence[Wanted], answers: Mapping[str, str]
) -> Settled:
    """Every column with what it is, or the questions that settle it.

    A column whose heading stands for something that is not wanted here is settled elsewhere, and not spoken of.
    Raises ``Refused`` where no column could be what is needed, and for an answer that is none of the choices.
    """
    table = _Table(heads, body, known)
    settled = Settled()
    for one in wanted:
        claims = table.headed(one.role)
        if len(claims) == 1:
            settled.places[one.role] = claims[0]
        elif claims:
            _choose(table, one, claims, answers, settled)
    missing = [one for one in wanted if not table.headed(one.role)]
    _ask_each(table, missing, answers, settled)
    if not settled.questions:
        _ask_for_needed(table, missing, answers, settled)
    settled.left_out += table.left_out(settled.places.values(), {one.role for one in wanted})
    return settled


class _Table:
    """The columns of a table, by their places: names, cells, and what the headings say."""

    def __init__(self, heads: Sequence[Cell], body: Rows, known: Mapping[str, str]) -> None:
        width = max(len(heads), *(len(row) for row in body), 0)
        self.heads = [str(_at(heads, place) or "").strip() for place in range(width)]
        self.body = body
        self._said = [known.get(close(head)) for head in self.heads]
        self.filled = [any(_written(_at(row, place)) for row in body) for place in range(width)]

    def headed(self, role: str | None) -> list[int]:
        return [place for place, said in enumerate(self._said) if said == role]

    def named(self, place: int) -> str:
        """A column by its heading where that is the only one, so that the answer serves the next table too."""
        head = self.heads[place]
        alone = head and sum(close(other) == close(head) for other in self.heads) == 1
        return head if alone else f"{head} (column {place + 1})".strip()

    def shows(self, place: int) -> str:
        """Its first cells."""
        cells = (text_of(_at(row, place)) for row in self.body if _written(_at(row, place)))
        return ", ".join(cell[:_LONGEST] for cell in islice(cells, _EXAMPLES))

    def left_out(self, taken: Collection[int], roles: Collection[str]) -> list[str]:
        """The columns that are not taken, in words; one without a heading and without cells is none."""
        why = {NOT_KEPT: ": nothing is kept of it"}
        return [
            f"the column {self.named(n)}{why.get(said or '', '' if self.filled[n] else ': it is empty')}"
            for n, said in enumerate(self._said)
            if n not in taken and said in {None, NOT_KEPT, *roles} and (self.heads[n] or self.filled[n])
        ]


def _at(row: Sequence[Cell], place: int) -> Cell:
    return row[place] if place < len(row) else None


def _written(cell: Cell) -> bool:
    return bool(text_of(cell))


def _choose(table: _Table, one: Wanted, claims: Sequence[int], answers: Mapping[str, str], settled: Settled) -> None:
    """Several columns whose headings say the same: which of them is it?"""
    choices = tuple(Choice(table.named(place), table.shows(place)) for place in claims)
    question = Question(f"column {one.role}", one.asks, choices)
    told = answered(question, answers)
    if told is None:
        settled.questions.append(question)
        return
    settled.places[one.role] = next(place for place in claims if table.named(place) == told)


def _ask_each(table: _Table, missing: Sequence[Wanted], answers: Mapping[str, str], settled: Settled) -> None:
    """Each column whose heading nobody knows is asked about, also after two were said to be the same thing."""
    needed = [Choice(one.answer, one.means) for one in missing if one.needed]
    others = [Choice(one.answer, one.means) for one in missing if not one.needed]
    # What must be there comes first; where all of that is there, most columns that nobody knows are not wanted.
    choices = (*needed, Choice(LEAVE_OUT, "it is not brought in"), *others)
    roles = {one.answer: one.role for one in missing}
    said: dict[str, list[int]] = {}
    asked = {place: _what_is(table, place, choices) for place in table.headed(None) if table.filled[place]}
    for place, question in asked.items():
        told = answered(question, answers)
        if told is None:
            settled.questions.append(question)
        elif told != LEAVE_OUT:
            said.setdefault(told, []).append(place)
    for told, places in said.items():
        if len(places) == 1:
            settled.places[roles[told]] = places[0]
        else:
            wrong = f"Only one of {_and(table.named(place) for place in places)} can be “{told}”."
            settled.questions += [Question(asked[n].key, f"{wrong} {asked[n].asks}", choices) for n in places]


def _what_is(table: _Table, place: int, choices: tuple[Choice, ...]) -> Question:
    name = table.named(place)
    return Question(f"heading {name}", f"What stands in the column {name} ({table.shows(place)})?", choices)


def _ask_for_needed(table: _Table, missing: Sequence[Wanted], answers: Mapping[str, str], settled: Settled) -> None:
    """What must be there and no heading and no answer named is looked for among all the other columns."""
    for one in missing:
        if not one.needed or one.role in settled.places:
            continue
        left = [place for place, is_filled in enumerate(table.filled) if is_filled]
        candidates = [place for place in left if place not in settled.places.values()]
        if not candidates:
            raise Refused(f"the table has no column for {one.means}; add one with the heading {one.role}")
        _choose(table, one, candidates, answers, settled)


def _and(names: Iterable[str]) -> str:
    *before, last = names
    return f"{', '.join(before)} and {last}" if before else last
