"""What was read, as places: each place holds what may stand there, so that doubt is kept and never cut to one text."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from floatbowl.reference.observed import Cell, Reading

DIGITS_AND_LETTERS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
#: The symbol of anything that is neither a digit, a Latin letter nor a known device.
OTHER: Final = 36
FIRST_DEVICE: Final = 37
SEPARATORS: Final = "/-."
LONGEST_READING: Final = 60

#: How fast belief falls along ``[83]``, likeliest first: each next one this share of the one before (estimate).
SET_DECAY: Final = 0.5

_CODE: Final = {character: code for code, character in enumerate(DIGITS_AND_LETTERS)}
#: A character read upside down: what it looks like then.
_INVERTED: Final = {
    _CODE[a]: _CODE[b]
    for a, b in zip("0168 9HIMNOSWXZ".replace(" ", ""), "0198 6HIWNOSMXZ".replace(" ", ""), strict=True)
}


class ReadingError(ValueError):
    """A reading that cannot be a number on a carburettor."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of a reading: weights over symbols, or unreadable.

    ``kind`` is ``plain`` (one symbol), ``set`` (one of several), ``unread`` (``?``) or ``cell`` (probabilities from a
    photograph, relative to an equal prior). ``empty`` is the probability that no character stands here.
    """

    kind: str
    weights: tuple[tuple[int, float], ...] = ()
    empty: float = 0.0


@dataclass(frozen=True, slots=True)
class Places:
    """A reading's places in order; ``lost[j]`` says that any number of characters were lost before place ``j``.

    ``breaks`` are the positions of separators or line ends, where a two-line tag may have been read in wrong order.
    """

    places: tuple[Place, ...]
    lost: tuple[bool, ...]
    separators: frozenset[str] = frozenset()
    breaks: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Alphabet:
    """The symbols in use: digits, letters, one for anything else, and the devices cast beside numbers."""

    devices: tuple[str, ...] = ()

    @property
    def size(self) -> int:
        return FIRST_DEVICE + len(self.devices)

    def device(self, name: str) -> int:
        """The symbol of a device; an unknown device is "anything else"."""
        upper = name.strip().upper()
        return FIRST_DEVICE + self.devices.index(upper) if upper in self.devices else OTHER

    def show(self, symbol: int) -> str:
        """The symbol as people write it."""
        if symbol < OTHER:
            return DIGITS_AND_LETTERS[symbol]
        return "□" if symbol == OTHER else "{" + self.devices[symbol - FIRST_DEVICE] + "}"


def devices_in(texts: Iterable[str]) -> tuple[str, ...]:
    """Names of the devices (``{RING}``) in marks, sorted.

    >>> devices_in(["{RING} 206-D-3", "{bar}", "K36/118"])
    ('BAR', 'RING')
    """
    found: set[str] = set()
    for text in texts:
        if "{" in text:
            found.update(name for kind, name in _pieces(text, escapes=False) if kind == "device")
    return tuple(sorted(found))


@lru_cache(maxsize=4096)
def symbol_of(character: str) -> int | None:
    """The symbol of one character; ``None`` for separators, spaces and other marks that only divide.

    >>> symbol_of("k") == DIGITS_AND_LETTERS.index("K"), symbol_of("-"), symbol_of("é") == symbol_of("E")
    (True, None, True)
    """
    for part in unicodedata.normalize("NFKD", character).upper():
        if part in _CODE:
            return _CODE[part]
    return OTHER if unicodedata.category(character)[0] in "LNS" else None


def symbols_of_mark(text: str, alphabet: Alphabet) -> tuple[int, ...]:
    """A mark's text as symbols: devices kept, case, spaces and separators dropped.

    >>> symbols_of_mark("{RING} 2-0", Alphabet(("RING",)))
    (37, 2, 0)
    """
    found: list[int] = []
    for kind, piece in _pieces(text, escapes=False):
        symbol = alphabet.device(piece) if kind == "device" else symbol_of(piece)
        if symbol is not None:
            found.append(symbol)
    return tuple(found)


def separators_in(text: str) -> frozenset[str]:
    """Which kinds of separator a text holds."""
    return frozenset(text) & frozenset(SEPARATORS)


def places_of_text(text: str, alphabet: Alphabet) -> Places:
    """A typed reading as places.

    ``?`` is a character nobody can read, ``[83]`` one of these, ``*`` any number of lost characters; a backslash
    escapes them. Raises :class:`ReadingError` when it is longer than any number could be.

    >>> [place.kind for place in places_of_text("K3?/11[83]", Alphabet()).places]
    ['plain', 'plain', 'unread', 'plain', 'plain', 'set']
    """
    places: list[Place] = []
    lost = [False]
    separators: set[str] = set()
    breaks: set[int] = set()
    for kind, piece in _pieces(_with_devices(text, alphabet), escapes=True):
        if kind == "lost":
            lost[-1] = True
            continue
        place = _place(kind, piece, alphabet)
        if place is None:
            separators.update(set(piece) & set(SEPARATORS))
            breaks.add(len(places))
            continue
        places.append(place)
        lost.append(False)
    _refuse_long(len(places))
    inner = tuple(sorted(b for b in breaks if 0 < b < len(places)))
    return Places(tuple(places), tuple(lost), frozenset(separators), inner)


def places_of_cells(cells: Iterable[Cell], alphabet: Alphabet) -> Places:
    """Probabilities per place (from a photograph) as places; missing mass is spread evenly over all symbols.

    A separator (``/`` in ``K36/118``) says no more than that no character stands there; a place that surely holds one
    is left out.
    """
    places = []
    for cell in cells:
        weights: dict[int, float] = {}
        empty, divides = 0.0, 0.0
        for text, probability in cell:
            symbol = alphabet.device(text.strip("{}")) if text.startswith("{") else symbol_of(text[0]) if text else None
            if symbol is None:
                empty += probability
                divides += probability if text else 0.0
            else:
                weights[symbol] = weights.get(symbol, 0.0) + probability
        if divides >= 1.0:
            continue
        missing = max(0.0, 1.0 - empty - sum(weights.values())) / alphabet.size
        spread = tuple((s, weights.get(s, 0.0) + missing) for s in range(alphabet.size))
        places.append(Place("cell", spread, empty))
    _refuse_long(len(places))
    return Places(tuple(places), (False,) * (len(places) + 1))


def places_of(reading: Reading, alphabet: Alphabet) -> Places:
    """A reading, typed or photographed, as places."""
    return places_of_cells(reading.cells, alphabet) if reading.cells else places_of_text(reading.text, alphabet)


def inverted(places: Places) -> Places | None:
    """The same reading turned by half a turn (``68`` becomes ``89``), or ``None`` where a character has no inverse."""
    turned = []
    for place in reversed(places.places):
        if any(weight > 0 and symbol not in _INVERTED for symbol, weight in place.weights if place.kind != "cell"):
            return None
        if place.kind == "cell":
            return None
        turned.append(Place(place.kind, tuple((_INVERTED[s], w) for s, w in place.weights), place.empty))
    return Places(tuple(turned), tuple(reversed(places.lost)), places.separators)


def lines_swapped(places: Places) -> tuple[Places, ...]:
    """The same reading with the two parts around each break exchanged: a two-line tag read in the wrong order."""
    found = []
    for at in places.breaks:
        order = places.places[at:] + places.places[:at]
        lost = (*places.lost[at:-1], places.lost[-1] or places.lost[0], *places.lost[1 : at + 1])
        found.append(Places(order, lost[: len(order) + 1], places.separators))
    return tuple(found)


def _refuse_long(length: int) -> None:
    if length > LONGEST_READING:
        raise ReadingError(f"{length} characters are too many for a number on a carburettor; give only the number")


def _place(kind: str, piece: str, alphabet: Alphabet) -> Place | None:
    if kind == "unread":
        return Place("unread")
    if kind == "device":
        return Place("plain", ((alphabet.device(piece), 1.0),))
    if kind == "set":
        return _set_place(piece)
    symbol = symbol_of(piece)
    return None if symbol is None else Place("plain", ((symbol, 1.0),))


def _set_place(piece: str) -> Place | None:
    if "?" in piece:
        return Place("unread")
    symbols = list(dict.fromkeys(s for s in map(symbol_of, piece) if s is not None))
    if not symbols:
        return None
    raw = [SET_DECAY**rank for rank in range(len(symbols))]
    return Place(
        "plain" if len(symbols) == 1 else "set", tuple((s, w / sum(raw)) for s, w in zip(symbols, raw, strict=True))
    )


def _with_devices(text: str, alphabet: Alphabet) -> str:
    """Words that name a device stand for it: ``RING 206`` is read as ``{RING} 206``."""
    if not alphabet.devices:
        return text
    return " ".join("{" + word + "}" if word.upper() in alphabet.devices else word for word in text.split(" "))


def _pieces(text: str, *, escapes: bool) -> Iterable[tuple[str, str]]:
    at = 0
    while at < len(text):
        character = text[at]
        if escapes and character == "\\" and at + 1 < len(text):
            yield "character", text[at + 1]
            at += 2
        elif escapes and character == "?":
            yield "unread", character
            at += 1
        elif escapes and character == "*":
            yield "lost", character
            at += 1
        elif (escapes and character == "[") or character == "{":
            end = text.find("]" if character == "[" else "}", at)
            end = len(text) if end < 0 else end
            yield ("set" if character == "[" else "device"), text[at + 1 : end].strip().upper()
            at = end + 1
        else:
            yield "character", character
            at += 1
