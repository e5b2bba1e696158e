"""What is in a kit, by size, and what of the carburettor is not in it."""

from __future__ import annotations

from dataclasses import dataclass

from floatbowl.shop.pages.counter import words
from floatbowl.shop.pages.counter.book import Book


@dataclass(frozen=True)
class Line:
    """One part of a kit, to hold against the old one."""

    part: str
    name: str
    quantity: str
    position: str
    sizes: tuple[str, ...]
    count: float = 1.0


@dataclass(frozen=True)
class Contents:
    """A kit's parts by size, and the names of the parts that it leaves out."""

    lines: tuple[Line, ...]
    not_included: tuple[str, ...]
    #: Where the sizes were learnt: title and page.
    sources: tuple[str, ...] = ()


def sizes_of(part: str, book: Book) -> tuple[str, ...]:
    """A part's sizes written out with their units: ``bore 1.10 mm``."""
    said = []
    for size in book.sizes.get(part, ()):
        value = f"{size.value} {size.unit}".strip() if size.unit else size.value
        tolerance = f" ±{size.tolerance.lstrip('±+-')}" if size.tolerance else ""
        thread = f", thread {size.thread}" if size.thread else ""
        said.append(f"{size.quantity} {value}{tolerance}{thread}")
    return tuple(said)


def contents_of(kit: str, carburettor: str, book: Book) -> Contents:
    """The kit's parts by size, and what ``carburettor`` has that the kit does not bring."""
    lines = tuple(
        Line(
            part=row.part,
            name=_part_name(row.part, book),
            quantity=words.amount(row.quantity),
            position=row.position,
            sizes=sizes_of(row.part, book),
            count=row.quantity,
        )
        for row in book.kit_parts.get(kit, ())
    )
    brought = {row.part for row in book.kit_parts.get(kit, ())}
    left_out = dict.fromkeys(
        _part_name(row.part, book) for row in book.parts_of.get(carburettor, ()) if row.part not in brought
    )
    return Contents(lines, tuple(left_out), sources_of(kit, book))


def sources_of(kit: str, book: Book) -> tuple[str, ...]:
    """Where the kit's list and its sizes were learnt, each source once."""
    rows = book.kit_parts.get(kit, ())
    sizes = (size for row in rows for size in book.sizes.get(row.part, ()))
    pages: dict[str, dict[str, None]] = {}
    for fact in (*rows, *sizes):
        if fact.source:
            pages.setdefault(fact.source, {})[fact.page] = None
    return tuple(_source(source, [page for page in found if page], book) for source, found in pages.items())


def _source(source: str, pages: list[str], book: Book) -> str:
    title = book.source_titles.get(source, source)
    if not pages:
        return title
    return f"{title}, page{'s' if len(pages) > 1 else ''} {words.listed(sorted(pages, key=_in_order))}"


def _in_order(page: str) -> tuple[int, str]:
    return (int(page) if page.isdigit() else 0, page)


def _part_name(part: str, book: Book) -> str:
    known = book.parts.get(part)
    return known.name if known else "a part no longer in our records"
