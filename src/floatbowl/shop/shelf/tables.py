"""Tables of counts and sales from CSV or a spreadsheet: what they do not say beyond doubt is asked, not guessed."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Final, Literal

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Choice, Question, answered
from floatbowl.shelf.supplier_list import Asked, cells_of_text
from floatbowl.shelf.written_numbers import MARKS, possible_marks, read_number, told_apart
from floatbowl.shop.shelf.columns import Cell, Rows, Settled, Wanted, close, known_headings, settle, text_of
from floatbowl.shop.shelf.faults import Fault
from floatbowl.shop.shelf.written_days import Order, Written, day_order, read_day

__all__ = ["Cell", "Rows", "Table", "TableRow", "UnreadRow", "cells_of", "heading_row", "read_table"]

WANTED: Final = (
    Wanted(role="item", answer="item number", means="the kit or part", asks="Which column names it?", needed=True),
    Wanted(role="quantity", answer="how many", means="how many", asks="Which column says how many?", needed=True),
    Wanted(
        role="kind", answer="kit or part", means="whether it is a kit or a part", asks="Which column says kit or part?"
    ),
    Wanted(role="place", answer="place", means="the place on the shelf", asks="Which column is the place?"),
    Wanted(role="day", answer="day", means="the day", asks="Which column is the day?"),
    Wanted(
        role="document", answer="paper", means="the paper behind it", asks="Which column names the paper behind it?"
    ),
)
#: Rows looked at for headings, and rows taken at all.
TOP: Final = 12
MOST_ROWS: Final = 200_000
_SPREADSHEETS: Final = (".xlsx", ".xls", ".xlsb", ".ods")
Mark = Literal["point", "comma", "either"]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class UnreadRow:
    """A row that cannot be read, with its item where one is named, and what is wrong with it."""

    line: int
    item: str
    kind: str
    wrong: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """What was read of a table, what could not be, what is wrong with it as a whole, and the columns left out."""

    rows: tuple[TableRow, ...] = ()
    unread: tuple[UnreadRow, ...] = ()
    faults: tuple[Fault, ...] = ()
    left_out: tuple[str, ...] = ()


def cells_of(name: str, data: bytes, answers: Mapping[str, str]) -> Rows | Asked:
    """The cells of a file: a spreadsheet by its ending, else text. Raises ``Refused``, naming the file."""
    if name.lower().endswith(_SPREADSHEETS) and data:
        rows: Rows | Asked = _of_spreadsheet(name, data)
    else:
        rows = _of_text(name, data, answers)
    if not isinstance(rows, Asked) and not any(_filled(row) for row in rows):
        raise Refused(f"the file {name} is empty")
    return rows


def _of_text(name: str, data: bytes, answers: Mapping[str, str]) -> Rows | Asked:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused(f"{name} is no text in UTF-8; save it again as CSV UTF-8, or as a spreadsheet") from None
    if not text.strip():
        raise Refused(f"the file {name} is empty")
    return cells_of_text(text, answers)


def _of_spreadsheet(name: str, data: bytes) -> Rows:
    # A table that comes as text is read without it.
    import python_calamine

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


def _filled(row: Sequence[Cell]) -> bool:
    return any(cell is not None and str(cell).strip() for cell in row)


def read_table(cells: Rows, answers: Mapping[str, str]) -> Table | Asked:
    """The rows with what is wrong with some, or all that can be asked before the columns are settled.

    Raises ``Refused`` for a table that is too long, or has no rows, or cannot have what is needed.
    """
    if len(cells) > MOST_ROWS:
        raise Refused(f"the table has {len(cells):,} rows; bring in at most {MOST_ROWS:,} at a time")
    known = known_headings("counts and sales")
    top = heading_row(cells, known, answers)
    if isinstance(top, Question):
        return Asked((top,))
    body = [(number, row) for number, row in enumerate(cells[top + 1 :], start=top + 2) if _filled(row)]
    if not body:
        raise Refused("the table has headings and no rows under them; nothing is in it to bring in")
    settled = settle(cells[top], [row for _, row in body], known, WANTED, answers)
    mark = _mark([(line, _number_cell(cell)) for line, cell in _column(body, settled, "quantity")], answers)
    order = day_order([Written(line, cell) for line, cell in _column(body, settled, "day")], answers)
    questions = (*settled.questions, *(each for each in (mark, order) if isinstance(each, Question)))
    if questions:
        return Asked(questions)
    return _table(body, settled, mark, order)


def heading_row(cells: Rows, known: Mapping[str, str], answers: Mapping[str, str], none: str = "") -> int | Question:
    """The one row, counted from 0, that holds two or more known headings; else the question which it is.

    ``none`` is offered as the answer for a table without headings, and gives -1. Raises ``Refused`` for an empty one.
    """
    found = [n for n, row in enumerate(cells[:TOP]) if len({known.get(close(cell)) for cell in row} - {None}) >= 2]
    if len(found) == 1:
        return found[0]
    rows = found or [n for n, row in enumerate(cells[:TOP]) if _filled(row)]
    if not rows:
        raise Refused("the table is empty")
    choices = [Choice(str(n + 1), " | ".join(str(cell or "") for cell in cells[n])) for n in rows]
    choices += [Choice(none, "the table has no headings")] if none else []
    question = Question("heading row", "Which row holds the headings of the columns?", tuple(choices))
    told = answered(question, answers)
    if told is None:
        return question
    return -1 if none and told == none else int(told) - 1


Body = Sequence[tuple[int, Sequence[Cell]]]


def _column(body: Body, settled: Settled, role: str) -> Iterator[tuple[int, Cell]]:
    """The cells of a column with their lines; none where it is not settled yet."""
    place = settled.places.get(role)
    return iter(()) if place is None else ((line, _at(row, place)) for line, row in body)


def _at(row: Sequence[Cell], place: int) -> Cell:
    return row[place] if place < len(row) else None


def _number_cell(cell: Cell) -> str | int | float | Decimal | None:
    return None if isinstance(cell, date) else cell


def _mark(
    cells: Sequence[tuple[int, str | int | float | Decimal | None]], answers: Mapping[str, str]
) -> Mark | Question | Fault:
    numbers = [cell for _, cell in cells]
    fit = possible_marks(numbers)
    if len(fit) == 1:
        return fit[0]
    if not fit:
        point, comma = (next(line for line, cell in cells if _only(cell, mark)) for mark in MARKS)
        return Fault(0, f"line {point} has a decimal point, line {comma} a decimal comma; write the table one way")
    examples = told_apart(numbers)[:3]
    shows = {mark: "; ".join(f"{cell} is {read_number(cell, mark):f}" for cell in examples) for mark in MARKS}
    choices = tuple(Choice(mark, shows[mark]) for mark in MARKS)
    question = Question("decimal mark", "Is the decimal sign of this table a point or a comma?", choices)
    told = answered(question, answers)
    return next((mark for mark in MARKS if mark == told), question)


def _only(cell: str | int | float | Decimal | None, mark: Literal["point", "comma"]) -> bool:
    return read_number(cell, mark) is not None and sum(read_number(cell, each) is not None for each in MARKS) == 1


def _table(body: Body, settled: Settled, mark: Mark | Question | Fault, order: Order | Question | Fault) -> Table:
    """All rows; where the table contradicts itself each is read as it can be, so that other faults are told too."""
    faults = tuple(each for each in (mark, order) if isinstance(each, Fault))
    read_mark: Mark = mark if isinstance(mark, str) else "either"
    read_order: Order = order if isinstance(order, str) else "either"
    rows = [
        _row(line, {role: _at(row, place) for role, place in settled.places.items()}, read_mark, read_order)
        for line, row in body
    ]
    return Table(
        rows=tuple(row for row in rows if isinstance(row, TableRow)),
        unread=tuple(row for row in rows if isinstance(row, UnreadRow)),
        faults=faults,
        left_out=tuple(settled.left_out),
    )


def _row(line: int, told: Mapping[str, Cell], mark: Mark, order: Order) -> TableRow | UnreadRow:
    text = {role: " ".join(text_of(told.get(role)).split()) for role in ("item", "kind", "place", "document")}
    wrong: list[str] = []
    quantity, day = 0, None
    try:
        _item_written(told["item"], text["item"])
    except Refused as why:
        wrong.append(str(why))
    try:
        quantity = _pieces(told["quantity"], mark)
    except Refused as why:
        wrong.append(str(why))
    try:
        day = read_day(told.get("day"), order)
    except Refused as why:
        wrong.append(str(why))
    if wrong:
        named = text["item"] if isinstance(told["item"], str) else ""
        return UnreadRow(line=line, item=named, kind=text["kind"], wrong=tuple(wrong))
    return TableRow(
        line=line,
        quantity=quantity,
        day=day,
        **{**text, "place": text["place"][:80], "document": text["document"][:80]},
    )


def _item_written(cell: Cell, text: str) -> None:
    if not text:
        raise Refused("no kit or part is named")
    if not isinstance(cell, str):
        raise Refused(f"{cell} is a number in the sheet, noughts before it may be lost; make the column text")


def _pieces(cell: Cell, mark: Mark) -> int:
    marks = MARKS if mark == "either" else tuple(one for one in MARKS if one == mark)
    read = (read_number(_number_cell(cell), one) for one in marks)
    number = next((each for each in read if each is not None), None)
    if number is None or number != int(number):
        raise Refused(f"{'' if cell is None else str(cell)[:20]!r} is no whole number of pieces")
    if abs(number) > 1_000_000:
        raise Refused(f"{number} pieces of one thing cannot be right")
    return int(number)
