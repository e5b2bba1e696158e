"""What a record is called on the pages and where its page is. Keys are the shop's own words for machines to hold."""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar
from functools import wraps
from typing import Any

from django.http import HttpResponse
from django.urls import reverse

from floatbowl.shop.models.tables import REFERS_TO
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.pages.notebook.layout import kind_of_table
from floatbowl.shop.standing import current_reference

#: Tables in which a column of this name is a word of its own, no reference: a casting, not a part on the shelf.
CASTINGS = frozenset({"marks", "feature_kinds"})


_opened: ContextVar[Book | None] = ContextVar("opened", default=None)
View = Callable[..., HttpResponse]


def book() -> Book:
    """Look-ups over the reference: the one this page is made from (:func:`from_one_book`), else as it stands."""
    return _opened.get() or book_of(current_reference())


def from_one_book(view: View) -> View:
    """Make a page from one state of the reference: a page asks for hundreds of names, the database is asked once."""

    @wraps(view)
    def answered(*args: Any, **given: Any) -> HttpResponse:
        mark = _opened.set(book_of(current_reference()))
        try:
            return view(*args, **given)
        finally:
            _opened.reset(mark)

    return answered


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
