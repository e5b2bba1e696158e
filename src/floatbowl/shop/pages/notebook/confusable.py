"""Marks most likely to be taken for one another, on carburettors that need different kits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from floatbowl.identify.confusable import ConfusablePair, confusable_pairs
from floatbowl.reference.facts import Reference
from floatbowl.shop.pages.notebook.names import address, book
from floatbowl.shop.standing import current_reference, current_weigher

MOST_PAIRS: Final = 100
#: Tables that decide which marks are taken for one another and matter.
BEARING: Final = ("makers", "carburettors", "marks", "kits", "kit_fits")


@dataclass(frozen=True, slots=True)
class ShownKit:
    """A kit by its number, with its name and page."""

    key: str
    name: str
    href: str


@dataclass(frozen=True, slots=True)
class End:
    """One of two marks: its text, its carburettor, and the kits that fit that one."""

    text: str
    carburettor: str
    href: str
    kits: tuple[ShownKit, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two marks and how often, in a thousand readings by eye, the first comes out as the second."""

    a: End
    b: End
    in_a_thousand: float


_last: tuple[tuple[int, ...], Reference, tuple[ConfusablePair, ...]] | None = None


def pairs() -> list[Pair]:
    """The pairs that cost most often first; worked out anew only after a change that bears on them."""
    global _last
    reference = current_reference()
    bearing = tuple(id(getattr(reference, table)) for table in BEARING)
    if _last is None or _last[0] != bearing:
        # The reference is kept too, so that no other table can come to lie where one of its tables lay.
        _last = (bearing, reference, confusable_pairs(current_weigher(), MOST_PAIRS))
    return [_pair(found) for found in _last[2]]


def _pair(found: ConfusablePair) -> Pair:
    a, b = _end(found.a_text, found.a_carburettor), _end(found.b_text, found.b_carburettor)
    return Pair(a, b, found.probability * 1000)


def _end(text: str, carburettor: str) -> End:
    known = book()
    keys = dict.fromkeys(fit.kit for fit in known.kits_of.get(carburettor, []))
    kits = tuple(ShownKit(key, known.kit_name(key), address("kit", key)) for key in keys)
    return End(text, known.name(carburettor), address("carburettor", carburettor), kits)
