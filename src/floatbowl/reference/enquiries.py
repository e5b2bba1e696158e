"""Enquiries as JSON Lines (version 1): one enquiry a line, read without a pack.

A line that cannot be understood becomes an ``EnquiryFault`` in its place, so that the others are still weighed.
Keys are not held against a pack here, and fields this version does not know are passed over.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from floatbowl.reference.observed import Enquiry, Look, Reading
from floatbowl.reference.told import EnquiryError, Told, cells_of, places_in

__all__ = ["EnquiryError", "EnquiryFault", "enquiry_as_json", "enquiry_from_json", "read_enquiries"]

#: Places a reading may have: no mark is as long, so more is not a number.
LONGEST_READING: Final = 60
#: Characters of a line that are parsed; longer lines are no enquiries.
LONGEST_LINE: Final = 1_000_000
MOST_ITEMS: Final = 500


@dataclass(frozen=True, slots=True)
class EnquiryFault:
    """A line that could not be understood. ``line`` 0 means the whole file; ``enquiry`` is its name where readable."""

    line: int
    enquiry: str | None
    field: str
    says: str

    def __str__(self) -> str:
        return ": ".join(str(part) for part in (f"line {self.line}", self.field, self.says) if part)


def read_enquiries(lines: Iterable[str | bytes]) -> Iterator[Enquiry | EnquiryFault]:
    """Each line's enquiry, or what is wrong with the line. Blank lines are passed over.

    Lines may be bytes, so that one which is not UTF-8 is told with its number. Text that a file object cannot decode
    ends the reading with one fault of line 0.
    """
    numbered = enumerate(iter(lines), start=1)
    while True:
        try:
            line, text = next(numbered)
        except StopIteration:
            return
        except UnicodeDecodeError:
            yield EnquiryFault(0, None, "", "the file is not UTF-8 text; save it as UTF-8")
            return
        told = _line(line, text)
        if told is not None:
            yield told


def _line(line: int, text: str | bytes) -> Enquiry | EnquiryFault | None:
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig" if line == 1 else "utf-8")
        except UnicodeDecodeError as problem:
            return EnquiryFault(line, None, "", f"byte 0x{text[problem.start]:02x} is not UTF-8; save it as UTF-8")
    text = text.removeprefix("\ufeff") if line == 1 else text
    if not text.strip():
        return None
    if len(text) > LONGEST_LINE:
        return EnquiryFault(line, None, "", f"is longer than {LONGEST_LINE:,} characters; write one enquiry a line")
    try:
        told = json.loads(text)
    except json.JSONDecodeError as problem:
        says = f"is not JSON at character {problem.colno} ({problem.msg}); write one JSON object a line"
        return EnquiryFault(line, None, "", says)
    except (RecursionError, ValueError):
        return EnquiryFault(line, None, "", "has brackets too deep or a number too long; write one plain object a line")
    try:
        enquiry = enquiry_from_json(told)
    except EnquiryError as problem:
        return EnquiryFault(line, problem.enquiry, problem.field, problem.says)
    if not enquiry.enquiry:
        return EnquiryFault(line, None, "enquiry", 'is missing; give each enquiry a name such as "E1"')
    return enquiry


def enquiry_from_json(told: Any) -> Enquiry:
    """One enquiry from its JSON object, which need not name it here; EnquiryError says which field is wrong."""
    if not isinstance(told, dict):
        raise EnquiryError("", 'is not an object; write {"enquiry": "E1", ...}')
    name = told.get("enquiry")
    try:
        return _enquiry(Told(told, ""))
    except EnquiryError as problem:
        raise EnquiryError(problem.field, problem.says, name if isinstance(name, str) else None) from None


def _enquiry(told: Told) -> Enquiry:
    want = told.inner("want")
    return Enquiry(
        enquiry=told.word("enquiry"),
        machine=told.word("machine"),
        machine_text=told.word("machine_text"),
        serial=told.word("serial"),
        year=told.year("year"),
        readings=tuple(_reading(each) for each in told.items("readings", MOST_ITEMS)),
        looks=(*(_look(each) for each in told.items("looks", MOST_ITEMS)), *_answers(told), *_measures(told)),
        bought=told.words("bought"),
        want_level=want.word("level"),
        want_fuel=want.word("fuel"),
    )


def _reading(told: Told) -> Reading:
    text, cells = told.word("text", strip=False), cells_of(told)
    if bool(text.strip()) == bool(cells):
        says = "give text or cells, not both" if cells else "is empty; give what was read, ? for a lost character"
        raise EnquiryError(told.place("text"), says)
    places = len(cells) or places_in(text)
    if places > LONGEST_READING:
        raise EnquiryError(
            told.place("text"), f"has {places} places, more than {LONGEST_READING}; give only the number"
        )
    return Reading(
        text=text,
        cells=cells,
        part=told.word("part"),
        form=told.form(),
        via=told.via(),
        group=told.word("group"),
    )


def _look(told: Told) -> Look:
    feature = told.word("feature")
    if not feature:
        raise EnquiryError(told.place("feature"), "is missing; name what was looked at")
    return _look_at(feature, told)


def _look_at(feature: str, told: Told) -> Look:
    return Look(
        feature=feature,
        value=told.value("value"),
        tool=told.word("tool"),
        spread=told.number("spread", above=0.0),
        via=told.via(),
        coached=told.truth("coached"),
        group=told.word("group"),
        part=told.word("part"),
    )


def _answers(told: Told) -> Iterator[Look]:
    answers = told.inner("answers")
    for feature in answers.names():
        yield Look(feature=feature, value=answers.value(feature))


def _measures(told: Told) -> Iterator[Look]:
    """A bare number stands for its value; a tool or a spread may follow."""
    measures = told.inner("measures")
    for feature in measures.names():
        if isinstance(measures.told[feature], dict):
            yield _look_at(feature, measures.inner(feature))
        else:
            yield Look(feature=feature, value=measures.value(feature))


def enquiry_as_json(enquiry: Enquiry) -> dict[str, Any]:
    """The JSON object of an enquiry, without what is not told; reading it gives an equal enquiry."""
    told: dict[str, Any] = {
        "enquiry": enquiry.enquiry,
        "machine": enquiry.machine,
        "machine_text": enquiry.machine_text,
        "serial": enquiry.serial,
        "year": enquiry.year,
        "readings": [_reading_as_json(reading) for reading in enquiry.readings],
        "looks": [_look_as_json(look) for look in enquiry.looks],
        "bought": list(enquiry.bought),
        "want": _without_blanks({"level": enquiry.want_level, "fuel": enquiry.want_fuel}),
    }
    return {"enquiry": enquiry.enquiry} | _without_blanks(told)


def _reading_as_json(reading: Reading) -> dict[str, Any]:
    told: dict[str, Any] = {
        "text": reading.text,
        "cells": [dict(cell) for cell in reading.cells],
        "part": reading.part,
        "form": reading.form,
        "via": reading.via,
        "group": reading.group,
    }
    return _without_blanks(told)


def _look_as_json(look: Look) -> dict[str, Any]:
    told = {
        "tool": look.tool,
        "spread": look.spread,
        "via": look.via,
        "coached": look.coached or None,
        "group": look.group,
        "part": look.part,
    }
    return {"feature": look.feature, "value": look.value} | _without_blanks(told)


def _without_blanks(told: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in told.items() if value not in ("", None, [], {})}
