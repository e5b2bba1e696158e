"""A supplier's list: read where it says what it means, asked where it does not, and never there twice."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Question
from floatbowl.shelf.supplier_list import Asked, cells_of_text, read_list
from floatbowl.shelf.supplier_prices import PriceList, PriceRow, beside_known
from floatbowl.shelf.written_numbers import Cell, read_number

HEAD = ["Part no", "Description", "Unit price", "Pack"]
GASKETS = [
    HEAD,
    ["NB-101", "Bowl gasket, ring", "£1.25", "10"],
    ["NB-102", "Bowl gasket, bar", "£1,250.00", "1"],
    ["NB-103", "Flange gasket", "£0.80", "25"],
]


def read(cells: Sequence[Sequence[Cell]], answers: Mapping[str, str] | None = None, currency: str = "") -> PriceList:
    found = read_list(cells, supplier="gasket-supplier", answers=answers, currency=currency)
    assert isinstance(found, PriceList), found
    return found


def asked(
    cells: Sequence[Sequence[Cell]], answers: Mapping[str, str] | None = None, currency: str = ""
) -> list[Question]:
    found = read_list(cells, supplier="gasket-supplier", answers=answers, currency=currency)
    assert isinstance(found, Asked), found
    return list(found.questions)


def prices(found: PriceList) -> dict[str, Decimal]:
    return {row.part: row.price for row in found.rows}


def test_a_plain_list_is_read_without_a_question() -> None:
    found = read(GASKETS)
    assert prices(found) == {"NB-101": Decimal("1.25"), "NB-102": Decimal("1250.00"), "NB-103": Decimal("0.80")}
    first = found.rows[0]
    assert (first.currency, first.pack, first.name, first.line) == ("GBP", 10, "Bowl gasket, ring", 2)


def test_a_letterhead_above_the_headings_is_passed_over() -> None:
    assert prices(read([["Gasket works"], [None, None], *GASKETS])) == prices(read(GASKETS))


@settings(max_examples=50, deadline=None)
@given(st.permutations(range(4)))
def test_shuffled_columns_give_the_same_rows_with_the_same_keys(order: list[int]) -> None:
    shuffled = [[row[place] for place in order] for row in GASKETS]
    assert {(row.key, row.says) for row in read(shuffled).rows} == {(row.key, row.says) for row in read(GASKETS).rows}


def test_decimal_commas_that_can_be_read_one_way_only_need_no_question() -> None:
    cells = [["Artikelnummer", "Preis €"], ["NB-101", "1,25"], ["NB-102", "1.250,00"], ["NB-103", "1,500"]]
    assert prices(read(cells)) == {"NB-101": Decimal("1.25"), "NB-102": Decimal("1250.00"), "NB-103": Decimal("1.500")}


def test_a_price_that_could_be_read_two_ways_is_asked_with_both_readings() -> None:
    cells = [["Part no", "Price"], ["NB-101", "1,250"], ["NB-102", "12"], ["NB-103", "2.400"]]
    (question,) = asked(cells, currency="GBP")
    assert question.key == "decimal mark"
    assert [(choice.answer, choice.shows) for choice in question.choices] == [
        ("point", "1,250 is 1250; 2.400 is 2.400"),
        ("comma", "1,250 is 1.250; 2.400 is 2400"),
    ]
    assert prices(read(cells, {"decimal mark": "comma"}, "GBP"))["NB-101"] == Decimal("1.25")
    assert prices(read(cells, {"decimal mark": "point"}, "GBP"))["NB-101"] == Decimal(1250)


def test_a_list_written_both_ways_is_refused_with_its_lines() -> None:
    cells = [["Part no", "Price"], ["NB-101", "1.25"], ["NB-102", "12,50"]]
    with pytest.raises(
        Refused, match=r"line 2 has '1\.25' with a decimal point, line 3 has '12,50' with a decimal comma"
    ):
        read(cells, currency="GBP")


@pytest.mark.parametrize(
    ("cell", "point", "comma"),
    [
        ("1 250,50", None, "1250.50"),
        ("1\u00a0250.50", "1250.50", None),
        ("1'250.50", "1250.50", None),
        ("1,234,567", "1234567", None),
        ("1.234.567,8", None, "1234567.8"),
        ("0,500", None, "0.500"),
        ("12,50", None, "12.50"),
        (".5", "0.5", None),
        ("1,2345", None, "1.2345"),
        ("12,34,567", None, None),
        ("1e5", None, None),
        ("٣", None, None),
        ("POA", None, None),
        (12.5, "12.5", "12.5"),
        (0.1, "0.1", "0.1"),
        (True, None, None),
        (float("nan"), None, None),
    ],
)
def test_numbers_as_suppliers_write_them(cell: Cell, point: str | None, comma: str | None) -> None:
    assert read_number(cell, "point") == (None if point is None else Decimal(point))
    assert read_number(cell, "comma") == (None if comma is None else Decimal(comma))


@settings(max_examples=50, deadline=None)
@given(st.decimals(min_value=0, max_value=10**7, places=2), st.sampled_from([("point", ",", "."), ("comma", ".", ",")]))
def test_a_written_number_reads_back(value: Decimal, way: tuple[str, str, str]) -> None:
    mark, thousands, decimal = way
    text = f"{value:,.2f}".translate(str.maketrans({",": thousands, ".": decimal}))
    assert read_number(text, mark) == value  # type: ignore[arg-type]


def test_two_price_columns_are_asked_and_the_answer_holds_when_they_are_shuffled() -> None:
    cells = [["Part no", "List price", "Net price"], ["NB-101", "2.50", "1.25"], ["NB-102", "3.00", "1.40"]]
    (question,) = asked(cells, currency="GBP")
    assert [(c.answer, c.shows) for c in question.choices] == [
        ("List price", "2.50, 3.00"),
        ("Net price", "1.25, 1.40"),
    ]
    answer = {question.key: "Net price"}
    shuffled = [[row[2], row[0], row[1]] for row in cells]
    assert prices(read(cells, answer, "GBP")) == prices(read(shuffled, answer, "GBP"))


def test_a_list_without_headings_asks_for_each_column() -> None:
    cells = [["NB-101", "Bowl gasket", "1.25"], ["NB-102", "Flange gasket", "1.40"]]
    (heading,) = asked(cells, currency="GBP")
    assert heading.key == "heading row"
    part, price = asked(cells, {"heading row": "none"}, "GBP")
    assert {choice.answer for choice in part.choices} == {"(column 1)", "(column 2)", "(column 3)"}
    assert [choice.answer for choice in price.choices] == ["(column 3)"]
    answers = {"heading row": "none", "column part": "(column 1)", "column price": "(column 3)"}
    assert prices(read(cells, answers, "GBP")) == {"NB-101": Decimal("1.25"), "NB-102": Decimal("1.40")}


def test_an_answer_that_is_no_choice_is_refused() -> None:
    with pytest.raises(Refused, match="'semicolon' is none of the choices; answer one of 'point', 'comma'"):
        read([["Part no", "Price"], ["A", "1,250"]], {"decimal mark": "semicolon"}, "GBP")


def test_price_breaks_in_columns_of_their_own() -> None:
    cells = [["Part no", "1+", "10+", "100+"], ["NB-101", "1.25", "1.10", "POA"]]
    assert [(row.from_quantity, row.price) for row in read(cells, currency="GBP").rows] == [
        (1, Decimal("1.25")),
        (10, Decimal("1.10")),
    ]


def test_a_price_beside_packs_is_asked_unless_its_heading_says_for_one() -> None:
    cells = [["Part no", "Price", "Pack"], ["NB-101", "1.20", "10"], ["NB-102", "2.00", "1"]]
    (question,) = asked(cells, currency="GBP")
    assert [(c.answer, c.shows) for c in question.choices] == [
        ("one", "1.20 for one, 12.00 for 10"),
        ("pack", "1.20 for 10, 0.1200 for one"),
    ]
    each = {answer: read(cells, {question.key: answer}, "GBP").rows[0].each for answer in ("one", "pack")}
    assert each == {"one": Fraction("1.2"), "pack": Fraction("0.12")}


def test_a_price_beside_price_breaks_is_asked() -> None:
    cells = [["Part no", "Price", "10+"], ["NB-101", "1.25", "1.10"]]
    (question,) = asked(cells, currency="GBP")
    assert [choice.answer for choice in question.choices] == ["10+", "Price", "Price and 10+"]
    found = read(cells, {question.key: "Price and 10+"}, "GBP")
    assert [row.from_quantity for row in found.rows] == [1, 10]


@pytest.mark.parametrize(
    ("sign", "choices"), [("$1.25", {"AUD", "CAD", "NZD", "USD"}), ("1.25 kr", {"DKK", "NOK", "SEK"})]
)
def test_a_sign_of_several_currencies_is_asked(sign: str, choices: set[str]) -> None:
    (question,) = asked([["Part no", "Price"], ["NB-101", sign]])
    assert question.key == "currency"
    assert {choice.answer for choice in question.choices} == choices


def test_no_sign_is_asked_and_another_currency_than_the_suppliers_is_refused() -> None:
    (question,) = asked([["Part no", "Price"], ["NB-101", "1.25"]])
    assert question.key == "currency"
    with pytest.raises(Refused, match="not in GBP"):
        read([["Part no", "Price (EUR)"], ["NB-101", "1.25"]], currency="GBP")
    with pytest.raises(Refused, match="several currencies"):
        read([["Part no", "Price"], ["NB-101", "£1.25"], ["NB-102", "1.25 EUR"]])


def test_rows_without_a_price_or_a_sure_number_are_left_out_and_told() -> None:
    cells: list[list[Cell]] = [
        ["Part no", "Price each", "Pack"],
        ["NB-101", "1.25", 10],
        ["NB-102", "on request", 1],
        [101.0, "2.00", 1],
        ["NB-104", "3.00", "2.5"],
        [None, None, None],
        ["NB-105", "0.00", 1],
    ]
    found = read(cells, currency="GBP")
    assert list(prices(found)) == ["NB-101"]
    assert [(each.line, each.why) for each in found.left_out] == [
        (3, "NB-102: 'on request' is no price"),
        (4, "the part number 101.0 is a number in the sheet, zeros before it may be lost; make it text"),
        (5, "the pack '2.5' is no whole number of pieces"),
        (7, "NB-105: '0.00' is no price"),
    ]


def test_one_part_with_two_prices_is_asked_and_twice_the_same_is_once() -> None:
    twice = [*GASKETS, ["NB-101", "Bowl gasket, ring", "£1.25", "10"]]
    assert [(each.line, each.why) for each in read(twice).left_out] == [(5, "NB-101 is on line 2 too")]
    other = [*GASKETS, ["NB-101", "Bowl gasket, ring", "£1.35", "10"]]
    (question,) = asked(other)
    assert [choice.shows for choice in question.choices] == ["line 2: 1.25 GBP", "line 5: 1.35 GBP"]
    assert prices(read(other, {question.key: "1.35"}))["NB-101"] == Decimal("1.35")


def test_the_same_list_twice_changes_nothing() -> None:
    known: dict[str, PriceRow] = {}
    for turn in range(2):
        arrived = beside_known(known.values(), read(GASKETS))
        assert len(arrived.new) == (3 if turn == 0 else 0)
        known |= {row.key: row for row in arrived.new}
    assert len(known) == 3
    assert not arrived.changed
    assert not arrived.gone


def test_a_new_list_tells_what_changed_came_and_went() -> None:
    later = [
        HEAD,
        ["NB-101", "Bowl gasket, ring", "£1.30", "10"],
        ["NB-103", "Flange gasket", "£0.8", "25"],
        ["NB-104", "", "£2.00", ""],
    ]
    arrived = beside_known(read(GASKETS).rows, read(later))
    assert [(old.price, new.price) for old, new in arrived.changed] == [(Decimal("1.25"), Decimal("1.30"))]
    assert [row.part for row in arrived.new] == ["NB-104"]
    assert [row.part for row in arrived.same] == ["NB-103"]
    assert [row.part for row in arrived.gone] == ["NB-102"]


def test_text_with_one_possible_column_sign_is_split_and_another_is_asked() -> None:
    assert cells_of_text("\ufeffPart no;Price\nNB-101;1,25\nNB-102;12") == [
        ["Part no", "Price"],
        ["NB-101", "1,25"],
        ["NB-102", "12"],
    ]
    found = cells_of_text("Part,no;Price\nNB-101;1,25\n")
    assert isinstance(found, Asked)
    assert [(c.answer, c.shows) for c in found.questions[0].choices] == [
        ("semicolon", "NB-101 | 1,25"),
        ("comma", "NB-101;1 | 25"),
    ]
    assert cells_of_text("Part,no;Price\nNB-101;1,25\n", {"column sign": "semicolon"})[1] == ["NB-101", "1,25"]
    with pytest.raises(Refused, match="one column only"):
        cells_of_text("a\nb\n")


def test_rows_in_any_order_give_the_same_keys() -> None:
    body = GASKETS[1:]
    random.Random(3).shuffle(body)
    assert {row.key for row in read([HEAD, *body]).rows} == {row.key for row in read(GASKETS).rows}
