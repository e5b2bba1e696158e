"""Marks most likely to be taken for one another, on carburettors that need different kits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.identify.numbers import OTHER, inverted, lines_swapped, places_of_text, symbols_of_mark
from floatbowl.identify.pairs import lay_out
from floatbowl.identify.wear import PLACE_SCALE, Floats
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Mark
from floatbowl.reference.one_apart import one_character_apart

Symbols = tuple[int, ...]
#: Pairs worked out at once, so that memory stays small.
_AT_ONCE: Final = 50_000


@dataclass(frozen=True, slots=True)
class ConfusablePair:
    """``probability``: how often mark ``a``, read off the carburettor by eye, comes out as exactly mark ``b``."""

    a_text: str
    a_carburettor: str
    b_text: str
    b_carburettor: str
    probability: float


@dataclass(frozen=True, slots=True)
class _Number:
    """A number as it is compared: its text as recorded first, and the commonest carburettors for each set of kits."""

    text: str
    symbols: Symbols
    share: float
    by_kits: tuple[tuple[int, int], ...]


def confusable_pairs(weigher: Weigher, limit: int = 200) -> tuple[ConfusablePair, ...]:
    """Pairs of identifying marks that may be misread for one another, whose carburettors take different kits.

    Ranked by how common the one that is misread is, times the probability that it comes out as the other, read by eye
    at the error model's rates. Each pair of numbers stands once, the likelier way round. Looked at are numbers one
    character apart (changed, lost, extra, two neighbours exchanged), upside down, or with lines exchanged; farther ones
    are read for one another too seldom to matter. One number issued twice is no pair: nothing in it can be misread.
    Time: about 7 s for 20,000 numbers.
    """
    numbers = _numbers(weigher)
    pairs = [
        (one, other)
        for one, others in _near(numbers, weigher).items()
        for other in others
        if _apart(numbers[one], numbers[other]) is not None
    ]
    chances = _chances(weigher, numbers, pairs)
    worth = np.array([numbers[one].share for one, _ in pairs]) * chances
    found: list[ConfusablePair] = []
    seen: set[frozenset[Symbols]] = set()
    for at in np.argsort(-worth, kind="stable"):
        one, other = pairs[at]
        if frozenset((one, other)) not in seen:
            seen.add(frozenset((one, other)))
            found.append(_pair(weigher, numbers[one], numbers[other], float(chances[at])))
        if len(found) == limit:
            break
    return tuple(found)


def _numbers(weigher: Weigher) -> dict[Symbols, _Number]:
    """Every identifying number by its symbols."""
    catalogue, groups = weigher.catalogue, weigher.kit_groups("", "")
    owners: dict[Symbols, dict[int, str]] = {}
    for carburettor, text in _texts(weigher.reference.marks):
        if carburettor in catalogue.at:
            symbols = symbols_of_mark(text, catalogue.alphabet)
            owners.setdefault(symbols, {}).setdefault(catalogue.at[carburettor], text)
    found = {}
    for symbols, texts in owners.items():
        by_kits: dict[int, int] = {}
        for owner in sorted(texts, key=lambda at: -catalogue.share[at]):
            by_kits.setdefault(int(groups[owner]), owner)
        share = float(sum(catalogue.share[owner] for owner in texts))
        found[symbols] = _Number(next(iter(texts.values())), symbols, share, tuple(by_kits.items()))
    return found


def _texts(marks: Iterable[Mark]) -> Iterable[tuple[str, str]]:
    """Carburettors with their identifying numbers. Marks that count only together are one number, its device first."""
    together: dict[tuple[str, str], list[Mark]] = {}
    for mark in marks:
        if mark.with_:
            together.setdefault((mark.carburettor, mark.with_), []).append(mark)
        elif mark.role == "identifies":
            yield mark.carburettor, mark.text
    for (carburettor, _), members in together.items():
        if any(mark.role == "identifies" for mark in members):
            yield carburettor, " ".join(mark.text for mark in sorted(members, key=lambda mark: "{" not in mark.text))


def _near(numbers: dict[Symbols, _Number], weigher: Weigher) -> dict[Symbols, set[Symbols]]:
    """For each number those it could be read as."""
    as_text = {"".join(map(_letter, symbols)): symbols for symbols in numbers}
    found = {symbols: set[Symbols]() for symbols in numbers}
    for text, others in one_character_apart(as_text).items():
        found[as_text[text]].update(as_text[other] for other in others)
    for symbols, number in numbers.items():
        for turned in (*_exchanged(symbols), *_other_orders(number.text, weigher)):
            if turned in numbers and turned != symbols:
                found[symbols].add(turned)
                found[turned].add(symbols)
    return found


def _letter(symbol: int) -> str:
    """One character for each symbol, whatever it is (from the private range)."""
    return chr(0xE000 + symbol)


def _exchanged(symbols: Symbols) -> Iterable[Symbols]:
    for at in range(len(symbols) - 1):
        yield (*symbols[:at], symbols[at + 1], symbols[at], *symbols[at + 2 :])


def _other_orders(text: str, weigher: Weigher) -> Iterable[Symbols]:
    places = places_of_text(_literal(text), weigher.catalogue.alphabet)
    turned = inverted(places)
    for order in (*([turned] if turned is not None else []), *lines_swapped(places)):
        yield tuple(place.weights[0][0] if place.weights else OTHER for place in order.places)


def _literal(text: str) -> str:
    """A mark's text as a reading of just these characters."""
    return "".join(f"\\{c}" if c in "?*[\\" else c for c in text)


def _apart(one: _Number, other: _Number) -> tuple[int, int] | None:
    """The commonest carburettors bearing each that take different kits; ``None`` where all take the same."""
    for kits, a in one.by_kits:
        for other_kits, b in other.by_kits:
            if kits != other_kits:
                return a, b
    return None


def _chances(weigher: Weigher, numbers: dict[Symbols, _Number], pairs: Sequence[tuple[Symbols, Symbols]]) -> Floats:
    alphabet, rates = weigher.catalogue.alphabet, weigher.error_model.seen
    found = [np.zeros(0)]
    for first in range(0, len(pairs), _AT_ONCE):
        some = pairs[first : first + _AT_ONCE]
        readings = [places_of_text(_literal(numbers[other].text), alphabet) for _, other in some]
        laid_out = lay_out([(places, [one]) for places, (one, _) in zip(readings, some, strict=True)], alphabet, "seen")
        scale = PLACE_SCALE ** np.array([len(places.places) for places in readings], np.float64)
        found.append(laid_out.likelihoods(rates) / scale)
    return np.concatenate(found)


def _pair(weigher: Weigher, one: _Number, other: _Number, chance: float) -> ConfusablePair:
    apart = _apart(one, other)
    assert apart is not None
    a, b = (weigher.catalogue.keys[at] for at in apart)
    return ConfusablePair(one.text, a, other.text, b, chance)
