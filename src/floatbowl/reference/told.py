"""Reading a JSON object field by field, with a clear word about the field that is wrong."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from floatbowl.reference.facts import FORMS
from floatbowl.reference.fault import shown
from floatbowl.reference.observed import UNINFORMATIVE, VIAS, Cell

LONGEST_WORD: Final = 2000
#: One place of a reading: an escaped character, a device, a choice, or any character.
_PLACE: Final = re.compile(r"\\.|\{[^{}]+\}|\[[^\[\]]*\]|.", re.DOTALL)


class EnquiryError(ValueError):
    """An enquiry that cannot be understood: which field, and what to do. ``enquiry`` is its name where known."""

    def __init__(self, field: str, says: str, enquiry: str | None = None) -> None:
        super().__init__(f"{field}: {says}" if field else says)
        self.field = field
        self.says = says
        self.enquiry = enquiry


@dataclass(frozen=True, slots=True)
class Told:
    """A JSON object and where it stands, for messages."""

    told: dict[str, Any]
    where: str

    def place(self, name: str) -> str:
        """The name of a field in a message, such as ``readings[0].text``."""
        return f"{self.where}.{name}" if self.where else name

    def names(self) -> list[str]:
        """The fields that are there."""
        return list(self.told)

    def word(self, name: str, *, strip: bool = True) -> str:
        """A text; a whole number is taken for its digits, as serial numbers often are."""
        value = self.told.get(name)
        if value is None:
            return ""
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str):
            raise EnquiryError(self.place(name), f"{shown(str(value))} is not text; write it in quotation marks")
        if len(value) > LONGEST_WORD:
            raise EnquiryError(self.place(name), f"is longer than {LONGEST_WORD} characters; shorten it")
        if _half_characters(value):
            raise EnquiryError(self.place(name), "holds half a character (a lone surrogate) or a NUL; type it again")
        return value.strip() if strip else value

    def words(self, name: str) -> tuple[str, ...]:
        """A list of texts."""
        value = self.told.get(name)
        if value is None:
            return ()
        if not isinstance(value, list):
            raise EnquiryError(self.place(name), 'is not a list; write ["...", "..."]')
        listed = Told({str(place): each for place, each in enumerate(value)}, self.place(name))
        return tuple(word for word in (listed.word(place) for place in listed.names()) if word)

    def year(self, name: str) -> int | None:
        """A whole year."""
        value = self.number(name)
        if value is None:
            return None
        if value != int(value) or not 0 <= value <= 9999:
            raise EnquiryError(self.place(name), f"{shown(str(self.told[name]))} is not a year; write one like 1948")
        return int(value)

    def number(self, name: str, above: float | None = None) -> float | None:
        """A finite number; one in quotation marks is taken too, a decimal comma is asked about."""
        value = self.told.get(name)
        if value is None or value == "":
            return None
        plain = plain_number(value)
        if plain is None:
            raise EnquiryError(
                self.place(name), f"{shown(str(value))} is not a number; write digits with a decimal point"
            )
        if above is not None and plain <= above:
            raise EnquiryError(self.place(name), f"{shown(str(value))} must be above {above:g}")
        return plain

    def truth(self, name: str) -> bool:
        """True or false; not told is false."""
        value = self.told.get(name, False)
        if value is None or isinstance(value, bool):
            return bool(value)
        raise EnquiryError(self.place(name), f"{shown(str(value))} is neither true nor false; write true or false")

    def value(self, name: str) -> str | float:
        """An answer: a choice, a number, or that nobody can say."""
        value = self.told.get(name)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, (int, float)):
            plain = plain_number(value)
            if plain is None:
                raise EnquiryError(self.place(name), f"{shown(str(value))} is not a plain number; write digits")
            return plain
        word = self.word(name)
        if not word:
            raise EnquiryError(
                self.place(name), f'is missing; write the answer, "{UNINFORMATIVE[0]}" or "{UNINFORMATIVE[1]}"'
            )
        return word

    def via(self) -> str:
        """How it came to us; seen when not told."""
        return self._one_of("via", VIAS) or "seen"

    def form(self) -> str:
        """How a mark is made; empty when not told."""
        return self._one_of("form", FORMS)

    def _one_of(self, name: str, words: tuple[str, ...]) -> str:
        word = self.word(name)
        if word and word not in words:
            raise EnquiryError(self.place(name), f"{shown(word)} is not one of {', '.join(words)}; write one of these")
        return word

    def inner(self, name: str) -> Told:
        """An object inside; an empty one when not told."""
        value = self.told.get(name)
        if value is None:
            value = {}
        if not isinstance(value, dict):
            raise EnquiryError(self.place(name), "is not an object; write {...}")
        return Told(value, self.place(name))

    def items(self, name: str, most: int) -> Iterator[Told]:
        """The objects of a list."""
        value = self.told.get(name)
        if value is None:
            return
        if not isinstance(value, list):
            raise EnquiryError(self.place(name), "is not a list; write [{...}, ...]")
        if len(value) > most:
            raise EnquiryError(self.place(name), f"has {len(value)} items, more than {most}; split the enquiry")
        for place, each in enumerate(value):
            if not isinstance(each, dict):
                raise EnquiryError(f"{self.place(name)}[{place}]", "is not an object; write {...}")
            yield Told(each, f"{self.place(name)}[{place}]")


def plain_number(value: object) -> float | None:
    """A finite number from a JSON number or from plain digits in a text."""
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return None
    if isinstance(value, str) and not re.fullmatch(r"\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\s*", value, re.ASCII):
        return None
    try:
        number = float(value)
    except (OverflowError, ValueError):
        return None
    return number if math.isfinite(number) else None


def places_in(text: str) -> int:
    """How many places a reading has: ``[83]``, an escaped character and a device are one each.

    >>> places_in(r"K3?/11[83]"), places_in(r"\\?1"), places_in("{RING} 2")
    (7, 2, 3)
    """
    return sum(1 for _ in _PLACE.finditer(text))


def cells_of(told: Told) -> tuple[Cell, ...]:
    """The cells of a reading: probabilities of each character at each place, no more than one in all."""
    value = told.told.get("cells")
    if value is None:
        return ()
    if not isinstance(value, list):
        raise EnquiryError(told.place("cells"), 'is not a list; write [{"8": 0.7, "3": 0.2}, ...]')
    return tuple(_cell(each, f"{told.place('cells')}[{place}]") for place, each in enumerate(value))


def _cell(told: object, place: str) -> Cell:
    if not isinstance(told, dict):
        raise EnquiryError(place, 'is not an object; write {"8": 0.7, "3": 0.2}')
    chances: list[tuple[str, float]] = []
    for character, chance in told.items():
        if len(character) > 1 and not re.fullmatch(r"\{[^{}]+\}", character):
            raise EnquiryError(place, f"{shown(character)} is more than one character; give each place its own cell")
        if _half_characters(character):
            raise EnquiryError(place, "holds half a character (a lone surrogate) or a NUL; type it again")
        probability = None if isinstance(chance, str) else plain_number(chance)
        if probability is None or not 0.0 <= probability <= 1.0:
            raise EnquiryError(place, f"{shown(str(chance))} is not a probability; write a number from 0 to 1")
        chances.append((character, probability))
    if sum(chance for _, chance in chances) > 1.01:
        raise EnquiryError(place, "adds up to more than 1; write probabilities")
    return tuple(chances)


def _half_characters(text: str) -> bool:
    return "\0" in text or any("\ud800" <= character <= "\udfff" for character in text)
