"""A record as its page shows it: its own row, and the rows of other tables that belong to it or use it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import urlencode

from django.db import connection
from django.urls import reverse

from floatbowl.reference.columns import cell_of, columns_of
from floatbowl.shop.pages.notebook import labels
from floatbowl.shop.pages.notebook.layout import Kind, Section, kind_of_table
from floatbowl.shop.pages.notebook.names import address, book, is_listed, referred, title
from floatbowl.shop.pages.notebook.on_shelf import LABEL, RECORDED, SHELVED, shelf_has_begun, shelf_says
from floatbowl.shop.records import Stored, rows_where

#: Rows of one section shown on a record's page; more are counted.
MOST_ROWS: Final = 200
MONEY: Final = frozenset({"price", "cost"})
PROVENANCE: Final = frozenset({"source", "page", "doubt"})


@dataclass(frozen=True, slots=True)
class Cell:
    """One value: what it is called, what it says, and the page of the record it names."""

    label: str
    text: str
    href: str = ""
    #: The key the shop knows it by, where the text is a longer name.
    key: str = ""


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a row was learnt: source, page and doubt as written down."""

    source: Cell | None
    page: str
    doubt: str

    @property
    def is_known(self) -> bool:
        return self.source is not None

    @property
    def brief(self) -> str:
        """One line for the row."""
        if self.source is None:
            return "No source"
        if not self.page:
            return self.source.text
        return f"{self.source.text}, {'page ' if self.page[0].isdigit() else ''}{self.page}"


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row on a page: cells in the section's order, what else it says, where from, and where to change it."""

    cells: tuple[Cell, ...]
    more: tuple[Cell, ...]
    provenance: Provenance
    edit: str
    anchor: str
    #: The row in few words, for links that are read out of their place.
    called: str


@dataclass(frozen=True, slots=True)
class ShownSection:
    """A section ready to show."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[ShownRow, ...]
    empty: str
    add: str
    add_to: str
    more_rows: int

    @property
    def count(self) -> int:
        """How many rows there are, shown or not."""
        return len(self.rows) + self.more_rows


def cell(table: str, column: str, value: object, unit: str = "") -> Cell:
    """A value with its label, and its link where it names a record."""
    if column in MONEY and isinstance(value, float):
        return Cell(labels.label(table, column), f"{value:.2f} {book().reference.currency}".strip())
    text = cell_of(value)  # type: ignore[arg-type]
    kind = referred(table, column, text)
    shown = title(kind, text) if kind else text
    href = address(kind, text) if kind and is_listed(kind, text) else ""
    known_by = text if shown != text and kind in ("kit", "part") else ""
    return Cell(labels.label(table, column), f"{shown} {unit}".strip(), href, known_by)


def own_row(kind: Kind, row: Stored, here: str) -> ShownRow:
    """A record's own row: everything that is written down but where it was learnt."""
    columns = [c.name for c in columns_of(kind.fact) if c.name not in PROVENANCE or c.name == kind.key]
    shown = shown_row(row, columns, here, filled_only=True)
    if row.table not in SHELVED or not shelf_has_begun():
        return shown
    says, address = shelf_says(row.table, str(getattr(row.fact, kind.key)))
    own = labels.label(row.table, "on_hand")
    cells = [replace(one, label=RECORDED) if one.label == own else one for one in shown.cells]
    return replace(shown, cells=(*cells, Cell(LABEL, says, address)))


def shown_row(row: Stored, columns: Iterable[str], here: str, filled_only: bool = False) -> ShownRow:
    """A row with these columns as its cells and the other filled ones behind. ``here`` is the page to come back to."""
    wanted = tuple(columns)
    cells = [_cell_of_row(row, name) for name in wanted]
    rest = [c.name for c in columns_of(type(row.fact)) if c.name not in wanted and c.name not in PROVENANCE]
    more = [one for one in (_cell_of_row(row, name) for name in rest) if one.text]
    more += [Cell(name, value) for name, value in row.fact.extra]
    return ShownRow(
        cells=tuple(one for one in cells if one.text or not filled_only),
        more=tuple(more),
        provenance=provenance(row),
        edit=f"{reverse('notebook:edit', args=[row.table, row.row])}?{urlencode({'next': here})}",
        anchor=f"{row.table}-{row.row}",
        called=" ".join(one.text for one in cells[:2] if one.text) or labels.one(row.table),
    )


def provenance(row: Stored) -> Provenance:
    """Where a row was learnt."""
    fact = row.fact
    if row.table == "sources" or not fact.source:
        return Provenance(None, fact.page, fact.doubt)
    return Provenance(cell(row.table, "source", fact.source), fact.page, fact.doubt)


def section(layout: Section, key: str, here: str) -> ShownSection:
    """The rows of a section for one record."""
    rows = rows_where(layout.table, most=MOST_ROWS, **{layout.by: key})
    columns = _worth_showing(layout, rows)
    shown = tuple(shown_row(row, columns, here) for row in rows)
    left = _count(layout.table, layout.by, key) - MOST_ROWS if len(rows) == MOST_ROWS else 0
    asked = urlencode({layout.by: key, "next": here})
    add_to = f"{reverse('notebook:add', args=[layout.table])}?{asked}" if layout.add else ""
    heads = tuple(labels.label(layout.table, name) if name != "sizes" else "Sizes" for name in columns)
    return ShownSection(layout.title, heads, shown, layout.empty, layout.add, add_to, left)


def _worth_showing(layout: Section, rows: list[Stored]) -> list[str]:
    """The section's columns but those that stand empty in every row; the first stays."""
    names = [name for name in layout.columns if name != layout.by]
    return [n for n in names if n == names[0] or not rows or any(_cell_of_row(row, n).text for row in rows)]


def sizes_of(part: str) -> str:
    """A part's sizes in one line, as they are held against the old part."""
    told = []
    for size in book().sizes.get(part, []):
        words = [size.quantity, size.value, size.unit, size.tolerance and f"±{size.tolerance.lstrip('±')}", size.thread]
        told.append(" ".join(word for word in words if word))
    return "; ".join(told)


def _cell_of_row(row: Stored, column: str) -> Cell:
    own = kind_of_table(row.table)
    if own and own.key == column:
        return Cell(labels.label(row.table, column), str(getattr(row.fact, own.key)))
    if column == "sizes":
        return Cell("Sizes", sizes_of(row.fact.part))  # type: ignore[attr-defined]
    field = next(c.field for c in columns_of(type(row.fact)) if c.name == column)
    unit = ""
    if row.table == "features" and column == "value":
        kind = book().kinds.get(row.fact.feature)  # type: ignore[attr-defined]
        unit = kind.unit if kind else ""
    return cell(row.table, column, getattr(row.fact, field), unit)


def _count(table: str, column: str, value: str) -> int:
    name = connection.ops.quote_name
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM {name(table)} WHERE {name(column)} = %s", [value])
        return int(cursor.fetchone()[0])
