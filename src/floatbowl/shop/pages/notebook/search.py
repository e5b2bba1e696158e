"""One search box: carburettors by any of their marks, kits, parts, machines, features, makers, sources."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, chain, islice
from operator import itemgetter
from typing import Final

from floatbowl.reference.facts import Reference
from floatbowl.shop.pages.notebook.names import address, book, title

MOST_FOUND: Final = 20
MOST_LOOKED_AT: Final = 4_000


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


@lru_cache(maxsize=400_000)
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


class _Index:
    """Everything that is searched, folded into one long text: looking through that takes a millisecond or two."""

    def __init__(self, reference: Reference) -> None:
        self.reference = reference
        self.rows = [row for row in _texts(reference) if row[2]]
        folded = [fold(text) for _, _, text in self.rows]
        self.text = "\n".join(["", *folded, ""])
        self.starts = list(accumulate(map(len, folded), lambda at, length: at + length + 1, initial=1))

    def holding(self, wanted: str) -> Iterator[int]:
        """Rows that hold the wanted text: those that are just it, then those that begin with it, then the others."""
        for pattern in (f"\n{wanted}\n", f"\n{wanted}", wanted):
            at = self.text.find(pattern)
            while at >= 0:
                row = bisect_right(self.starts, at + pattern.count("\n", 0, 1)) - 1
                yield row
                at = self.text.find(pattern, self.starts[row + 1] - 1)

    def folded(self, row: int) -> str:
        """A row's folded text."""
        return self.text[self.starts[row] : self.starts[row + 1] - 1]


_last: _Index | None = None


def _index() -> _Index:
    """The index of the reference as it stands, made once for each version of it."""
    global _last
    reference = book().reference
    if _last is None or _last.reference is not reference:
        _last = _Index(reference)
    return _last


def find(words: str) -> list[FoundKind]:
    """Records that hold every word, best first; of very many, the best are sure to be among those looked at."""
    wanted = [folded for folded in map(fold, words.split()) if folded]
    if not wanted:
        return []
    index, together = _index(), "".join(wanted)
    best: dict[tuple[str, str], tuple[int, str]] = {}
    rarest = max(wanted, key=len)
    candidates = chain(index.holding(together), index.holding(rarest) if len(wanted) > 1 else ())
    for row in islice(candidates, MOST_LOOKED_AT):
        kind, key, text = index.rows[row]
        folded = index.folded(row)
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
