"""A pack as one workbook: each sheet a table, and a sheet ``pack`` of names and values for what the descriptor holds.

A spreadsheet turns what looks like a number into one and drops zeros and letters on the way. So a number or a date
where a key or a mark belongs is refused with its cell, never mended.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from dataclasses import fields
from typing import IO, Any, Final

import python_calamine
import xlsxwriter

from floatbowl.reference.archive import open_archive, unpack
from floatbowl.reference.columns import Column, Value, cell_of, columns_of, number
from floatbowl.reference.descriptor import VERSION, costs_of, currency_of, refuse_other_version
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import OPTIONAL_TABLES, TABLES, Costs, Reference
from floatbowl.reference.fault import FaultList, refusal, shown
from floatbowl.reference.gather import reference_of
from floatbowl.reference.rows import Table, extra_names

PACK_SHEET: Final = "pack"
#: Text columns in which a number is only ever a number or a page.
NUMBERS_ALLOWED: Final = frozenset({"value", "page", "tolerance"})
LONGEST_CELL: Final = 32_767
MOST_ROWS: Final = 1_048_575
#: Cells of one sheet; a sheet is held whole, so two cells in far corners would fill the memory.
MOST_CELLS: Final = 20_000_000
#: What XML cannot hold or would change.
UNWRITABLE: Final = re.compile("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]")
_PLACE: Final = re.compile(rb"""\sr\s*=\s*["']([A-Z]{0,3})(\d{1,9})["']""")


def read_workbook(name: str, file: IO[bytes]) -> Reference:
    """A reference from an ``.xlsx`` file; PackFaults tells all that is wrong."""
    _refuse_vast(name, file)
    file.seek(0)
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(file)
        sheets = {sheet: _cells(book, sheet) for sheet in book.sheet_names if sheet in TABLES or sheet == PACK_SHEET}
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as problem:  # a panic of the reading library is no Exception
        raise refusal(name, f"cannot be read as a workbook ({type(problem).__name__}); save it again") from None
    faults = FaultList()
    told = _pack_sheet(sheets.pop(PACK_SHEET, None))
    refuse_other_version(PACK_SHEET, told.get("floatbowl_pack"))
    tables: dict[str, Table] = {}
    for table, kind in TABLES.items():
        if table in sheets:
            tables[table] = _table(table, kind, sheets[table], faults)
        elif table not in OPTIONAL_TABLES:
            faults.add(table, 0, "", "this sheet is missing; add it, with its first row at least")
    currency = currency_of(PACK_SHEET, told.get("currency"), faults)
    costs = costs_of(PACK_SHEET, {f.name: told.get(f.name) for f in fields(Costs)}, faults)
    return reference_of(tables, faults, currency=currency, costs=costs)


def _refuse_vast(name: str, file: IO[bytes]) -> None:
    archive = open_archive(name, file)
    for entry in archive.infolist():
        if not entry.filename.startswith("xl/worksheets/") or not entry.filename.endswith(".xml"):
            continue
        wide, high = 1, 1
        for letters, digits in _PLACE.findall(unpack(name, archive, entry)):
            high = max(high, int(digits))
            wide = max(wide, _column_number(letters.decode()))
        if wide * high > MOST_CELLS:
            says = f"a sheet reaches {high:,} rows by {wide:,} columns; delete what stands far outside the table"
            raise refusal(name, says)


def _column_number(letters: str) -> int:
    total = 0
    for letter in letters:
        total = total * 26 + ord(letter) - 64
    return total


def _cells(book: Any, sheet: str) -> list[list[Any]]:
    rows: list[list[Any]] = book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
    return rows


def _pack_sheet(rows: list[list[Any]] | None) -> dict[str, Any]:
    if rows is None:
        raise refusal(PACK_SHEET, f"this sheet is missing; add it, with name and value, floatbowl_pack and {VERSION}")
    told = {str(row[0]).strip(): row[1] for row in rows if len(row) > 1 and row[1] not in ("", None)}
    return {name: value if name == "currency" else _number_or_text(value) for name, value in told.items()}


def _number_or_text(value: Any) -> Any:
    """A number that stands as text, since its cell or its column was formatted so."""
    try:
        return number(value.strip()) if isinstance(value, str) else value
    except ValueError:
        return value


def _table(sheet: str, kind: type[Fact], rows: list[list[Any]], faults: FaultList) -> Table:
    if not rows:
        raise refusal(sheet, "is empty; write a first row with the names of the columns")
    columns = {column.name: column for column in columns_of(kind)}
    header = [str(name).strip() for name in rows[0]]
    table = Table(sheet, header)
    for line, row in enumerate(rows[1:], start=2):
        if any(cell != "" for cell in row):
            cells = zip(header, row, strict=True)
            table.rows.append(
                [_text(cell, columns.get(n), (sheet, line, p), faults) for p, (n, cell) in enumerate(cells)]
            )
            table.lines.append(line)
    return table


def _text(cell: Any, column: Column | None, place: tuple[str, int, int], faults: FaultList) -> str:
    if isinstance(cell, str):
        return cell
    name = column.name if column else ""
    takes_number = column is None or column.sort != "text" or name in NUMBERS_ALLOWED
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        if takes_number:
            return cell_of(cell)
        what = f"the number {cell_of(cell)}"
    else:
        what = f"{shown(str(cell))}, a {type(cell).__name__.replace('bool', 'truth value')}"
    sheet, line, across = place
    advice = "format the column as text and type it again; it has lost zeros or letters"
    faults.add(sheet, line, name, f"cell {_letters(across)}{line} is {what}: {advice}")
    return ""


def _letters(across: int) -> str:
    """The letters of a column counted from 0.

    >>> _letters(0), _letters(25), _letters(26)
    ('A', 'Z', 'AA')
    """
    letters = ""
    across += 1
    while across:
        across, rest = divmod(across - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def workbook_bytes(reference: Reference) -> bytes:
    """The workbook of a reference; PackFaults names what a workbook cannot hold without loss."""
    faults = FaultList()
    made = io.BytesIO()
    book = xlsxwriter.Workbook(made, {"in_memory": True})
    as_text = book.add_format({"num_format": "@"})
    costs = [(f.name, getattr(reference.costs, f.name)) for f in fields(Costs)]
    named = [("name", "value"), ("floatbowl_pack", VERSION), ("currency", reference.currency), *costs]
    _fill(book.add_worksheet(PACK_SHEET), PACK_SHEET, named, as_text, faults)
    for name, kind in TABLES.items():
        sheet = book.add_worksheet(name)
        sheet.freeze_panes(1, 0)
        for across, column in enumerate(columns_of(kind)):
            sheet.set_column(across, across, 16, as_text if column.sort == "text" else None)
        _fill(sheet, name, _rows(kind, getattr(reference, name)), as_text, faults)
    faults.stop_if_any()
    book.close()
    return made.getvalue()


def _rows(kind: type[Fact], rows: tuple[Fact, ...]) -> Iterable[Iterable[Value]]:
    columns = columns_of(kind)
    extras = extra_names(rows)
    yield [*(column.name for column in columns), *extras]
    for row in rows:
        own = dict(row.extra)
        yield [*(getattr(row, column.field) for column in columns), *(own.get(name, "") for name in extras)]


def _fill(sheet: Any, name: str, rows: Iterable[Iterable[Value]], as_text: Any, faults: FaultList) -> None:
    for down, row in enumerate(rows):
        if down > MOST_ROWS:
            faults.add(name, down, "", f"has more than {MOST_ROWS:,} rows; save a folder or a .zip instead")
            return
        for across, value in enumerate(row):
            if isinstance(value, str):
                if len(value) > LONGEST_CELL or UNWRITABLE.search(value):
                    place = f"cell {_letters(across)}{down + 1}"
                    faults.add(
                        name, down + 1, "", f"{place} cannot stand in a workbook; save a folder or a .zip instead"
                    )
                elif value:
                    sheet.write_string(down, across, value, as_text)
            elif value is not None:
                _write_number(sheet, down, across, value)


def _write_number(sheet: Any, down: int, across: int, value: float) -> None:
    """A workbook keeps 16 digits: a number that needs more is written as text, which reads back exactly."""
    if float(f"{value:.16G}") == value:
        sheet.write_number(down, across, value)
    else:
        sheet.write_string(down, across, cell_of(value))
