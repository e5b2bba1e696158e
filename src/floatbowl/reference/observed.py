"""What somebody saw, heard, measured or photographed: plain evidence values, and the enquiry that holds them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

VIAS: Final = ("seen", "heard", "photo", "bench")
UNINFORMATIVE: Final = ("unsure", "cannot see")
#: Place of a number that was read in a book, on an invoice or on a packet instead of on the carburettor.
PLACE_BOOK: Final = "book"

#: Probabilities of each character at one place; the empty text is "no character here".
Cell = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """A number as somebody read it. Exactly one of ``text`` and ``cells`` is given.

    ``text`` may hold ``?`` (one character nobody can read), ``[83]`` (one of these, likeliest first),
    ``*`` (any number of lost characters), and a backslash before any of these to mean the character itself.
    """

    text: str = ""
    cells: tuple[Cell, ...] = ()
    part: str = ""
    form: str = ""
    via: str = "seen"
    group: str = ""


@dataclass(frozen=True, slots=True)
class Look:
    """An answer about a feature: a choice, a number (with the tool or its spread in the feature's unit), or
    ``unsure`` / ``cannot see``."""

    feature: str
    value: str | float
    tool: str = ""
    spread: float | None = None
    via: str = "seen"
    coached: bool = False
    group: str = ""
    #: The casting it was seen on, when it is not the feature's own.
    part: str = ""


@dataclass(frozen=True, slots=True)
class Enquiry:
    """All that is known about the carburettor somebody calls about."""

    enquiry: str = ""
    machine: str = ""
    machine_text: str = ""
    serial: str = ""
    year: int | None = None
    readings: tuple[Reading, ...] = ()
    looks: tuple[Look, ...] = ()
    #: Kits this caller bought before.
    bought: tuple[str, ...] = ()
    #: What the caller wants: a kit level (gaskets, full) and a fuel (petrol, paraffin); empty is "not said".
    want_level: str = ""
    want_fuel: str = ""
