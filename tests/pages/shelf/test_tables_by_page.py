"""Counts, sales and price lists sent by page: asked and not guessed, all or nothing, the same one twice once."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
import xlsxwriter
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from tests.pages.shelf.conftest import Shelf, words

from floatbowl.shop.models import Counted, SentFile, Supplier, SupplierPrice, ToldSale
from floatbowl.shop.models.shelf import Item

TODAY = timezone.localdate()


def send(shelf: Shelf, what: str, text: str | bytes, name: str = "table.csv", **more: str) -> Any:
    data = text.encode() if isinstance(text, str) else text
    return shelf.post(f"bring-in/{what}/", file=SimpleUploadedFile(name, data), **more)


def reply(shelf: Shelf, answer: Any, *chosen: str) -> Any:
    """Answer the questions of a page in their order, with all that the page sends along."""
    page = answer.content.decode()
    address = re.search(r'action="/shelf/(bring-in/file/\w+/)"', page)
    assert address, words(page)
    asked = re.findall(r'name="question" value="([^"]*)"', page)
    told = dict(re.findall(r'type="hidden" name="(answer-\d+)" value="([^"]*)"', page))
    for place, given in enumerate(chosen, start=len(told)):
        told[f"answer-{place}"] = given
    return shelf.client.post(f"/shelf/{address[1]}", {"question": asked, **told})


def sheet(rows: Sequence[Sequence[object]]) -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    page = book.add_worksheet()
    for number, row in enumerate(rows):
        page.write_row(number, 0, row)
    book.close()
    return out.getvalue()


def on_hand(key: str) -> int:
    return int(Item.objects.get(key=key).on_hand)


@pytest.fixture
def supplier(shelf: Shelf) -> Supplier:
    return Supplier.objects.create(name="Ardwath", currency="EUR")


def test_counts_with_shuffled_columns_come_in_once(shelf: Shelf) -> None:
    table = "Place,Counted,Part No\nA1,12,W-1\nB2,3,G-1\n"
    page = words(send(shelf, "counts", table, day=str(TODAY)).content.decode())
    assert "2 counts new" in page
    assert on_hand("W-1") == 12 + 5, "what lay without a place is gone"
    again = words(send(shelf, "counts", table, day=str(TODAY)).content.decode())
    assert "0 counts new , 2 known already" in again
    assert Counted.objects.count() == 2
    assert not SentFile.objects.exists(), "a table that was brought in is still kept"


def test_a_spreadsheet_without_headings_asks_with_its_first_rows(shelf: Shelf) -> None:
    answer = send(shelf, "counts", sheet([["what", "n"], ["W-1", 7], ["G-1", 2]]), "count.xlsx", day=str(TODAY))
    page = words(answer.content.decode())
    assert "Which row holds the headings" in page
    assert "W-1 7" in page
    assert on_hand("W-1") == 5, "something was brought in before it was answered"
    answer = reply(shelf, answer, "1")
    page = words(answer.content.decode())
    assert "What stands in the column what (W-1, G-1)?" in page
    assert "What stands in the column n (7, 2)?" in page
    answer = reply(shelf, answer, "item number", "how many")
    assert "2 counts new" in words(answer.content.decode())


def test_a_thousand_or_one_is_asked_and_shown_both_ways(shelf: Shelf) -> None:
    table = "item;quantity;day\nW-1;1.000;2024-03-01\n"
    answer = send(shelf, "sales", table)
    page = words(answer.content.decode())
    assert "Is the decimal sign of this table a point or a comma?" in page
    assert "1.000 is 1.000" in page
    assert "1.000 is 1000" in page
    assert not ToldSale.objects.exists()
    assert "1 sales new" not in page
    done = words(reply(shelf, answer, "comma").content.decode())
    assert "1 kept as history only" in done
    assert ToldSale.objects.get().quantity == 1000


def test_a_day_that_can_be_read_two_ways_is_asked(shelf: Shelf) -> None:
    answer = send(shelf, "sales", "item,quantity,day\nW-1,2,03/04/2024\n")
    assert "03/04/2024 is 03 April 2024" in words(answer.content.decode())
    left_open = reply(shelf, answer)
    assert left_open.status_code == 422
    assert "Choose one of these." in words(left_open.content.decode())
    reply(shelf, left_open, "month first")
    assert str(ToldSale.objects.get().day) == "2024-03-04"


def test_each_fault_has_its_line_and_nothing_is_half_there(shelf: Shelf) -> None:
    table = "item,quantity,day\nW-1,2,2024-01-05\nX-9,1,2024-01-05\nG-1,1.5,2024-01-05\nW-1,1,yesterday\n"
    answer = send(shelf, "sales", table)
    faults = re.findall(r"<li>(Line [^<]*)</li>", answer.content.decode())
    assert answer.status_code == 422
    assert [fault.split(":")[0] for fault in faults] == ["Line 3", "Line 4", "Line 5"]
    assert not ToldSale.objects.exists()
    assert not SentFile.objects.exists()


def test_a_column_nobody_knows_is_asked_about_and_then_left_out_and_said(shelf: Shelf) -> None:
    table = "item;quantity;day;whereto;Kunde\nW-1;2;2024-01-05;x 1;Oake\nG-1;1;2024-01-05;x 2;Oake\n"
    answer = send(shelf, "sales", table)
    assert "What stands in the column whereto (x 1, x 2)?" in words(answer.content.decode())
    assert not ToldSale.objects.exists()
    answer = reply(shelf, answer, "paper")
    assert "2 kept as history only" in words(answer.content.decode())
    assert "The column Kunde: nothing is kept of it" in words(answer.content.decode())
    assert sorted(ToldSale.objects.values_list("document", flat=True)) == ["x 1", "x 2"]


def test_two_columns_said_to_be_the_same_are_asked_about_again(shelf: Shelf) -> None:
    answer = send(shelf, "sales", "item;day;aa;bb\nW-1;2024-01-05;2;3\n")
    answer = reply(shelf, answer, "how many", "how many")
    assert "Only one of aa and bb can be “how many”." in words(answer.content.decode())
    assert not ToldSale.objects.exists()
    reply(shelf, answer, "leave it out", "how many")
    assert ToldSale.objects.get().quantity == 3


def test_the_same_sales_under_another_paper_are_asked_about(shelf: Shelf) -> None:
    send(shelf, "sales", "item;quantity;day\nW-1;2;2024-01-05\nG-1;1;2024-01-06\n")
    table = "item;quantity;day;Beleg\nW-1;2;2024-01-05;B 1\nG-1;1;2024-01-06;B 2\nG-1;1;2024-02-01;B 3\n"
    answer = send(shelf, "sales", table)
    assert "2 rows look like sales that are already here" in words(answer.content.decode())
    assert ToldSale.objects.count() == 2
    done = words(reply(shelf, answer, "the same sales").content.decode())
    assert "1 kept as history only, 2 known already" in done
    assert ToldSale.objects.count() == 3


def test_a_count_without_a_day_names_the_field(shelf: Shelf) -> None:
    answer = send(shelf, "counts", "item;quantity\nW-1;2\n", day="")
    assert answer.status_code == 422
    assert "add a column headed day, or fill in “Counted on”" in words(answer.content.decode())
    assert on_hand("W-1") == 5


def test_a_suppliers_list_is_asked_about_and_read_once(shelf: Shelf, supplier: Supplier) -> None:
    table = "Preis;Artikel;VE\n1,250;W-1;10\n1,900;G-1;1\n3,000;Z-7;1\n"
    answer = send(shelf, "prices", table, supplier=str(supplier.pk), day=str(TODAY))
    assert "1,250 is 1.250" in words(answer.content.decode())
    assert "1,250 is 1250" in words(answer.content.decode())
    answer = reply(shelf, answer, "comma")
    assert "Is the price for one piece or for the whole pack?" in words(answer.content.decode())
    page = words(reply(shelf, answer, "pack").content.decode())
    assert "2 prices new" in page
    assert "Ardwath's prices" in page
    assert "Line 4: Z-7 is not known to be any kit or part of ours" in page
    assert SupplierPrice.objects.get(item__key="W-1").price == Decimal("0.1250")
    again = reply(shelf, send(shelf, "prices", table, supplier=str(supplier.pk), day=str(TODAY)), "comma")
    assert "0 prices new , 2 known" in words(reply(shelf, again, "pack").content.decode())


@pytest.mark.parametrize(
    ("what", "told", "says"),
    [
        ("counts", {}, "Choose the file"),
        ("counts", {"file": SimpleUploadedFile("p.csv", b"")}, "p.csv is empty"),
        ("sales", {"file": SimpleUploadedFile("p.csv", b" \n\n")}, "The file p.csv is empty"),
        ("prices", {"file": SimpleUploadedFile("p.csv", b"a,b\n1,2\n")}, "Choose whose list it is"),
        ("counts", {"file": SimpleUploadedFile("p.csv", b"a,b\n1,2\n"), "day": "soon"}, "year-month-day"),
        ("counts", {"file": SimpleUploadedFile("p.xlsx", b"no sheet")}, "cannot be read as a spreadsheet"),
        ("sales", {"file": SimpleUploadedFile("p.csv", b"\xff\xfe\x00a")}, "no text in UTF-8"),
    ],
)
def test_what_is_no_table_is_told_beside_its_field(
    shelf: Shelf, supplier: Supplier, what: str, told: dict[str, Any], says: str
) -> None:
    for sent in told.values():
        if isinstance(sent, SimpleUploadedFile):
            sent.seek(0)
    answer = shelf.post(f"bring-in/{what}/", **told)
    assert answer.status_code == 422
    assert says in words(answer.content.decode())


def test_a_table_nobody_answered_for_is_forgotten(shelf: Shelf) -> None:
    answer = send(shelf, "sales", "item;quantity;day\nW-1;1.000;2024-03-01\n")
    SentFile.objects.update(at=timezone.now() - timedelta(days=3))
    send(shelf, "sales", "item;quantity;day\nW-1;2;2024-03-01\n")
    gone = reply(shelf, answer, "comma")
    assert gone.status_code == 422
    assert "Send it again" in words(gone.content.decode())
    assert ToldSale.objects.count() == 1


def test_it_can_be_left(shelf: Shelf) -> None:
    answer = send(shelf, "sales", "item;quantity;day\nW-1;1.000;2024-03-01\n")
    key = SentFile.objects.get().key
    assert answer.status_code == 200
    shelf.post(f"bring-in/file/{key}/", do="give-up")
    assert not SentFile.objects.exists()
