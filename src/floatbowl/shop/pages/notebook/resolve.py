"""From what somebody typed to the record that is meant: by key, by name, or by a mark."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Final

from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.pages.notebook.names import book, title
from floatbowl.shop.pages.notebook.search import fold

#: Lists longer than this are not sent along with a form.
MOST_OFFERED: Final = 400
MOST_COMPARED: Final = 5_000


class NotListedError(ValueError):
    """No record, or more than one, goes by what was typed."""


def keys(kind: str) -> list[str]:
    """Keys of all records of a kind, in the reference's order."""
    reference = book().reference
    if kind == "part or kit":
        return [*keys("part"), *keys("kit")]
    tables = {
        "carburettor": [row.carburettor for row in reference.carburettors],
        "maker": [row.maker for row in reference.makers],
        "machine": [row.machine for row in reference.machines],
        "kit": [row.kit for row in reference.kits],
        "part": [row.part for row in reference.parts],
        "feature": [row.feature for row in reference.feature_kinds],
        "source": [row.source for row in reference.sources],
    }
    return list(dict.fromkeys(tables[kind]))


def called(kind: str, key: str) -> str:
    """A record's name, also where a part or a kit may be meant."""
    if kind == "part or kit":
        kind = "kit" if key in book().kits else "part"
    return title(kind, key)


def offered(kind: str) -> list[tuple[str, str]]:
    """Keys and names to offer while typing; none where there are too many to send."""
    known = keys(kind)
    return [(key, called(kind, key)) for key in known] if len(known) <= MOST_OFFERED else []


def resolved(kind: str, typed: str) -> str:
    """The key of the one record meant. Raises NotListedError, naming what is near, when it is none or several."""
    names = _names(book(), kind)
    if typed in names.own:
        return typed
    meant = names.folded.get(fold(typed), [])
    if len(meant) == 1:
        return meant[0]
    if meant:
        several = ", ".join(f"{called(kind, key)} ({key})" for key in meant[:4])
        raise NotListedError(f"“{typed}” may be several: {several}. Write the short name in brackets.")
    raise NotListedError(f"No {kind} goes by “{typed}”.{_near(names.folded, kind, typed)} Check it, or add it first.")


class _Names:
    """All names of one kind of record, folded."""

    def __init__(self, known: Book, kind: str) -> None:
        self.own = set(keys(kind))
        self.folded: dict[str, list[str]] = {}
        for key in self.own:
            self._put(key, key)
            self._put(called(kind, key), key)
        if kind == "carburettor":
            for key, marks in known.marks.items():
                for mark in marks:
                    if mark.role == "identifies":
                        self._put(mark.text, key)

    def _put(self, name: str, key: str) -> None:
        meant = self.folded.setdefault(fold(name), [])
        if key not in meant:
            meant.append(key)


_last: tuple[Book, dict[str, _Names]] | None = None


def _names(known: Book, kind: str) -> _Names:
    """The names of a kind, gathered once for each version of the reference."""
    global _last
    if _last is None or _last[0] is not known:
        _last = (known, {})
    gathered = _last[1]
    if kind not in gathered:
        gathered[kind] = _Names(known, kind)
    return gathered[kind]


def _near(folded: dict[str, list[str]], kind: str, typed: str) -> str:
    if len(folded) > MOST_COMPARED:
        return ""
    near = get_close_matches(fold(typed), folded, n=3, cutoff=0.6)
    told = ", ".join(dict.fromkeys(called(kind, folded[name][0]) for name in near))
    return f" Near it: {told}." if told else ""
