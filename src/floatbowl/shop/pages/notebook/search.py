"""One search box over everything: carburettors by any of their marks, kits, parts, machines, features, makers, sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from operator import itemgetter
from typing import Final

from floatbowl.reference.facts import Reference
from floatbowl.shop.pages.notebook.names import address, title
from floatbowl.shop.standing import current_reference

MOST_FOUND: Final = 20

#: What is searched for one record: kind, key, the text that was written, and its fold.
Entry = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class Found:
    """One record that was found, and what of it the words matched, where that is not its name."""

    title: str
    key: str
    because: str
    href: str


@dataclass(frozen=True, slots=True)
class FoundKind:
    """Records of one kind that were found; ``more`` of them are not shown."""

    title: str
    found: tuple[Found, ...]
    more: int


def fold(text: str) -> str:
    """Letters and digits only, in capitals: dashes, slashes and spaces are written many ways.

    >>> fold("k36/118")
    'K36118'
    """
    return "".join(filter(str.isalnum, text.upper()))


KINDS: Final = {
    "carburettor": "Carburettors",
    "kit": "Kits",
    "part": "Parts",
    "machine": "Machines",
    "feature": "Features looked at",
    "maker": "Makers",
    "source": "Sources",
}


def _texts(reference: Reference) -> Iterator[tuple[str, str, str]]:
    for mark in reference.marks:
        yield "carburettor", mark.carburettor, mark.text
    for row in reference.carburettors:
        yield "carburettor", row.carburettor, row.name
        yield "carburettor", row.carburettor, row.carburettor
    for kit in reference.kits:
        yield "kit", kit.kit, f"{kit.kit} {kit.name}"
    for part in reference.parts:
        yield "part", part.part, f"{part.part} {part.name} {part.kind}"
    for machine in reference.machines:
        yield "machine", machine.machine, f"{machine.make} {machine.model}"
    for feature in reference.feature_kinds:
        yield "feature", feature.feature, f"{feature.feature} {feature.question}"
    for maker in reference.makers:
        yield "maker", maker.maker, f"{maker.name} {maker.maker}"
    for source in reference.sources:
        yield "source", source.source, f"{source.source} {source.title}"


_last: tuple[Reference, list[Entry]] | None = None


def _entries() -> list[Entry]:
    """Everything that is searched, folded once for each version of the reference."""
    global _last
    reference = current_reference()
    if _last is None or _last[0] is not reference:
        _last = (reference, [(kind, key, text, fold(text)) for kind, key, text in _texts(reference) if text])
    return _last[1]


def find(words: str) -> list[FoundKind]:
    """Records that hold every word, best first."""
    wanted = [folded for folded in map(fold, words.split()) if folded]
    if not wanted:
        return []
    together = "".join(wanted)
    best: dict[tuple[str, str], tuple[int, str]] = {}
    for kind, key, text, folded in _entries():
        if together in folded or all(word in folded for word in wanted):
            rank = _rank(together, text, folded)
            if (kind, key) not in best or rank < best[kind, key][0]:
                best[kind, key] = (rank, text)
    return [group for kind in KINDS if (group := _group(kind, best.items())).found]


def _rank(wanted: str, text: str, folded: str) -> int:
    """0 the whole text, 1 a whole group of characters in it, 2 its beginning, 3 anywhere in it."""
    if folded == wanted:
        return 0
    if wanted in re.split(r"[^A-Z0-9]+", text.upper()):
        return 1
    return 2 if folded.startswith(wanted) else 3


def _group(kind: str, best: Iterable[tuple[tuple[str, str], tuple[int, str]]]) -> FoundKind:
    of_kind = sorted(((rank, key, text) for (k, key), (rank, text) in best if k == kind), key=itemgetter(0))
    return FoundKind(
        title=KINDS[kind],
        found=tuple(_found(kind, key, text) for _, key, text in of_kind[:MOST_FOUND]),
        more=max(0, len(of_kind) - MOST_FOUND),
    )


def _found(kind: str, key: str, text: str) -> Found:
    called = title(kind, key)
    because = text if kind == "carburettor" and fold(text) not in fold(called) and text != key else ""
    shown_key = key if kind in ("kit", "part") and key != called else ""
    return Found(called, shown_key, because, address(kind, key))
