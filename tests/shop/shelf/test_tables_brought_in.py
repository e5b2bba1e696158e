"""Counts and sales from files: asked where in doubt, all rows or none, the same file twice changes nothing."""

from __future__ import annotations

import io
from datetime import date, timedelta

import pytest
import xlsxwriter
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.reference.facts import Reference
from floatbowl.shelf.supplier_columns import Question
from floatbowl.shelf.supplier_list import Asked
from floatbowl.shop.models import ToldSale
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.faults import RowsRefused
from floatbowl.shop.shelf.importing import BroughtIn, bring_in_counts, bring_in_sales
from floatbowl.shop.shelf.ledger import About, item_of, take
from floatbowl.shop.shelf.tables import Table, TableRow, cells_of, read_table
from floatbowl.shop.shelf.things import things_now

TODAY, DAY = timezone.localdate(), timedelta(days=1)


def table_of(text: str, **answers: str) -> Table | Asked:
    told = {name.replace("_", " "): answer for name, answer in answers.items()}
    cells = cells_of("table.csv", text.encode(), told)
    assert not isinstance(cells, Asked)
    return read_table(cells, told)


def table(text: str, **answers: str) -> Table:
    found = table_of(text, **answers)
    assert not isinstance(found, Asked), found
    return found


def read(text: str, **answers: str) -> tuple[TableRow, ...]:
    found = table(text, **answers)
    assert not found.faults
    assert not found.unread
    return found.rows


def questions(text: str, **answers: str) -> list[Question]:
    found = table_of(text, **answers)
    assert isinstance(found, Asked)
    return list(found.questions)


def asked(text: str, **answers: str) -> list[str]:
    return [question.key for question in questions(text, **answers)]


def counts(text: str, day: date | None = TODAY) -> BroughtIn:
    return bring_in_counts(table(text), things_now(), "Ines", day)


def sales(text: str, **answers: str) -> BroughtIn:
    found = sales_or_question(text, **answers)
    assert isinstance(found, BroughtIn), found
    return found


def sales_or_question(text: str, **answers: str) -> BroughtIn | Asked:
    told = {name.replace("_", " "): answer for name, answer in answers.items()}
    return bring_in_sales(table(text, **answers), things_now(), "Ines", told)


COLUMNS = {"Item": "G-1", "Qty": "12", "Place": "A1", "Date": "2026-03-09", "Invoice": "I-7"}


@given(st.permutations(list(COLUMNS)))
def test_columns_may_stand_in_any_order(order: list[str]) -> None:
    text = f"{';'.join(order)}\n{';'.join(COLUMNS[name] for name in order)}\n"
    (row,) = read(text)
    assert (row.item, row.quantity, row.place, row.document) == ("G-1", 12, "A1", "I-7")
    assert row.day == date(2026, 3, 9)


def test_what_is_open_to_doubt_is_asked() -> None:
    assert asked("Item;Qty\nG-1;1,250\n") == ["decimal mark"]
    assert asked("Item;Qty;Date\nG-1;1;03/04/2026\n") == ["day order"]
    assert asked("Item;Amount;Date\nG-1;1;2026-03-04\n") == ["heading Amount"]
    assert asked("Item;Part no;Qty\nG-1;x;1\n") == ["column item"]
    assert asked("a;b\nG-1;1\n") == ["heading row"]


def test_an_answer_settles_it() -> None:
    (row,) = read("Item;Qty\nG-1;1,250\n", decimal_mark="point")
    assert row.quantity == 1250
    (row,) = read("Item;Qty;Date\nG-1;1;03/04/2026\n", day_order="month first")
    assert row.day == date(2026, 3, 4)
    (row,) = read("Item;Amount;Date\nG-1;3;2026-03-04\n", heading_Amount="how many")
    assert row.quantity == 3
    with pytest.raises(Refused, match="none of the choices"):
        table_of("Item;Qty\nG-1;1,250\n", decimal_mark="semicolon")


def test_what_one_row_settles_is_not_asked() -> None:
    assert read("Item;Qty;Date\nG-1;1;03/04/2026\nG-1;2;25/04/2026\n")[0].day == date(2026, 4, 3)
    assert read("Item;Qty\nG-1;1,250\nG-1;1,250,000.0\n".replace("1,250,000.0", "12.0"))[0].quantity == 1250


def test_every_column_nobody_knows_is_asked_about_with_its_first_cells() -> None:
    text = "Item;Qty;Shelfmark;Zz\nG-1;1;A 7;x\nG-1;2;A 8;\n"
    shelfmark, zz = questions(text)
    assert shelfmark.asks == "What stands in the column Shelfmark (A 7, A 8)?"
    assert [choice.answer for choice in shelfmark.choices] == ["leave it out", "kit or part", "place", "day", "paper"]
    assert asked(text, heading_Shelfmark="place") == ["heading Zz"]
    found = table(text, heading_Shelfmark="place", heading_Zz="leave it out")
    assert [row.place for row in found.rows] == ["A 7", "A 8"]
    assert found.left_out == ("the column Zz",)
    assert zz.key == "heading Zz"


def test_a_column_without_a_heading_is_asked_about_too() -> None:
    (question,) = questions("Item;Qty;\nG-1;1;A 7\n")
    assert question.asks == "What stands in the column (column 3) (A 7)?"


def test_two_columns_cannot_be_the_same_thing() -> None:
    text = "Item;Date;Here;There\nG-1;2026-03-04;1;2\n"
    again = questions(text, heading_Here="how many", heading_There="how many")
    assert [question.key for question in again] == ["heading Here", "heading There"]
    assert again[0].asks.startswith("Only one of Here and There can be “how many”.")
    assert read(text, heading_Here="leave it out", heading_There="how many")[0].quantity == 2


def test_what_must_be_there_is_asked_for_when_every_column_was_left_out() -> None:
    text = "Item;Date;Here\nG-1;2026-03-04;5\n"
    assert asked(text, heading_Here="leave it out") == ["column quantity"]
    found = table(text, heading_Here="leave it out", column_quantity="Here")
    assert (found.rows[0].quantity, found.left_out) == (5, ())
    with pytest.raises(Refused, match="no column for how many; add one with the heading quantity"):
        table_of("Item;Date\nG-1;2026-03-04\n")


def test_what_is_empty_or_kept_nowhere_is_left_out_and_said() -> None:
    found = table("Item;Qty;Customer;Later\nG-1;1;Mrs Oake;\n")
    assert found.left_out == ("the column Customer: nothing is kept of it", "the column Later: it is empty")


@pytest.mark.parametrize(
    "heads",
    [
        "Artikelnummer;Menge;Datum;Beleg",
        "ArtikelNr;Stück;Tag;Dokument",
        "Référence;Quantité;Jour;Facture",
        "Artículo;Cantidad;Fecha;Factura",
        "Codice;Quantità;Data;Fattura",
        "PART NUMBER;qty sold;Invoice Date;Invoice No",
    ],
)
def test_headings_of_other_languages(heads: str) -> None:
    (row,) = read(f"{heads}\nG-1;12;2026-03-09;I-7\n")
    assert (row.item, row.quantity, row.day, row.document) == ("G-1", 12, date(2026, 3, 9), "I-7")


def test_a_heading_that_may_be_two_things_is_asked_about() -> None:
    # An order's number, or the number to order by?
    assert asked("Bestell-Nr.;Anzahl;Belegdatum\nG-1;12;2026-03-09\n") == ["heading Bestell-Nr."]


def test_all_is_asked_in_one_round() -> None:
    text = "Item;Qty;Date;Zz;Yy\nG-1;1,250;03/04/2026;a;b\n"
    assert asked(text) == ["heading Zz", "heading Yy", "decimal mark", "day order"]


def test_days_with_dots_are_day_month_year() -> None:
    (first, second) = read("Item;Qty;Date\nG-1;1;12.10.2026\nG-1;1;3. 4. 2026\n")
    assert (first.day, second.day) == (date(2026, 10, 12), date(2026, 4, 3))
    found = table("Item;Qty;Date\nG-1;1;10.25.2026\n")
    assert found.unread[0].wrong == ("'10.25.2026' is no day; write it as year-month-day",)
    mixed = read("Item;Qty;Date\nG-1;1;04.03.2026\nG-1;1;04/25/2026\nG-1;1;04/03/2026\n")
    assert [row.day for row in mixed] == [date(2026, 3, 4), date(2026, 4, 25), date(2026, 4, 3)]
    assert asked("Item;Qty;Date\nG-1;1;13.03.2026\nG-1;1;04/03/2026\n") == ["day order"]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "the file table.csv is empty"),
        (b"\xef\xbb\xbf \n\n", "the file table.csv is empty"),
        (b"Item;Qty\n", "headings and no rows under them"),
    ],
)
def test_an_empty_table_is_said_to_be_empty(data: bytes, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_table(cells_of("table.csv", data, {}), {})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Item;Qty\nG-1;1,5\n", r"line 2: '1,5' is no whole number"),
        ("Item;Qty\n;3\n", "line 2: no kit or part is named"),
        ("Item;Qty;Date\nG-1;3;2026-02-30\n", "is no day"),
        ("Item;Qty;Date\nG-1;3;25/04/2026\nG-1;3;04/25/2026\n", "line 2 has its day first, line 3 its month"),
        ("Item;Qty\nG-1;1.250.000\nG-1;1,250.5\n", "line 3 has a decimal point, line 2 a decimal comma"),
    ],
)
def test_what_cannot_be_is_refused_by_its_line(records: Reference, text: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        counts(text)
    assert not LedgerLine.objects.exists()


def test_all_faults_are_told_in_one_round_in_the_order_of_their_lines(records: Reference) -> None:
    text = (
        "Item;Qty;Place;Date\nG-1;1.5;A1;2026-03-04\nZ-9;1;A1;2026-03-04\nZ-8;no;A1;yesterday\n"
        "W-1;2;A1;2026-03-04\nW-1;3;a 1;2026-03-04\nG-1;2;;2090-01-02\n"
    )
    with pytest.raises(RowsRefused) as refused:
        counts(text)
    assert [fault.split(": ")[0] for fault in refused.value.faults] == [
        "line 2",
        "line 3",
        "line 4",
        "lines 5 and 6",
        "line 7",
    ]
    three = refused.value.faults[2]
    assert all(says in three for says in ("'no' is no whole number", "'yesterday' is no day", "Z-8: no kit or part"))


def test_a_spreadsheet_with_real_dates_and_a_number_for_a_name() -> None:
    def book(item: object) -> bytes:
        out = io.BytesIO()
        with xlsxwriter.Workbook(out) as made:
            sheet = made.add_worksheet()
            sheet.write_row(0, 0, ["Item", "Qty", "Date"])
            sheet.write_row(1, 0, [item, 4])
            sheet.write_datetime(1, 2, date(2026, 3, 9), made.add_format({"num_format": "d/m/yyyy"}))
        return out.getvalue()

    cells = cells_of("sales.xlsx", book("G-1"), {})
    assert not isinstance(cells, Asked)
    found = read_table(cells, {})
    assert not isinstance(found, Asked)
    rows = found.rows
    assert (rows[0].item, rows[0].quantity, rows[0].day) == ("G-1", 4, date(2026, 3, 9))
    wrong = cells_of("sales.xlsx", book(118.0), {})
    assert not isinstance(wrong, Asked)
    unread = read_table(wrong, {})
    assert not isinstance(unread, Asked)
    assert not unread.rows
    assert "make the column text" in unread.unread[0].wrong[0]
    with pytest.raises(Refused, match="cannot be read as a spreadsheet"):
        cells_of("broken.xlsx", b"no book", {})


def test_a_count_is_taken_once_and_a_later_sale_is_not_undone_by_it(records: Reference) -> None:
    text = "Item;Qty;Place\nG-1;6;A1\nW-1;5;\n"
    assert counts(text).new == 2
    take(item_of("part", "G-1"), 2, About(why="sale"))
    again = counts(text)
    assert (again.new, again.known) == (0, 2)
    assert Item.objects.get(key="G-1").on_hand == 4


def test_a_count_of_an_earlier_day_keeps_what_happened_since(records: Reference) -> None:
    counts("Item;Qty;Place\nG-1;6;A1\n", TODAY - timedelta(days=9))
    take(item_of("part", "G-1"), 2, About(why="sale"))
    found = counts("Item;Qty;Place\nG-1;7;a1\n", TODAY - timedelta(days=1))
    # Six lay there the evening before; the two sold today are gone all the same.
    assert Item.objects.get(key="G-1").on_hand == 7 - 2
    (said,) = found.earlier
    assert said.endswith(": 7 counted on %s, the ledger had 6 at the end of that day; 1 more written" % (TODAY - DAY))
    line = LedgerLine.objects.filter(why="count").latest("pk")
    assert (line.quantity, timezone.localdate(line.at), line.place) == (1, TODAY - DAY, "A1")


def test_a_count_taken_twice_over_of_one_evening_corrects_once(records: Reference) -> None:
    counts("Item;Qty;Place\nG-1;10;A1\n", TODAY - 9 * DAY)
    assert counts("Item;Qty;Place;Invoice\nG-1;4;A1;first sheet\n", TODAY - 2 * DAY).new == 1
    assert counts("Item;Qty;Place;Invoice\nG-1;4;A1;second sheet\n", TODAY - 2 * DAY).new == 1
    assert Item.objects.get(key="G-1").on_hand == 4
    with pytest.raises(Refused, match="it was counted again on"):
        counts("Item;Qty;Place\nG-1;9;A1\n", TODAY - 5 * DAY)
    assert Item.objects.get(key="G-1").on_hand == 4


def test_counts_of_several_days_may_stand_in_any_order(records: Reference) -> None:
    days = [TODAY - n * DAY for n in (2, 7, 4)]
    counts("Item;Qty;Place;Date\n" + "".join(f"G-1;{n};A1;{day}\n" for n, day in zip((5, 9, 6), days, strict=True)))
    assert Item.objects.get(key="G-1").on_hand == 5
    assert [line.quantity for line in LedgerLine.objects.order_by("at")] == [9, -3, -1]


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("G-1;5;A1;2020-01-02", r"line 2: G-1: 2 January 2020 is before its first line here, of .*count it today"),
        ("G-1;5;A1;2090-01-02", "line 2: G-1: 2 January 2090 is still to come"),
        ("G-1;5;A1;{0}\nG-1;6;a 1;{0}", "lines 2 and 3: G-1 at a 1 was counted twice on one day, 5 and 6"),
        ("G-1;0;;{0}", "8 fewer, but not so many lie there today"),
    ],
)
def test_a_day_of_which_nothing_can_be_said_is_refused_and_nothing_changes(
    records: Reference, rows: str, says: str
) -> None:
    begin("Ines")
    LedgerLine.objects.update(at=timezone.now() - 20 * DAY)
    take(item_of("part", "G-1"), 5, About(why="sale"))
    with pytest.raises(Refused, match=says):
        counts("Item;Qty;Place;Date\n" + rows.format(TODAY - 3 * DAY))
    assert Item.objects.get(key="G-1").on_hand == 3


def test_a_sale_still_to_come_is_refused(records: Reference) -> None:
    begin("Ines")
    with pytest.raises(Refused, match="is still to come"):
        sales(f"Item;Qty;Date\nG-1;1;{TODAY + DAY}\n")
    assert not ToldSale.objects.exists()


def test_a_count_without_a_day_is_refused(records: Reference) -> None:
    with pytest.raises(Refused, match="does not say on which day was counted; add a column headed day, or wink"):
        bring_in_counts(table("Item;Qty\nG-1;6\n"), things_now(), "Ines", or_say=", or wink")
    with pytest.raises(Refused, match="line 3: it has no day"):
        counts(f"Item;Qty;Day\nG-1;6;{TODAY}\nW-1;2;\n", day=None)
    assert not LedgerLine.objects.exists()


def test_one_unknown_item_and_nothing_is_brought_in(records: Reference) -> None:
    with pytest.raises(Refused, match=r"nothing was brought in. line 3: Z-9: no kit or part"):
        counts("Item;Qty\nG-1;6\nZ-9;1\n")
    assert not LedgerLine.objects.exists()


def test_sales_of_before_are_history_and_later_ones_leave_the_shelf_once(records: Reference) -> None:
    begin("Ines")
    LedgerLine.objects.update(at=timezone.now() - timedelta(days=10))
    old, new = TODAY - timedelta(days=30), TODAY - timedelta(days=3)
    text = f"Item;Qty;Date;Invoice\nG-1;2;{old};I-1\nG-1;3;{new};I-2\nG-1;3;{new};I-2\n"
    first = sales(text)
    assert (first.new, first.history, first.known) == (2, 1, 0)
    assert Item.objects.get(key="G-1").on_hand == 8 - 6
    second = sales(text)
    assert (second.new, second.history, second.known) == (0, 0, 3)
    assert Item.objects.get(key="G-1").on_hand == 2
    assert ToldSale.objects.count() == 3


def test_the_same_sales_under_another_paper_are_asked_about(records: Reference) -> None:
    begin("Ines")
    LedgerLine.objects.update(at=timezone.now() - 10 * DAY)
    old, new = TODAY - 30 * DAY, TODAY - 3 * DAY
    rows = f"G-1;2;{old};I-1\nG-1;3;{new};I-2\nW-1;1;{new};I-2\n"
    sales("Item;Qty;Date;Invoice\n" + rows)
    without = "Item;Qty;Date\n" + "".join(f"{row.rpartition(';')[0]}\n" for row in rows.splitlines())
    for again in ("Item;Qty;Date;Invoice\n" + rows.replace("I-", "Re "), without):
        found = sales_or_question(again)
        assert isinstance(found, Asked)
        (question,) = found.questions
        assert question.asks.startswith("3 rows look like sales that are already here")
        assert "lines 2, 3, 4" in question.asks
        assert ToldSale.objects.count() == 3
        done = sales(again, rows_that_look_alike="the same sales")
        assert (done.new, done.history, done.known) == (0, 0, 3)
    assert Item.objects.get(key="G-1").on_hand == 8 - 3
    done = sales(without, rows_that_look_alike="other sales")
    assert (done.new, done.history, done.known) == (2, 1, 0)
    assert Item.objects.get(key="G-1").on_hand == 8 - 6


def test_only_as_many_rows_look_alike_as_there_are_sales(records: Reference) -> None:
    old = TODAY - 30 * DAY
    text = f"Item;Qty;Date;Invoice\nG-1;1;{old};I-1\n"
    sales(text)
    # The row itself is known; that another was sold on that day under another paper is no wonder.
    assert sales(text + f"G-1;1;{old};I-2\n").history == 1
    found = sales_or_question(f"Item;Qty;Date\nG-1;1;{old}\nG-1;1;{old}\nG-1;1;{old}\nG-1;4;{old}\n")
    assert isinstance(found, Asked)
    assert found.questions[0].asks.startswith("2 rows look like")


def test_a_sale_that_left_the_shelf_here_is_not_taken_off_again_unasked(records: Reference) -> None:
    begin("Ines")
    LedgerLine.objects.update(at=timezone.now() - 10 * DAY)
    take(item_of("part", "G-1"), 2, About(why="sale", document="invoice 7"))
    found = sales_or_question(f"Item;Qty;Date;Invoice\nG-1;2;{TODAY};7\n")
    assert isinstance(found, Asked)
    assert found.questions[0].asks.startswith("1 row looks like")
    assert Item.objects.get(key="G-1").on_hand == 6


def test_more_sold_than_there_are_and_nothing_is_brought_in(records: Reference) -> None:
    begin("Ines")
    LedgerLine.objects.update(at=timezone.now() - timedelta(days=10))
    with pytest.raises(Refused, match="line 3"):
        sales(f"Item;Qty;Date\nG-1;8;{TODAY}\nG-1;1;{TODAY}\n")
    assert Item.objects.get(key="G-1").on_hand == 8
    assert not ToldSale.objects.exists()


def test_what_came_back_is_left_out_and_said(records: Reference) -> None:
    done = sales(f"Item;Qty;Date\nG-1;-1;{TODAY}\n")
    assert done.left_out == ["line 2: G-1: -1 is no sale; goods that came back"]
