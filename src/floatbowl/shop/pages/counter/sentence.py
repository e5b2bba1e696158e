"""The sentence that is read back to the caller, and the doubt that is stated with it."""

from __future__ import annotations

from collections.abc import Sequence

from floatbowl.identify.answer import Answer
from floatbowl.reference.observed import UNINFORMATIVE
from floatbowl.shop.models.enquiry import Evidence
from floatbowl.shop.pages.counter import choices, words
from floatbowl.shop.pages.counter.ask import said_value
from floatbowl.shop.pages.counter.book import Book

#: Carburettors that share the kit are named up to this many.
MOST_NAMED = 3


def carburettors_of_kit(answer: Answer, kit: str, book: Book) -> list[str]:
    """The likely carburettors this kit fits, likeliest first."""
    fits = {fit.carburettor for fit in book.fits_of_kit.get(kit, ())}
    return [chance.key for chance in answer.carburettors if chance.key in fits]


def number_said(answer: Answer, kit: str, book: Book) -> str:
    """The carburettor, or those among which the kit makes no difference."""
    keys = carburettors_of_kit(answer, kit, book)
    sure = [c.probability for c in answer.carburettors if c.key == (keys[0] if keys else "")]
    if len(keys) > 1 and sure and sure[0] < 0.9:
        names = words.listed([book.name(key) for key in keys[:MOST_NAMED]], "or")
        more = f" or one of {len(keys) - MOST_NAMED} more" if len(keys) > MOST_NAMED else ""
        return f"{names}{more}"
    return book.name(keys[0]) if keys else "a carburettor not in our records"


def told_looks(items: Sequence[Evidence], book: Book) -> list[str]:
    """What the caller told, to be said back: each number, and each look as its question and its answer."""
    said = []
    for item in items:
        if item.kind == Evidence.READING:
            said.append(_number_told(item))
        elif item.feature in book.kinds and item.value not in UNINFORMATIVE:
            kind = book.kinds[item.feature]
            said.append(f"{kind.question} {said_value(item, kind).capitalize()}")
    return said


def _number_told(item: Evidence) -> str:
    place = choices.place_name(item.part)
    where = f" {place}" if place.startswith("in ") else f" on the {place}" if item.part else ""
    return f"The number{where}: {words.read_out(item.text)}"


def sentence(answer: Answer, kit: str, items: Sequence[Evidence], book: Book) -> str:
    """What is read back before a kit goes out."""
    numbers = [words.read_out(item.text) for item in items if item.kind == Evidence.READING]
    you_read = f"; you read {words.listed(numbers)} on it" if numbers else "; no number could be read on it"
    known = book.kits.get(kit)
    version = ", ".join(part for part in ((known.level, known.fuel) if known else ()) if part)
    named = f"{book.kit_name(kit)}{f' ({version})' if version else ''}"
    return f"You have a {number_said(answer, kit, book)}{you_read}. We send the {named}. Is that right?"


def doubt(answer: Answer, kit: str) -> str:
    """How sure the shop is, in a sentence or two for the slip."""
    chance = next((c.probability for c in answer.kits if c.key == kit), 0.0)
    left = []
    if answer.not_listed >= 0.005:
        left.append(f"{words.times_in_100(answer.not_listed)} it is a carburettor that is not in our records")
    if answer.mixed >= 0.005:
        left.append(f"{words.times_in_100(answer.mixed)} it was built from two")
    rest = f" {words.listed(left).capitalize()}." if left else ""
    return f"By what we were told this kit fits {words.times_in_100(chance)}.{rest}"
