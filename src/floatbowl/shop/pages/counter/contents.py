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
    return Contents(lines, tuple(left_out))


def _part_name(part: str, book: Book) -> str:
    known = book.parts.get(part)
    return known.name if known else "a part no longer in our records"
