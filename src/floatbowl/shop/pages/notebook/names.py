"""What a record is called on the pages and where its page is. Keys are the shop's own words for machines to hold."""

from __future__ import annotations

from django.urls import reverse

from floatbowl.shop.models.tables import REFERS_TO
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.pages.notebook.layout import kind_of_table
from floatbowl.shop.standing import current_reference

#: Tables in which a column of this name is a word of its own, no reference: a casting, not a part on the shelf.
CASTINGS = frozenset({"marks", "feature_kinds"})


def book() -> Book:
    """Look-ups over the reference as it stands."""
    return book_of(current_reference())


def referred(table: str, column: str, value: str) -> str:
    """The kind of record that a cell names, or empty when it names none."""
    if column in ("old", "new"):
        return "kit" if value in book().kits else "part" if value in book().parts else ""
    if column not in REFERS_TO or (column == "part" and table in CASTINGS):
        return ""
    kind = kind_of_table(REFERS_TO[column])
    return kind.name if kind and value else ""


def title(kind: str, key: str) -> str:
    """What a record is called; its key where it has no name of its own."""
    known = book()
    if kind == "carburettor":
        return known.name(key) if key in known.carburettors else key
    if kind == "machine":
        return known.machine_name(key) or key
    if kind == "maker":
        return known.makers.get(key) or key
    if kind == "source":
        return known.source_titles.get(key) or key
    if kind == "part":
        return known.parts[key].name or key if key in known.parts else key
    if kind == "kit":
        return known.kits[key].name or key if key in known.kits else key
    return key


def is_listed(kind: str, key: str) -> bool:
    """Whether there is a record of this kind under this key."""
    known = book()
    listed = {
        "carburettor": known.carburettors,
        "machine": known.machines,
        "maker": known.makers,
        "source": known.source_titles,
        "part": known.parts,
        "kit": known.kits,
        "feature": known.kinds,
    }
    return key in listed.get(kind, {})


def address(kind: str, key: str) -> str:
    """The page of a record."""
    return reverse("notebook:record", args=[kind, key])
