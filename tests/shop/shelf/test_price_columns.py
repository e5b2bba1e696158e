"""Columns of a supplier's list: a heading nobody knows is asked about, and our numbers are kept apart from theirs."""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction
from importlib import resources

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_columns import Choice, Question
from floatbowl.shelf.supplier_list import Asked, cells_of_text
from floatbowl.shop.shelf.asking_ahead import ask_ahead
from floatbowl.shop.shelf.columns import NOT_KEPT, Rows, close
from floatbowl.shop.shelf.price_columns import FOR_ONE, OTHERS, PART, PRICE, ReadPrices, read_prices
from floatbowl.shop.shelf.tables import WANTED

GEBINDE = "Preis;Mindestmenge;Bestellnr;Artikel;Gebinde\n0,90;10;OG-77;W-10;10\n1,05;1;OG-78;G-1;5\n"


def read_or_asked(text: str | Rows, answers: dict[str, str], currency: str = "EUR") -> ReadPrices | Asked:
    cells = cells_of_text(text, answers) if isinstance(text, str) else text
    assert not isinstance(cells, Asked)
    return read_prices(cells, supplier="Ardwath", answers=answers, currency=currency)


def read(text: str | Rows, answers: dict[str, str] | None = None, currency: str = "EUR") -> ReadPrices:
    found = read_or_asked(text, answers or {}, currency)
    assert not isinstance(found, Asked), found
    return found


def asked(text: str | Rows, answers: dict[str, str] | None = None, currency: str = "EUR") -> list[Question]:
    found = read_or_asked(text, answers or {}, currency)
    assert isinstance(found, Asked), found
    return list(found.questions)


def test_two_numbers_in_a_list_are_asked_about_and_each_is_kept_as_what_it_is() -> None:
    keys = [question.key for question in asked(GEBINDE)]
    assert keys == ["heading Bestellnr", "heading Artikel"]
    told = {"heading Bestellnr": "their number", "heading Artikel": "our number"}
    assert [question.key for question in asked(GEBINDE, told)] == ["price is for"]
    found = read(GEBINDE, told | {"price is for": "pack"})
    first = found.prices.rows[0]
    assert (first.part, first.pack, first.from_quantity, first.each) == ("OG-77", 10, 10, Fraction(9, 100))
    assert found.ours == {2: "W-10", 3: "G-1"}
    assert found.has_theirs
    assert not found.left_out


@pytest.mark.parametrize(
    "heads",
    [
        "Bestellnummer;Ihre Artikelnummer;Bezeichnung;Einzelpreis;VPE;Mindestmenge",
        "Référence;Votre référence;Désignation;Prix unitaire;Conditionnement;Quantité minimum",
        "Referencia;Su referencia;Descripción;Precio unitario;Envase;Pedido mínimo",
        "Codice articolo;Vostro codice;Descrizione;Prezzo unitario;Confezione;Quantità minima",
        "Order code;Your part no.;Description;Price per piece;Pack quantity;MOQ",
    ],
)
def test_headings_of_other_languages(heads: str) -> None:
    found = read(f"{heads}\nOG-77;W-10;Washer;0.90;10;20\n")
    (row,) = found.prices.rows
    assert (row.part, row.name, row.each, row.pack, row.from_quantity) == ("OG-77", "Washer", Fraction(9, 10), 10, 20)
    assert found.ours == {2: "W-10"}


def test_a_known_heading_stands_for_one_thing_only() -> None:
    text = resources.files("floatbowl.shop.shelf").joinpath("headings.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert len({(close(row["heading"]), row["table"]) for row in rows}) == len(rows)
    roles = {one.role for one in (PART, PRICE, *OTHERS)} | {FOR_ONE}
    assert {row["role"] for row in rows if row["table"] == "prices"} <= roles
    assert {row["role"] for row in rows if row["table"] == "counts and sales"} == {one.role for one in WANTED} | {
        NOT_KEPT
    }
    assert all(row["source"] for row in rows)


def test_a_heading_nobody_knows_is_asked_about_with_its_first_cells() -> None:
    text = "Part no;Price;Zz;Empty\nA-1;1.25;10;\nA-2;2.50;25;\n"
    (question,) = asked(text)
    assert question.asks == "What stands in the column Zz (10, 25)?"
    assert [choice.answer for choice in question.choices] == [
        "leave it out",
        "our number",
        "name",
        "pack size",
        "from pieces",
    ]
    found = read(text, {"heading Zz": "from pieces"})
    assert [row.from_quantity for row in found.prices.rows] == [10, 25]
    assert found.left_out == ("the column Empty: it is empty",)
    found = read(text, {"heading Zz": "leave it out"})
    assert [row.from_quantity for row in found.prices.rows] == [1, 1]
    assert found.left_out == ("the column Zz", "the column Empty: it is empty")


def test_all_that_does_not_hang_on_another_answer_is_asked_in_one_round() -> None:
    text = "Part no;Price;Pack;Zz\nA-1;1,250;10;x\nA-2;2,500;25;y\n"
    questions = asked(text, currency="")
    assert [one.key for one in questions] == ["heading Zz", "decimal mark", "currency", "price is for"]
    assert [choice.shows for choice in questions[-1].choices] == ["", ""], "the examples hang on the decimal mark"
    told = {"heading Zz": "leave it out", "decimal mark": "comma", "currency": "EUR", "price is for": "pack"}
    assert [row.each for row in read(text, told, "").prices.rows] == [Fraction(1, 8), Fraction(1, 10)]


def test_a_list_with_our_numbers_only() -> None:
    found = read("Your part no;Price\nW-10;0.90\n")
    assert found.prices.rows[0].part == "W-10"
    assert found.ours == {2: "W-10"}
    assert not found.has_theirs


def test_a_list_without_headings_is_asked_about_column_by_column_and_keeps_its_lines() -> None:
    rows = [["A-1", "Washer", "1.25", "10"], ["A-2", "Gasket", "none", "5"]]
    assert [one.key for one in asked(rows)] == ["heading row"]
    told = {"heading row": "none"}
    keys = [one.key for one in asked(rows, told)]
    assert keys == [f"heading (column {n})" for n in (1, 2, 3, 4)]
    told |= dict(zip(keys, ("their number", "name", "price", "leave it out"), strict=True))
    found = read(rows, told)
    assert [(row.part, row.price, row.line) for row in found.prices.rows] == [("A-1", Decimal("1.25"), 1)]
    assert [one.line for one in found.prices.left_out] == [2]


def test_prices_from_so_many_pieces_and_a_currency_in_the_heading() -> None:
    found = read("Bestellnr;ab 1;ab 10\nA-1;1.25;1.10\n")
    assert [(row.from_quantity, row.price) for row in found.prices.rows] == [
        (1, Decimal("1.25")),
        (10, Decimal("1.10")),
    ]
    assert read("Bestellnr;Stückpreis (CHF)\nA-1;1.25\n", currency="").prices.rows[0].currency == "CHF"
    with pytest.raises(Refused, match="not in EUR"):
        read("Bestellnr;Stückpreis (CHF)\nA-1;1.25\n")


def test_two_prices_are_asked_by_their_own_headings_and_the_other_is_said() -> None:
    text = "Bestellnr;Listenpreis;Nettopreis\nA-1;2.50;1.25\n"
    (question,) = asked(text)
    assert (question.key, [one.answer for one in question.choices]) == ("column price", ["Listenpreis", "Nettopreis"])
    found = read(text, {"column price": "Nettopreis"})
    assert found.prices.rows[0].price == Decimal("1.25")
    assert found.left_out == ("the column Listenpreis",)


def test_a_list_with_headings_alone_is_said_to_be_empty() -> None:
    with pytest.raises(Refused, match="headings and no rows"):
        read([["Part no", "Price"]])


def test_what_hangs_on_another_answer_is_not_asked_ahead() -> None:
    def reads(answers: dict[str, str]) -> str | Asked:
        if "mark" not in answers:
            return Asked((Question("mark", "?", (Choice("point", ""), Choice("comma", ""))),))
        if answers["mark"] == "comma" and "more" not in answers:
            return Asked((Question("more", "?", (Choice("yes", ""),)),))
        return "read"

    found = ask_ahead(reads, {})  # type: ignore[arg-type]
    assert isinstance(found, Asked)
    assert [question.key for question in found.questions] == ["mark"]
    assert ask_ahead(reads, {"mark": "point"}) == "read"  # type: ignore[arg-type]
