"""Reading the hand-written tables beside this module, and writing the tables of a pack."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from importlib import resources
from pathlib import Path
from typing import Any, Final

from floatbowl.reference.facts import TABLES, Costs

Row = dict[str, Any]
Tables = dict[str, list[Row]]

PROVENANCE: Final = ("source", "page", "doubt")
INNER: Final = ("extra", "line")


def hand_written(name: str) -> list[dict[str, str]]:
    """The rows of one hand-written table, every cell a text."""
    text = resources.files(__package__).joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def columns(table: str) -> list[str]:
    """All columns of a pack's table in their order, provenance last."""
    names = [f.name.rstrip("_") for f in fields(TABLES[table]) if f.name not in (*INNER, *PROVENANCE)]
    if table == "sources":
        return ["source", *names]
    return [*names, *PROVENANCE]


def cell(value: Any) -> str:
    """A value as the text of one cell; whole numbers without a decimal point.

    >>> cell(2.0), cell(0.35), cell(None)
    ('2', '0.35', '')
    """
    if value is None:
        return ""
    return f"{value:g}" if isinstance(value, float) else str(value)


def used(names: Sequence[str], rows: Iterable[Row]) -> list[str]:
    """The columns in which at least one row says something."""
    said = {name for row in rows for name, value in row.items() if cell(value)}
    return [name for name in names if name in said]


def write_csv(path: Path, names: Sequence[str], rows: Iterable[Row]) -> None:
    """Write one table with a header, lines ended by a line feed."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(names)
        writer.writerows([cell(row.get(name)) for name in names] for row in rows)


def write_pack(folder: Path, tables: Mapping[str, list[Row]], title: str, currency: str) -> None:
    """Write ``datapackage.json`` and one CSV a table into ``folder``, which is made when missing."""
    folder.mkdir(parents=True, exist_ok=True)
    found = []
    for table in TABLES:
        names = used(columns(table), tables[table])
        write_csv(folder / f"{table}.csv", names, tables[table])
        found.append({"name": table, "path": f"{table}.csv", "schema": {"fields": [{"name": name} for name in names]}})
    costs = Costs()
    head = {
        "name": "nettlebeck",
        "title": title,
        "floatbowl_pack": 1,
        "currency": currency,
        "costs": {"wrong_kit": costs.wrong_kit, "minute": costs.minute, "bench": costs.bench},
        "resources": found,
    }
    (folder / "datapackage.json").write_text(json.dumps(head, indent=1) + "\n", encoding="utf-8", newline="\n")
