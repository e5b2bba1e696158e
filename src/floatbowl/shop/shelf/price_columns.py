"""A supplier's list with every column settled: what nobody knows is asked, with all else that can be asked at once.

The shop's own numbers, where a list has them, are kept apart from the supplier's.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Final

from floatbowl.engine.refusal import Refused
from floatbowl.shelf import supplier_columns, written_numbers
from floatbowl.shelf.supplier_columns import NO_COLUMN, Question, plainly
from floatbowl.shelf.supplier_list import Asked, read_list
from floatbowl.shelf.supplier_prices import PriceList
from floatbowl.shop.shelf.asking_ahead import ask_ahead
from floatbowl.shop.shelf.columns import Cell, Rows, Settled, Wanted, close, known_headings, settle, text_of
from floatbowl.shop.shelf.tables import TOP, heading_row

PART: Final = Wanted(
    role="part", answer="their number", means="the number to order by", asks="Which is their number?", needed=True
)
OTHERS: Final = (
    Wanted(role="ours", answer="our number", means="our own number", asks="Which column is our own number?"),
    Wanted(role="name", answer="name", means="what it is called", asks="Which column is the name?"),
    Wanted(role="pack", answer="pack size", means="how many are in a pack", asks="Which column is the pack size?"),
    Wanted(
        role="from",
        answer="from pieces",
        means="from how many pieces the price holds",
        asks="Which column says from how many pieces the price holds?",
    ),
)
PRICE: Final = Wanted(
    role="price", answer="price", means="what the shop pays", asks="Which column is the price?", needed=True
)
FOR_ONE: Final = "price for one"
STEP: Final = "price from so many"
#: How a column is headed for the reading of prices, where its own heading is not known there.
_HEADED: Final[Mapping[str, str]] = {
    "part": "part no",
    "name": "name",
    "pack": "pack",
    "from": "from quantity",
    "price": "price",
    FOR_ONE: "price each",
}
#: A heading such as ``10+`` or ``ab 10``: the price of each from so many pieces. Words from memory.
_STEP: Final = re.compile(r"(?:price\s*)?(\d{1,6})\s*\+|(?:ab|from|dès|desde|da)\s*(\d{1,6})", re.IGNORECASE | re.ASCII)
_MONEY: Final = re.compile(r"£|€|\$|¥|\b[A-Z]{3}\b|\bkr\b")


@dataclass(frozen=True, slots=True)
class ReadPrices:
    """The prices of a list, our own numbers by line where it has them, and the columns left out, in words.

    ``has_theirs``: the list has the supplier's numbers; else ``part`` of each price is our own.
    """

    prices: PriceList
    ours: Mapping[int, str]
    has_theirs: bool
    left_out: tuple[str, ...]


def read_prices(cells: Rows, *, supplier: str, answers: Mapping[str, str], currency: str) -> ReadPrices | Asked:
    """Read a list, or say all that can be asked at once. Raises ``Refused`` as ``read_list`` does."""
    known = _known_in(cells)
    top = heading_row(cells, known, answers, NO_COLUMN)
    if isinstance(top, Question):
        return Asked((top,))
    heads, body = (cells[top], cells[top + 1 :]) if top >= 0 else ([], cells)
    if not body:
        raise Refused("the list has headings and no rows under them; nothing is in it to bring in")
    settled, roles = _settle(heads, body, known, answers)
    if not {"part", "ours"} & set(settled.places) or not {"price", FOR_ONE, STEP} & set(roles.values()):
        return Asked(tuple(settled.questions))
    # A heading row that the reading of prices knows stands in for the list's own; with none it is put above.
    above = list(cells[: max(top, 0)])
    under = [_plain([_at(row, n) for n in roles]) for row in body]
    plain: list[Sequence[written_numbers.Cell]] = [*map(_plain, above), _heads(heads, roles), *under]
    told = dict(answers) | {"heading row": str(len(above) + 1)}
    found = ask_ahead(lambda more: read_list(plain, supplier=supplier, answers=more, currency=currency), told)
    if settled.questions or isinstance(found, Asked):
        return Asked((*settled.questions, *(found.questions if isinstance(found, Asked) else ())))
    lifted = 1 if top < 0 else 0
    ours, first = settled.places.get("ours"), top + 2
    return ReadPrices(
        _lifted(found, lifted),
        {} if ours is None else {line: text_of(_at(row, ours)) for line, row in enumerate(body, first)},
        "part" in settled.places,
        tuple(settled.left_out),
    )


@cache
def known_prices() -> Mapping[str, str]:
    """Headings of price lists without their blanks: those of ``floatbowl.shelf``, and more languages."""
    more = known_headings("prices")
    one = {close(heading): FOR_ONE for heading in supplier_columns.FOR_ONE}
    return {**more, **{close(heading): role for heading, role in supplier_columns.headings().items()}, **one}


def _known_in(cells: Rows) -> Mapping[str, str]:
    """The known headings, and those of this list that say from how many pieces a price holds."""
    tops = (cell for row in cells[:TOP] for cell in row if isinstance(cell, str))
    return {**known_prices(), **{close(cell): STEP for cell in tops if _STEP.fullmatch(cell.strip())}}


def _settle(
    heads: Sequence[Cell], body: Rows, known: Mapping[str, str], answers: Mapping[str, str]
) -> tuple[Settled, dict[int, str]]:
    """What is settled, and the columns with their roles that prices are read from.

    Two numbers in a list are ours and theirs as a rule: each is asked about. Prices beside prices from so many pieces
    are left to the reading of prices to ask about.
    """
    said = [known.get(close(head), "") for head in heads]
    numbers = [n for n, role in enumerate(said) if role == "part"]
    prices = {n: role for n, role in enumerate(said) if role in {"price", FOR_ONE, STEP}}
    of_list = dict(known)
    for n in numbers if len(numbers) > 1 else ():
        of_list.pop(close(heads[n]))
    has_steps = STEP in prices.values()
    if not has_steps:
        of_list |= {close(heads[n]): "price" for n in prices}
    part = replace(PART, needed="ours" not in said)
    settled = settle(heads, body, of_list, [part, *OTHERS, *([] if has_steps else [PRICE])], answers)
    roles = {n: role for role, n in settled.places.items() if role != "ours"}
    if has_steps:
        roles |= prices
    elif "price" in settled.places:
        roles[settled.places["price"]] = prices.get(settled.places["price"], "price")
    if "part" not in settled.places and "ours" in settled.places:
        roles[settled.places["ours"]] = "part"
    return settled, dict(sorted(roles.items()))


def _heads(heads: Sequence[Cell], roles: Mapping[int, str]) -> list[str]:
    return [_head(text_of(_at(heads, n)), role) for n, role in roles.items()]


def _head(head: str, role: str) -> str:
    """A heading that the reading of prices knows: the list's own where it does, else ours with the currency."""
    if step := _STEP.fullmatch(head) if role == STEP else None:
        return f"{step[1] or step[2]}+"
    same = {"price", FOR_ONE} if role == FOR_ONE else {role}
    if supplier_columns.headings().get(plainly(head)) in same:
        return head
    money = [sign for sign in _MONEY.findall(head) if not written_numbers.bare(sign)]
    return " ".join([_HEADED[role], *money])


def _plain(row: Sequence[Cell]) -> list[written_numbers.Cell]:
    return [cell.isoformat() if isinstance(cell, date) else cell for cell in row]


def _at(row: Sequence[Cell], place: int) -> Cell:
    return row[place] if place < len(row) else None


def _lifted(found: PriceList, by: int) -> PriceList:
    """The lines as the list itself has them, where a heading row was put above."""
    return PriceList(
        tuple(replace(row, line=row.line - by) for row in found.rows),
        tuple(replace(one, line=one.line - by) for one in found.left_out),
    )
