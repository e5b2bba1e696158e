"""Reading and writing a reference pack (version 1): a folder, a zip of it, or a workbook.

Unknown columns are kept in each fact's ``extra``, sorted by name, without empty cells. Keys, words and marks lose
blanks around them; other text is kept as it stands.
"""

from __future__ import annotations

import csv
import gc
import io
import os
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from floatbowl.reference.archive import MOST_BYTES, files_of, open_archive, unpack
from floatbowl.reference.columns import cell_of, columns_of
from floatbowl.reference.descriptor import (
    DESCRIPTOR,
    costs_of,
    currency_of,
    describe,
    parse_descriptor,
    table_paths,
)
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import OPTIONAL_TABLES, TABLES, Reference
from floatbowl.reference.fault import Fault, FaultList, PackFaults, refusal
from floatbowl.reference.gather import reference_of
from floatbowl.reference.rows import Table, extra_names, table_of_bytes

__all__ = ["Fault", "PackFaults", "read_pack", "write_pack"]

#: Gives a file of the pack by its path, or nothing when it is not there.
Fetch = Callable[[str], bytes | None]

#: The time every file in a written zip carries, so that equal packs are equal files.
ZIP_TIME: Final = (1980, 1, 1, 0, 0, 0)


def read_pack(path: str | os.PathLike[str]) -> Reference:
    """What a shop knows, from a folder, a ``.zip`` or an ``.xlsx`` workbook; PackFaults tells all that is wrong."""
    place = Path(path)
    try:
        with _no_collecting():
            return _read(place)
    except OSError as problem:
        raise refusal(str(place), f"cannot be read: {problem.strerror or problem}") from None


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Half a million new rows hold no cycles: looking for some would double the time of reading them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read(place: Path) -> Reference:
    if place.is_dir():
        return read_files(lambda name: _file_in(place, name))
    if not place.is_file():
        raise refusal(str(place), "is not there; give a folder, a .zip or an .xlsx file")
    if place.stat().st_size > MOST_BYTES:
        raise refusal(place.name, f"is larger than {MOST_BYTES:,} bytes; it is refused unread")
    with place.open("rb") as file:
        if place.suffix.lower() == ".xlsx":
            from floatbowl.reference.spreadsheet import read_workbook

            return read_workbook(place.name, file)
        archive = open_archive(place.name, file)
        entries = files_of(archive, DESCRIPTOR)
        return read_files(lambda name: unpack(place.name, archive, entries[name]) if name in entries else None)


def _file_in(folder: Path, name: str) -> bytes | None:
    file = folder / name
    if not file.is_file():
        return None
    if not file.resolve().is_relative_to(folder.resolve()):
        raise refusal(name, "is a link that leads outside the pack; put the file itself there")
    if file.stat().st_size > MOST_BYTES:
        raise refusal(name, f"is larger than {MOST_BYTES:,} bytes; it is refused unread")
    return file.read_bytes()


def read_files(fetch: Fetch) -> Reference:
    """A reference from the files of a pack."""
    descriptor_bytes = fetch(DESCRIPTOR)
    if descriptor_bytes is None:
        raise refusal(DESCRIPTOR, 'is missing; write {"floatbowl_pack": 1, "currency": "...", "costs": {...}}')
    descriptor = parse_descriptor(descriptor_bytes)
    faults = FaultList()
    tables: dict[str, Table] = {}
    for name, path in table_paths(descriptor, faults).items():
        data = fetch(path)
        if data is None and name not in OPTIONAL_TABLES:
            faults.add(path, 0, "", "this table is missing; add it, with its first row at least")
        elif data is not None:
            try:
                tables[name] = table_of_bytes(path, data, faults)
            except PackFaults as problem:
                for fault in problem.faults:
                    faults.add(fault.file, fault.line, fault.column, fault.says)
    currency = currency_of(DESCRIPTOR, descriptor.get("currency"), faults)
    costs = costs_of(DESCRIPTOR, descriptor.get("costs"), faults)
    return reference_of(tables, faults, currency=currency, costs=costs)


def write_pack(reference: Reference, path: str | os.PathLike[str]) -> None:
    """Write a pack so that reading it gives an equal reference; the path's ending decides the form.

    Raises PackFaults when something cannot be written without loss, OSError when the disk refuses. A file is written
    aside and put in place at once; a folder that was left half-way lacks its descriptor and is refused by read_pack.
    """
    place = Path(path)
    if place.suffix.lower() == ".xlsx":
        from floatbowl.reference.spreadsheet import workbook_bytes

        _put(place, workbook_bytes(reference))
        return
    files = pack_files(reference)
    if place.suffix.lower() == ".zip":
        _put(place, _zipped(files))
        return
    place.mkdir(parents=True, exist_ok=True)
    (place / DESCRIPTOR).unlink(missing_ok=True)
    for name, data in files.items():
        _put(place / name, data)


def pack_files(reference: Reference) -> dict[str, bytes]:
    """The files of a pack, the descriptor last."""
    faults = FaultList()
    extras = {name: extra_names(getattr(reference, name)) for name in TABLES}
    files = {}
    for name, kind in TABLES.items():
        text = _csv_text(kind, getattr(reference, name), extras[name])
        files[f"{name}.csv"] = _encoded(f"{name}.csv", text, faults)
    files[DESCRIPTOR] = _encoded(DESCRIPTOR, describe(reference, extras), faults)
    faults.stop_if_any()
    return files


def _csv_text(kind: type[Fact], rows: tuple[Fact, ...], extras: list[str]) -> str:
    columns = columns_of(kind)
    # RFC 4180 line ends; they also make csv quote a lone carriage return.
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow([*(column.name for column in columns), *extras])
    for row in rows:
        own = dict(row.extra)
        cells = [cell_of(getattr(row, column.field)) for column in columns]
        writer.writerow(cells + [own.get(name, "") for name in extras])
    return written.getvalue()


def _encoded(file: str, text: str, faults: FaultList) -> bytes:
    if "\0" in text:
        faults.add(file, text.count("\n", 0, text.index("\0")) + 1, "", "holds a NUL character; take it out")
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError as problem:
        line = text.count("\n", 0, problem.start) + 1
        faults.add(file, line, "", "holds half a character (a lone surrogate); take it out")
        return b""


def _zipped(files: Mapping[str, bytes]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, ZIP_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)
    return made.getvalue()


def _put(place: Path, data: bytes) -> None:
    """Write aside, then put in place: whoever is killed here leaves the old file whole."""
    aside = place.with_name(f".{place.name}.{os.getpid()}.part")
    try:
        with aside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(place)
    finally:
        aside.unlink(missing_ok=True)
