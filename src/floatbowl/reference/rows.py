"""Rows of text to facts. Works a column at a time, so that 400,000 rows take about a second."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields
from functools import cache
from itertools import repeat
from typing import Any, TypeVar

from floatbowl.reference.columns import NOT_COLUMNS, Column, columns_of
from floatbowl.reference.fact import Fact
from floatbowl.reference.fault import FaultList, refusal, shown

F = TypeVar("F", bound=Fact)


@dataclass(slots=True)
class Table:
    """A table as text, before any of it is believed. ``lines`` are the lines of the file its rows begin on."""

    file: str
    header: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


def table_of_bytes(file: str, data: bytes, faults: FaultList) -> Table:
    """A CSV file (UTF-8, with or without a byte order mark) as a table; PackFaults when it is not one."""
    reader = csv.reader(io.StringIO(decoded(file, data), newline=""), strict=True)
    table = Table(file)
    line = 1
    try:
        for row in reader:
            if not table.header:
                table.header = [name.strip() for name in row]
            elif row and (row[0] or any(row)):
                table.rows.append(row)
                table.lines.append(line)
            line = reader.line_num + 1
    except csv.Error as problem:
        raise refusal(file, _plain_words(problem), line=line) from None
    if not table.header:
        raise refusal(file, "is empty; write a first row with the names of the columns")
    _drop_ragged(table, faults)
    return table


def decoded(file: str, data: bytes) -> str:
    """The text of a file; PackFaults names the line that is not UTF-8."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refusal(file, "is written in UTF-16; save it as UTF-8")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        byte = data[problem.start]
        raise refusal(file, f"byte 0x{byte:02x} is not UTF-8; save the file as UTF-8", line=line) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise refusal(file, "holds a NUL byte; it is damaged or no text file", line=line)
    return text


def _plain_words(problem: csv.Error) -> str:
    says = str(problem)
    if "field limit" in says:
        longest = f"{csv.field_size_limit():,}"
        return f"a cell is longer than {longest} characters; look for a quotation mark that is not closed"
    if "unexpected end" in says:
        return "a quotation mark is not closed before the end of the file; close it or double it"
    if "expected after" in says:
        return "text follows a closing quotation mark; write a quotation mark inside a cell twice"
    return f"cannot be read as CSV: {says}"


def _drop_ragged(table: Table, faults: FaultList) -> None:
    width = len(table.header)
    if all(len(row) == width for row in table.rows):
        return
    kept = Table(table.file, table.header)
    for line, row in zip(table.lines, table.rows, strict=True):
        if len(row) != width:
            faults.add(table.file, line, "", f"has {len(row)} cells, the first row {width}; check commas and quotes")
        else:
            kept.rows.append(row)
            kept.lines.append(line)
    table.rows, table.lines = kept.rows, kept.lines


def extra_names(rows: tuple[Fact, ...]) -> list[str]:
    """The shop's own columns of a table, by name."""
    return sorted({name for row in rows for name, _ in row.extra})


def facts_of(kind: type[F], table: Table, faults: FaultList) -> tuple[F, ...]:
    """The facts of a table. Faults are noted; a faulty cell stands as "not known" so that the rest can be judged."""
    columns = columns_of(kind)
    if not _header_is_good(table, columns, faults):
        return ()
    if not table.rows:
        return ()
    cells = dict(zip(table.header, zip(*table.rows, strict=True), strict=True))
    values: list[Any] = [
        _converted(column, cells[column.name], table, faults) if column.name in cells else repeat(column.default)
        for column in columns
    ]
    values += [_extras(cells, {column.name for column in columns}, table), table.lines]
    hashable: Any = kind
    return tuple(map(_maker(hashable), *values))


def _header_is_good(table: Table, columns: Sequence[Column], faults: FaultList) -> bool:
    good = True
    if len(table.header) == 1 and ";" in table.header[0]:
        faults.add(table.file, 1, "", "columns are parted by semicolons; save the file with commas")
        return False
    for name in sorted({name for name in table.header if name and table.header.count(name) > 1}):
        faults.add(table.file, 1, name, "two columns have this name; rename one")
        good = False
    _drop_nameless(table, faults)
    for column in columns:
        if column.needed and column.name not in table.header:
            near = [name for name in table.header if name.lower() == column.name]
            hint = f"; {shown(near[0])} must be in small letters" if near else "; add it"
            faults.add(table.file, 1, column.name, f"this column is missing{hint}")
            good = False
    return good


def _drop_nameless(table: Table, faults: FaultList) -> None:
    nameless = [place for place, name in enumerate(table.header) if not name]
    if not nameless:
        return
    for line, row in zip(table.lines, table.rows, strict=True):
        if any(row[place] for place in nameless):
            faults.add(table.file, line, "", "has a cell under a column without a name; name the column")
    keep = [place for place, name in enumerate(table.header) if name]
    table.header = [table.header[place] for place in keep]
    table.rows = [[row[place] for place in keep] for row in table.rows]


def _converted(column: Column, cells: Sequence[str], table: Table, faults: FaultList) -> list[Any]:
    """Each different text is read once, so equal values also share one object."""
    told: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for cell in set(cells):
        try:
            told[cell] = column.read(cell)
        except ValueError as problem:
            wrong[cell] = str(problem)
            told[cell] = "" if column.sort == "text" else None
    if wrong:
        for line, cell in zip(table.lines, cells, strict=True):
            if cell in wrong:
                faults.add(table.file, line, column.name, wrong[cell])
    return [told[cell] for cell in cells]


def _extras(cells: dict[str, tuple[str, ...]], known: set[str], table: Table) -> Any:
    """The shop's own columns, by name; a cell left empty is not kept."""
    names = sorted(set(cells) - known)
    if not names:
        return repeat(())
    rows = zip(*(cells[name] for name in names), strict=True)
    return [tuple((name, cell) for name, cell in zip(names, row, strict=True) if cell) for row in rows]


@cache
def _maker(kind: Any) -> Callable[..., Any]:
    """A function of all cells in order. Written as source once a table: a call by keywords is half as fast."""
    names = [*(column.field for column in columns_of(kind)), *sorted(NOT_COLUMNS)]
    by_place = [f.name for f in fields(kind) if not f.kw_only]
    by_name = [f"{name}={name}" for name in names if name not in by_place]
    source = f"lambda {', '.join(names)}: make_row({', '.join(by_place + by_name)})"
    made: Callable[..., Any] = eval(source, {"make_row": kind})
    return made
