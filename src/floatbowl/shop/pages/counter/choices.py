"""The counter's own words for where a number stands, how it is made and how an item reached us."""

from __future__ import annotations

from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import PLACE_BOOK

#: Places of a number that every shop knows; a pack's own are added.
PLACES = ("tag", "throttle body", "lid", "bowl", "air horn")
PLACE_NAMES = {PLACE_BOOK: "in a book or on an invoice", "": "not said"}

FORMS = (
    ("", "not said"),
    ("stamped", "punched in"),
    ("cast", "raised"),
    ("printed", "printed"),
)

VIAS = (
    ("heard", "by telephone"),
    ("seen", "seen here"),
    ("photo", "in a photograph"),
    ("bench", "at the bench"),
)

UNSURE = (("unsure", "Unsure", "u"), ("cannot see", "Cannot see it", "c"))


def place_name(place: str) -> str:
    """Where a number stands, as the counter says it."""
    return PLACE_NAMES.get(place, place)


def places_of(reference: Reference) -> list[tuple[str, str]]:
    """All places where a number may stand: the usual ones, those of this reference, a book."""
    own = sorted({mark.part for mark in reference.marks if mark.part} - set(PLACES) - {PLACE_BOOK})
    return [("", "not said"), *((place, place) for place in (*PLACES, *own)), (PLACE_BOOK, PLACE_NAMES[PLACE_BOOK])]


def form_name(form: str) -> str:
    return dict(FORMS).get(form, form) if form else ""


def via_name(via: str) -> str:
    return dict(VIAS).get(via, via)
