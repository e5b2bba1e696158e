"""Tables of counts and sales from CSV or a spreadsheet: what they do not say beyond doubt is asked, not guessed."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Final, Literal

import python_calamine

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Choice, Question, answered, plainly
from floatbowl.shelf.supplier_list import Asked, cells_of_text
from floatbowl.shelf.written_numbers import MARKS, possible_marks, read_number, told_apart

Role = Literal["item", "kind", "place", "quantity", "day", "document"]
Cell = str | int | float | Decimal | date | None
Rows = Sequence[Sequence[Cell]]
NEEDED: Final[tuple[Role, ...]] = ("item", "quantity")
ASKS: Final[Mapping[str, str]] = {
    "item": "Which column names the kit or part?",
    "quantity": "Which column says how many?",
    "kind": "Which column says whether it is a kit or a part?",
    "place": "Which column is the place on the shelf?",
    "day": "Which column is the day?",
    "document": "Which column names the paper behind it?",
}
#: Rows looked at for headings, and rows taken at all.
TOP: Final = 12
MOST_ROWS: Final = 200_000
_WRITTEN_DAY: Final = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})")


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """One row as it was read: the item as it is written there, whole pieces, the day where one is given."""

    line: int
    item: str
    quantity: int
    kind: str = ""
    place: str = ""
    document: str = ""
    day: date | None = None


def cells_of(name: str, data: bytes, answers: Mapping[str, str]) -> Rows | Asked:
    """The cells of a file: a spreadsheet by its ending, else text. Raises ``Refused``, naming the file."""
    if name.lower().endswith((".xlsx", ".xls", ".xlsb", ".ods")):
        return _of_spreadsheet(name, data)
    try:
        return cells_of_text(data.decode("utf-8-sig"), answers)
    except UnicodeDecodeError:
        raise Refused(f"{name} is no text in UTF-8; save it again as CSV UTF-8, or as a spreadsheet") from None


def _of_spreadsheet(name: str, data: bytes) -> Rows:
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        rows = book.get_sheet_by_index(0).to_python()
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as problem:  # a panic of the reading library is no Exception
        raise Refused(f"{name} cannot be read as a spreadsheet ({type(problem).__name__}); save it again") from None
    return [[_plain(cell) for cell in row] for row in rows]


def _plain(cell: object) -> Cell:
    if isinstance(cell, datetime):
        return cell.date()
    return cell if isinstance(cell, str | int | float | date) and not isinstance(cell, bool) else None


def read_table(cells: Rows, answers: Mapping[str, str]) -> list[TableRow] | Asked:
    """The rows, or what must be asked first. Raises ``Refused`` that names every row that cannot be read."""
    if len(cells) > MOST_ROWS:
        raise Refused(f"the table has {len(cells):,} rows; bring in at most {MOST_ROWS:,} at a time")
    top = _heading_row(cells, answers)
    if isinstance(top, Question):
        return Asked((top,))
    columns, questions = _columns(cells[top], cells[top + 1 :], answers)
    if questions:
        return Asked(tuple(questions))
    body = [
        (number, [_at(row, columns[role]) for role in columns], row)
        for number, row in enumerate(cells[top + 1 :], start=top + 2)
        if any(str(cell or "").strip() for cell in row)
    ]
    places = {role: place for place, role in enumerate(columns)}
    mark = _mark([_number_cell(told[places["quantity"]]) for _, told, _ in body], answers)
    days = _day_order([told[places["day"]] for _, told, _ in body] if "day" in places else [], answers)
    asked = tuple(each for each in (mark, days) if isinstance(each, Question))
    if asked:
        return Asked(asked)
    return _rows(body, places, str(mark), str(days))


@cache
def _headings() -> dict[str, str]:
    text = resources.files("floatbowl.shop.shelf").joinpath("headings.csv").read_text("utf-8")
    return {row["heading"]: row["role"] for row in csv.DictReader(text.splitlines())}


def _heading_row(cells: Rows, answers: Mapping[str, str]) -> int | Question:
    known = _headings()
    found = [n for n, row in enumerate(cells[:TOP]) if len({known.get(_said(c)) for c in row} - {None}) >= 2]
    if len(found) == 1:
        return found[0]
    rows = found or [n for n, row in enumerate(cells[:TOP]) if any(_said(cell) for cell in row)]
    if not rows:
        raise Refused("the table is empty")
    choices = tuple(Choice(str(n + 1), " | ".join(str(cell or "") for cell in cells[n])) for n in rows)
    question = Question("heading row", "Which row holds the headings of the columns?", choices)
    told = answered(question, answers)
    return question if told is None else int(told) - 1


def _said(cell: Cell) -> str:
    return plainly(cell) if isinstance(cell, str) else ""


def _columns(heads: Sequence[Cell], body: Rows, answers: Mapping[str, str]) -> tuple[dict[str, int], list[Question]]:
    found: dict[str, int] = {}
    questions = []
    for role in ASKS:
        places = [place for place, head in enumerate(heads) if _headings().get(_said(head)) == role]
        if len(places) == 1:
            found[role] = places[0]
        elif places or role in NEEDED:
            candidates = places or [n for n in range(len(heads)) if n not in found.values()]
            question = Question(f"column {role}", ASKS[role], tuple(_choice(n, heads, body) for n in candidates))
            told = answered(question, answers)
            if told is None:
                questions.append(question)
            else:
                found[role] = next(n for n in candidates if _choice(n, heads, body).answer == told)
    return found, questions


def _choice(place: int, heads: Sequence[Cell], body: Rows) -> Choice:
    """A column by its heading where that is the only one, so that the answer serves the next table too."""
    head = str(heads[place] or "").strip()
    alone = head and sum(_said(other) == _said(heads[place]) for other in heads) == 1
    shows = ", ".join(str(row[place]) for row in body[:3] if place < len(row))
    return Choice(head if alone else f"{head} (column {place + 1})".strip(), shows)


def _at(row: Sequence[Cell], place: int) -> Cell:
    return row[place] if place < len(row) else None


def _number_cell(cell: Cell) -> str | int | float | Decimal | None:
    return None if isinstance(cell, date) else cell


def _mark(numbers: Sequence[str | int | float | Decimal | None], answers: Mapping[str, str]) -> str | Question:
    fit = possible_marks(numbers)
    if len(fit) == 1:
        return fit[0]
    if not fit:
        raise Refused("some quantities have a decimal point and some a decimal comma; write the table one way")
    examples = told_apart(numbers)[:3]
    shows = {mark: "; ".join(f"{cell} is {read_number(cell, mark):f}" for cell in examples) for mark in MARKS}
    choices = tuple(Choice(mark, shows[mark]) for mark in MARKS)
    question = Question("decimal mark", "Is the decimal sign of this table a point or a comma?", choices)
    return answered(question, answers) or question


def _day_order(cells: Sequence[Cell], answers: Mapping[str, str]) -> str | Question:
    """Whether the day or the month stands first, where days are written like 03/04/2026."""
    written = [match for cell in cells if isinstance(cell, str) and (match := _WRITTEN_DAY.fullmatch(cell.strip()))]
    day_first = any(int(match[1]) > 12 for match in written)
    month_first = any(int(match[2]) > 12 for match in written)
    if day_first and month_first:
        raise Refused("some days are written day first and some month first; write them as year-month-day")
    if day_first or month_first or all(match[1] == match[2] for match in written):
        return "month first" if month_first else "day first"
    example = next(match for match in written if match[1] != match[2])[0]
    choices = tuple(
        Choice(order, f"{example} is {_day(example, order):%d %B %Y}") for order in ("day first", "month first")
    )
    question = Question("day order", "Does the day or the month stand first?", choices)
    return answered(question, answers) or question


def _day(cell: Cell, order: str) -> date | None:
    """A day as it is written; raises ``Refused`` for what is none."""
    if isinstance(cell, date):
        return cell
    text = str(cell or "").strip()
    if not text:
        return None
    try:
        if match := _WRITTEN_DAY.fullmatch(text):
            first, second, year = int(match[1]), int(match[2]), int(match[3])
            return date(year, second, first) if order == "day first" else date(year, first, second)
        return date.fromisoformat(text[:10])
    except ValueError:
        raise Refused(f"{text[:20]!r} is no day; write it as year-month-day") from None


def _rows(
    body: Sequence[tuple[int, list[Cell], Sequence[Cell]]], places: Mapping[str, int], mark: str, order: str
) -> list[TableRow]:
    rows, faults = [], []
    for line, told, _ in body:
        try:
            rows.append(_row(line, {role: told[place] for role, place in places.items()}, mark, order))
        except Refused as wrong:
            faults.append(f"line {line}: {wrong}")
    if faults:
        more = f"; and {len(faults) - 20} more" if len(faults) > 20 else ""
        raise Refused("; ".join(faults[:20]) + more)
    return rows


def _row(line: int, told: Mapping[str, Cell], mark: str, order: str) -> TableRow:
    text = {role: " ".join(str(told.get(role) or "").split()) for role in ("item", "kind", "place", "document")}
    if not text["item"]:
        raise Refused("no kit or part is named")
    if not isinstance(told["item"], str):
        raise Refused(f"{told['item']} is a number in the sheet, noughts before it may be lost; make the column text")
    number = read_number(_number_cell(told.get("quantity")), next(one for one in MARKS if one == mark))
    if number is None or number != int(number):
        raise Refused(f"{str(told.get('quantity'))[:20]!r} is no whole number of pieces")
    if abs(number) > 1_000_000:
        raise Refused(f"{number} pieces of one thing cannot be right")
    return TableRow(
        line=line,
        quantity=int(number),
        day=_day(told.get("day"), order),
        **{**text, "place": text["place"][:80], "document": text["document"][:80]},
    )
