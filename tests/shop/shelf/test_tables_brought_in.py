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
from floatbowl.shelf.supplier_list import Asked
from floatbowl.shop.models import ToldSale
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.importing import BroughtIn, bring_in_counts, bring_in_sales
from floatbowl.shop.shelf.ledger import About, item_of, take
from floatbowl.shop.shelf.tables import TableRow, cells_of, read_table
from floatbowl.shop.shelf.things import things_now

TODAY = timezone.localdate()


def rows_of(text: str, **answers: str) -> list[TableRow] | Asked:
    told = {name.replace("_", " "): answer for name, answer in answers.items()}
    cells = cells_of("table.csv", text.encode(), told)
    assert not isinstance(cells, Asked)
    return read_table(cells, told)


def read(text: str, **answers: str) -> list[TableRow]:
    rows = rows_of(text, **answers)
    assert not isinstance(rows, Asked), rows
    return rows


def asked(text: str) -> list[str]:
    found = rows_of(text)
    assert isinstance(found, Asked)
    return [question.key for question in found.questions]


def counts(text: str, day: date = TODAY) -> BroughtIn:
    return bring_in_counts(read(text), things_now(), "Ines", day)


def sales(text: str) -> BroughtIn:
    return bring_in_sales(read(text), things_now(), "Ines")


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
    assert asked("Item;Amount;Date\nG-1;1;2026-03-04\n") == ["column quantity"]
    assert asked("Item;Part no;Qty\nG-1;x;1\n") == ["column item"]
    assert asked("a;b\nG-1;1\n") == ["heading row"]


def test_an_answer_settles_it() -> None:
    (row,) = read("Item;Qty\nG-1;1,250\n", decimal_mark="point")
    assert row.quantity == 1250
    (row,) = read("Item;Qty;Date\nG-1;1;03/04/2026\n", day_order="month first")
    assert row.day == date(2026, 3, 4)
    (row,) = read("Item;Amount;Date\nG-1;3;2026-03-04\n", column_quantity="Amount")
    assert row.quantity == 3
    with pytest.raises(Refused, match="none of the choices"):
        rows_of("Item;Qty\nG-1;1,250\n", decimal_mark="semicolon")


def test_what_one_row_settles_is_not_asked() -> None:
    assert read("Item;Qty;Date\nG-1;1;03/04/2026\nG-1;2;25/04/2026\n")[0].day == date(2026, 4, 3)
    assert read("Item;Qty\nG-1;1,250\nG-1;1,250,000.0\n".replace("1,250,000.0", "12.0"))[0].quantity == 1250


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Item;Qty\nG-1;1,5\n", r"line 2: '1,5' is no whole number"),
        ("Item;Qty\n;3\n", "line 2: no kit or part is named"),
        ("Item;Qty;Date\nG-1;3;2026-02-30\n", "is no day"),
        ("Item;Qty;Date\nG-1;3;25/04/2026\nG-1;3;04/25/2026\n", "some month first"),
        ("Item;Qty\nG-1;1,250\nG-1;1.250.000\nG-1;1,250.5\n", "decimal"),
    ],
)
def test_what_cannot_be_is_refused_by_its_line(text: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        rows_of(text)


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
    rows = read_table(cells, {})
    assert not isinstance(rows, Asked)
    assert (rows[0].item, rows[0].quantity, rows[0].day) == ("G-1", 4, date(2026, 3, 9))
    wrong = cells_of("sales.xlsx", book(118.0), {})
    assert not isinstance(wrong, Asked)
    with pytest.raises(Refused, match="make the column text"):
        read_table(wrong, {})
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
    counts("Item;Qty;Place\nG-1;7;A1\n", TODAY - timedelta(days=1))
    # Six and the sale were written today, after the counted day: seven then, and what happened since is kept.
    assert Item.objects.get(key="G-1").on_hand == 7 + 6 - 2


def test_a_count_without_a_day_is_refused(records: Reference) -> None:
    with pytest.raises(Refused, match="which day"):
        bring_in_counts(read("Item;Qty\nG-1;6\n"), things_now(), "Ines")


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
