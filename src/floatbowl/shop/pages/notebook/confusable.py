"""Marks most likely to be taken for one another, on carburettors that need different kits."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from typing import Any, Final

from floatbowl.shop.pages.notebook.names import address, book
from floatbowl.shop.standing import current_weigher

MOST_PAIRS: Final = 100


@dataclass(frozen=True, slots=True)
class End:
    """One of two marks: its text, its carburettor, and the kits that fit that one."""

    text: str
    carburettor: str
    href: str
    kits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two marks and how often, in a thousand worn readings of one, the other is taken for it."""

    a: End
    b: End
    in_a_thousand: float


_last: tuple[Any, list[Pair]] | None = None


def pairs() -> list[Pair]:
    """The likeliest pairs first, worked out once for each version of the reference."""
    global _last
    weigher = current_weigher()
    if _last is None or _last[0] is not weigher:
        _last = (weigher, [_pair(found) for found in _found(weigher)])
    return _last[1]


def is_ready() -> bool:
    """Whether the marks can be compared here."""
    return find_spec("floatbowl.identify.confusable") is not None


def _found(weigher: Any) -> list[Any]:
    from floatbowl.identify.confusable import confusable_pairs

    return list(confusable_pairs(weigher, MOST_PAIRS))


def _pair(found: Any) -> Pair:
    a, b = _end(found.a_text, found.a_carburettor), _end(found.b_text, found.b_carburettor)
    return Pair(a, b, found.probability * 1000)


def _end(text: str, carburettor: str) -> End:
    known = book()
    kits = tuple(dict.fromkeys(known.kit_name(fit.kit) for fit in known.kits_of.get(carburettor, [])))
    return End(text, known.name(carburettor), address("carburettor", carburettor), kits)
