"""Workbooks typed by people: what a spreadsheet has turned into numbers and dates is refused with its cell."""

from __future__ import annotations

import contextlib
import datetime
import zipfile
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from floatbowl.reference import archive, spreadsheet
from floatbowl.reference.facts import Maker, Reference
from floatbowl.reference.pack import PackFaults, read_pack, write_pack

PACK = [["name", "value"], ["floatbowl_pack", 1], ["currency", "crowns"], ["minute", 0.5]]
SHEETS: dict[str, list[list[Any]]] = {
    "pack": PACK,
    "makers": [["maker", "name"], ["t", "Tarnsyke"]],
    "carburettors": [["carburettor", "maker", "share"], ["k1", "t", 2]],
    "marks": [["carburettor", "text", "role", "with"], ["k1", "0118", "identifies", ""]],
    "features": [["carburettor", "feature", "value", "page"], ["k1", "bolts", 60.5, 12]],
    "feature_kinds": [["feature", "question", "kind"], ["bolts", "How far?", "measure"]],
    "kits": [["kit", "name", "price"], ["T-1", "Kit", 9.25]],
    "kit_fits": [["kit", "carburettor"], ["T-1", "k1"]],
    "machines": [["machine", "make", "model", "cylinders"], ["lowfold", "Drumlow", "Lowfold", 4]],
    "came_on": [["machine", "carburettor"], ["lowfold", "k1"]],
}


def book(path: Path, changed: dict[str, list[list[Any]] | None] | None = None) -> Path:
    made = xlsxwriter.Workbook(path)
    day = made.add_format({"num_format": "yyyy-mm-dd"})
    for name, rows in (SHEETS | (changed or {})).items():
        sheet = made.add_worksheet(name) if rows is not None else None
        for down, row in enumerate(rows or []):
            for across, cell in enumerate(row):
                if isinstance(cell, datetime.date):
                    sheet.write_datetime(down, across, cell, day)
                elif isinstance(cell, str) and cell:
                    sheet.write_string(down, across, cell)
                elif cell != "":
                    sheet.write(down, across, cell)
    made.close()
    return path


def refused(path: Path) -> list[str]:
    with pytest.raises(PackFaults) as caught:
        read_pack(path)
    return [str(fault) for fault in caught.value.faults]


def test_a_workbook_is_read(tmp_path):
    reference = read_pack(book(tmp_path / "p.xlsx", {"notes of my own": [["x"]]}))
    assert reference.marks[0].text == "0118"
    assert reference.marks[0].line == 2
    assert (reference.features[0].value, reference.features[0].page) == ("60.5", "12")
    assert (reference.machines[0].cylinders, reference.kits[0].price, reference.carburettors[0].share) == (4, 9.25, 2.0)
    assert (reference.currency, reference.costs.minute, reference.costs.wrong_kit) == ("crowns", 0.5, 25.0)


@pytest.mark.parametrize(
    ("sheet", "row", "line"),
    [
        ("marks", ["k1", 118, "identifies", ""], "marks:2: text: cell B2 is the number 118: format the column as text"),
        ("marks", ["k1", "A", "identifies", 3], "marks:2: with: cell D2 is the number 3"),
        (
            "marks",
            ["k1", datetime.date(2024, 6, 1), "identifies", ""],
            "marks:2: text: cell B2 is '2024-06-01', a date",
        ),
        ("marks", ["k1", True, "identifies", ""], "marks:2: text: cell B2 is 'True', a truth value"),
        ("kits", [12, "Kit", 9.25], "kits:2: kit: cell A2 is the number 12"),
        ("kits", ["T-1", "Kit", datetime.date(2024, 6, 1)], "kits:2: price: cell C2 is '2024-06-01', a date"),
        ("kits", ["T-1", "Kit", "9,25"], "kits:2: price: '9,25' has a comma"),
        ("machines", ["lowfold", "Drumlow", 35, 4], "machines:2: model: cell C2 is the number 35"),
        (
            "features",
            ["k1", "bolts", datetime.date(2024, 6, 5), 1],
            "features:2: value: cell C2 is '2024-06-05', a date",
        ),
    ],
)
def test_a_number_or_date_where_text_belongs_is_refused_with_its_cell(tmp_path, sheet, row, line):
    told = refused(book(tmp_path / "p.xlsx", {sheet: [SHEETS[sheet][0], row]}))
    assert any(each.startswith(line) for each in told), told


def test_a_text_is_a_number_where_numbers_belong(tmp_path):
    path = book(tmp_path / "p.xlsx", {"kits": [["kit", "name", "price"], ["T-1", "Kit", "9.25"]]})
    assert read_pack(path).kits[0].price == 9.25


def test_blank_rows_and_columns_are_passed_over_and_lines_stay(tmp_path):
    rows = [["kit", "name", "", "shelf"], [], ["T-1", "Kit", "", 4]]
    kit = read_pack(book(tmp_path / "p.xlsx", {"kits": rows})).kits[0]
    assert (kit.line, kit.extra) == (3, (("shelf", "4"),))


@pytest.mark.parametrize(
    ("changed", "line"),
    [
        ({"kits": None}, "kits: this sheet is missing"),
        ({"pack": None}, "pack: this sheet is missing; add it"),
        ({"pack": [["name", "value"]]}, "pack: floatbowl_pack: is missing"),
        ({"pack": [["floatbowl_pack", 2]]}, "pack: floatbowl_pack: is '2.0', but this program reads version 1"),
        ({"pack": [["floatbowl_pack", 1], ["minute", "much"]]}, "pack: costs.minute: 'much' is not a sum of money"),
        ({"kits": []}, "kits: is empty"),
    ],
)
def test_missing_and_wrong_sheets(tmp_path, changed, line):
    told = refused(book(tmp_path / "p.xlsx", changed))
    assert any(each.startswith(line) for each in told), told


def test_two_cells_in_far_corners_do_not_fill_the_memory(tmp_path):
    made = xlsxwriter.Workbook(tmp_path / "p.xlsx")
    sheet = made.add_worksheet("marks")
    sheet.write(0, 0, "x")
    sheet.write(1_048_575, 16_383, "x")
    made.close()
    (line,) = refused(tmp_path / "p.xlsx")
    assert line.startswith("p.xlsx: a sheet reaches 1,048,576 rows by 16,384 columns")


def test_a_zip_that_is_no_workbook_and_a_damaged_one_are_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "p.xlsx", "w") as made:
        made.writestr("kits.csv", "kit,name\n")
    assert "cannot be read as a workbook" in refused(tmp_path / "p.xlsx")[0]
    data = book(tmp_path / "q.xlsx").read_bytes()
    for place in range(0, len(data), 211):
        (tmp_path / "bad.xlsx").write_bytes(data[:place] + bytes([data[place] ^ 0x55]) + data[place + 1 :])
        with contextlib.suppress(PackFaults):
            assert read_pack(tmp_path / "bad.xlsx").makers


def test_a_workbook_bomb_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "MOST_BYTES", 1000)
    assert "it is refused" in refused(book(tmp_path / "p.xlsx"))[0]


@pytest.mark.parametrize("name", ["a\rb", "a\x07b", "x" * 40_000])
def test_what_no_workbook_can_hold_is_refused_and_goes_into_a_folder(tmp_path, name):
    reference = Reference(makers=(Maker(maker="m", name=name),))
    with pytest.raises(PackFaults, match=r"makers:2: cell B2 cannot stand in a workbook; save a folder"):
        write_pack(reference, tmp_path / "p.xlsx")
    assert not (tmp_path / "p.xlsx").exists()
    write_pack(reference, tmp_path / "p")
    assert read_pack(tmp_path / "p") == reference


def test_keys_are_written_as_text_and_look_like_it(whole, tmp_path):
    write_pack(whole, tmp_path / "p.xlsx")
    assert read_pack(tmp_path / "p.xlsx") == whole
    reference = Reference(makers=(Maker(maker="007", name="1e5"),))
    write_pack(reference, tmp_path / "q.xlsx")
    assert read_pack(tmp_path / "q.xlsx") == reference


def test_too_many_rows_for_a_sheet(monkeypatch, tmp_path):
    monkeypatch.setattr(spreadsheet, "MOST_ROWS", 1)
    with pytest.raises(PackFaults, match="more than 1 rows"):
        write_pack(Reference(makers=(Maker(maker="a", name=""), Maker(maker="b", name=""))), tmp_path / "p.xlsx")
