"""Reading a supplier's price list: what it does not say beyond doubt is asked, not guessed.

Columns may stand in any order, thousands may be set apart, decimals may have a comma. ``read_list`` gives the prices,
or the questions that a person must answer first; give it the answers and it goes on. The answers go by headings where
there are some, so they serve for the same supplier's next list too, however its columns are shuffled.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from floatbowl.engine.refusal import Refused
from floatbowl.reference.fault import shown
from floatbowl.shelf.supplier_columns import Choice, Columns, Question, Rows, answered, find_columns
from floatbowl.shelf.supplier_prices import LeftOut, PriceList, PriceRow
from floatbowl.shelf.written_numbers import MARKS, Cell, Mark, possible_marks, read_number, told_apart

#: What a sign of money may mean. Where it may mean several currencies it is asked.
SIGNS: Final[Mapping[str, tuple[str, ...]]] = {
    "£": ("GBP",),
    "€": ("EUR",),
    "$": ("AUD", "CAD", "NZD", "USD"),
    "¥": ("JPY",),
    "kr": ("DKK", "NOK", "SEK"),
}
_CODES: Final = ("AUD", "CAD", "CHF", "DKK", "EUR", "GBP", "JPY", "NOK", "NZD", "SEK", "USD", "ZAR")
_CODE: Final = re.compile(rf"\b({'|'.join(_CODES)})\b")
_SIGN: Final = re.compile(r"£|€|\$|¥|\bkr\b", re.IGNORECASE)
SEPARATORS: Final[Mapping[str, str]] = {"semicolon": ";", "comma": ",", "tab": "\t", "bar": "|"}
_EXAMPLES: Final = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """What must be answered before the list can be read on."""

    questions: tuple[Question, ...]


def cells_of_text(text: str, answers: Mapping[str, str] | None = None) -> list[list[str]] | Asked:
    """The cells of a list that came as text, or the question which sign stands between its columns.

    A sign is possible when it gives every row the same number of cells, two or more. Raises ``Refused`` for none.
    """
    ways = {name: _split(text, sign) for name, sign in SEPARATORS.items()}
    possible = {name: rows for name, rows in ways.items() if _even(rows)}
    possible = possible or {name: rows for name, rows in ways.items() if any(len(row) > 1 for row in rows)}
    if not possible:
        raise Refused("the list has one column only; save it with a semicolon or a tab between the columns")
    if len(possible) == 1 and _even(next(iter(possible.values()))):
        return next(iter(possible.values()))
    choices = tuple(Choice(name, " | ".join(rows[-1])) for name, rows in possible.items())
    question = Question("column sign", "Which sign stands between the columns?", choices)
    told = answered(question, answers or {})
    return Asked((question,)) if told is None else possible[told]


def _split(text: str, sign: str) -> list[list[str]]:
    try:
        rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), delimiter=sign))
    except csv.Error as problem:
        raise Refused(f"the list cannot be read as a table: {problem}; save it again as CSV") from None
    return [row for row in rows if any(cell.strip() for cell in row)]


def _even(rows: Sequence[Sequence[str]]) -> bool:
    return len({len(row) for row in rows}) == 1 and len(rows[0]) > 1


def read_list(
    cells: Rows, *, supplier: str, answers: Mapping[str, str] | None = None, currency: str = ""
) -> PriceList | Asked:
    """The prices of a list, or what must be asked first. ``currency`` is the supplier's own, when it is known.

    Raises ``Refused`` when the list contradicts itself or an answer, naming lines, or when nothing in it is a price.
    """
    told = dict(answers or {})
    columns = find_columns(cells, told)
    if not isinstance(columns, Columns):
        return Asked(columns)
    body = [(number, row) for number, row in enumerate(cells, start=1) if number > columns.body_from and _filled(row)]
    mark = _mark(body, columns, told)
    money = _currency(cells, columns, told, currency)
    questions = tuple(each for each in (mark, money) if isinstance(each, Question))
    if isinstance(mark, Question) or isinstance(money, Question):
        return Asked(questions)
    by_pack = _by_pack(body, columns, mark, told)
    if isinstance(by_pack, Question):
        return Asked((by_pack,))
    rows, left_out = _rows(body, columns, mark, supplier, money)
    if by_pack:
        rows = [replace(row, price_is_for=row.pack) for row in rows]
    return _once(rows, left_out, told)


def _filled(row: Sequence[Cell]) -> bool:
    return any(cell is not None and str(cell).strip() for cell in row)


def _at(row: Sequence[Cell], place: int | None) -> Cell:
    return row[place] if place is not None and place < len(row) else None


Body = Sequence[tuple[int, Sequence[Cell]]]


def _mark(body: Body, columns: Columns, answers: Mapping[str, str]) -> Mark | Question:
    """The decimal mark of the whole list: told by its numbers, else asked."""
    places = [place for place, _ in columns.prices] + [columns.pack, columns.from_]
    told = [(line, _at(row, place)) for line, row in body for place in places if place is not None]
    numbers = [cell for _, cell in told]
    fit = possible_marks(numbers)
    if not fit:
        raise Refused(_contradiction(told))
    if len(fit) == 1:
        return fit[0]
    examples = told_apart(numbers)[:_EXAMPLES]
    choices = tuple(
        Choice(mark, "; ".join(f"{cell} is {read_number(cell, mark)}" for cell in examples)) for mark in MARKS
    )
    question = Question("decimal mark", "Is the decimal sign of this list a point or a comma?", choices)
    answer = answered(question, answers)
    return question if answer is None else next(mark for mark in MARKS if mark == answer)


def _by_pack(body: Body, columns: Columns, mark: Mark, answers: Mapping[str, str]) -> bool | Question:
    """Whether prices are for the pack: no question without packs, or where the heading says that they are for one."""
    if columns.for_one or columns.pack is None:
        return False
    place, _ = columns.prices[0]
    read = [(read_number(_at(row, place), mark), read_number(_at(row, columns.pack), mark)) for _, row in body]
    packs = [(price, pack) for price, pack in read if price is not None and pack is not None and pack > 1]
    if not packs:
        return False
    shown_packs = packs[:_EXAMPLES]
    choices = (
        Choice("one", "; ".join(f"{price} for one, {price * pack} for {pack}" for price, pack in shown_packs)),
        Choice("pack", "; ".join(f"{price} for {pack}, {price / pack:.4f} for one" for price, pack in shown_packs)),
    )
    question = Question("price is for", "Is the price for one piece or for the whole pack?", choices)
    answer = answered(question, answers)
    return question if answer is None else answer == "pack"


def _contradiction(told: Sequence[tuple[int, Cell]]) -> str:
    only = {
        mark: next(
            (line, cell)
            for line, cell in told
            if read_number(cell, mark) is not None and read_number(cell, other) is None
        )
        for mark, other in (MARKS, MARKS[::-1])
    }
    (one, point), (other, comma) = only["point"], only["comma"]
    return (
        f"line {one} has {shown(str(point))} with a decimal point, line {other} has {shown(str(comma))} with a decimal "
        "comma; ask the supplier for a list written one way"
    )


def _currency(rows: Rows, columns: Columns, answers: Mapping[str, str], known: str) -> str | Question:
    """The currency told by codes and signs at the prices and above them; what they leave open is asked."""
    places = [place for place, _ in columns.prices]
    texts = [str(cell) for row in rows for cell in (_at(row, place) for place in places) if isinstance(cell, str)]
    possible: set[tuple[str, ...]] = {(code,) for text in texts for code in _CODE.findall(text)}
    possible |= {SIGNS[sign.lower()] for text in texts for sign in _SIGN.findall(text)}
    left = set(_CODES).intersection(*possible) if possible else {known or ""}
    if known and known in left:
        return known
    if known:
        raise Refused(f"the list is not in {known}, the supplier's currency; correct one of the two")
    if possible and not left:
        raise Refused("the list names several currencies at its prices; split it, one currency each")
    if possible and len(left) == 1:
        return next(iter(left))
    choices = tuple(Choice(code, code) for code in (sorted(left) if possible else _CODES))
    question = Question("currency", "In which currency are the prices?", choices)
    answer = answered(question, answers)
    return question if answer is None else answer


def _rows(body: Body, columns: Columns, mark: Mark, supplier: str, money: str) -> tuple[list[PriceRow], list[LeftOut]]:
    rows: list[PriceRow] = []
    left_out: list[LeftOut] = []
    for line, row in body:
        try:
            rows += _of_row(line, row, columns, mark, supplier, money)
        except Refused as why:
            left_out.append(LeftOut(line, str(why)))
    if not rows:
        raise Refused("no row of the list gives a part number with a price; check the columns that were chosen")
    return rows, left_out


def _of_row(line: int, row: Sequence[Cell], columns: Columns, mark: Mark, supplier: str, money: str) -> list[PriceRow]:
    part = _part(_at(row, columns.part))
    found = []
    for place, from_quantity in columns.prices:
        price = read_number(_at(row, place), mark)
        if price is not None and price > 0:
            found.append(
                PriceRow(
                    supplier=supplier,
                    part=part,
                    price=price,
                    currency=money,
                    name=" ".join(str(_at(row, columns.name) or "").split()),
                    pack=_count(_at(row, columns.pack), mark, "the pack"),
                    from_quantity=_from(row, columns, from_quantity, mark),
                    line=line,
                )
            )
    if not found:
        cells = ", ".join(shown(str(_at(row, place) or "")) for place, _ in columns.prices)
        raise Refused(f"{part}: {cells} is no price")
    return found


def _part(cell: Cell) -> str:
    if cell is None or not str(cell).strip():
        raise Refused("the part number is empty")
    if not isinstance(cell, str):
        raise Refused(f"the part number {cell} is a number in the sheet, zeros before it may be lost; make it text")
    return " ".join(cell.split())


def _from(row: Sequence[Cell], columns: Columns, by_heading: int, mark: Mark) -> int:
    """From how many pieces a price holds: told by its heading (10+), else by the column for it, else from one."""
    if by_heading > 1 or columns.from_ is None:
        return by_heading
    return _count(_at(row, columns.from_), mark, "the quantity")


def _count(cell: Cell, mark: Mark, what: str) -> int:
    if cell is None or not str(cell).strip():
        return 1
    number = read_number(cell, mark)
    if number is None or number < 1 or number != int(number):
        raise Refused(f"{what} {shown(str(cell))} is no whole number of pieces")
    return int(number)


def _once(rows: Sequence[PriceRow], left_out: list[LeftOut], answers: Mapping[str, str]) -> PriceList | Asked:
    """Each key once: the same price twice is one; two prices for one part are asked."""
    groups: dict[str, list[PriceRow]] = {}
    for row in rows:
        groups.setdefault(row.key, []).append(row)
    chosen: list[PriceRow] = []
    questions: list[Question] = []
    for group in groups.values():
        first = group[0]
        if len({row.says[:2] for row in group}) > 1:
            told = _which(group, answers)
            if isinstance(told, Question):
                questions.append(told)
                continue
            first = told
        chosen.append(first)
        left_out += [LeftOut(row.line, f"{row.part} is on line {first.line} too") for row in group if row is not first]
    if questions:
        return Asked(tuple(questions))
    return PriceList(tuple(chosen), tuple(sorted(left_out, key=lambda each: each.line)))


def _which(group: Sequence[PriceRow], answers: Mapping[str, str]) -> PriceRow | Question:
    first = group[0]
    choices = tuple(Choice(f"{row.price}", f"line {row.line}: {row.price} {row.currency}") for row in group)
    asks = f"{first.part} stands in the list with several prices. Which one holds?"
    question = Question(f"price of {first.part} from {first.from_quantity}, pack {first.pack}", asks, choices)
    answer = answered(question, answers)
    return question if answer is None else next(row for row in group if f"{row.price}" == answer)
