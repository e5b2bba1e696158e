"""Is a picture any good? Said at once, and which one to take again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from floatbowl.shop.models.photograph import Photograph, PhotoSet
from floatbowl.shop.photographs import guide, looking


def look_at(photograph: Photograph) -> list[dict[str, str]]:
    """Look at a picture just kept, say what is wrong with it, and keep that.

    Raises ``CannotLookError`` and ``KeepingError``.
    """
    plain = None
    if photograph.place != Photograph.PLAIN:
        plain = Photograph.objects.filter(photo_set=photograph.photo_set_id, place=Photograph.PLAIN).first()
    looked = looking.look(photograph, plain, photograph.photo_set.corners)
    photograph.faults, photograph.character_pixels = looked.faults, looked.character_pixels
    photograph.save(update_fields=["faults", "character_pixels"])
    return looked.faults


def look_again(photo_set: PhotoSet) -> None:
    """Look at every picture that nobody has looked at since the plain one was taken anew."""
    for photograph in photo_set.photographs.filter(faults__isnull=True):
        look_at(photograph)


def standing_faults(photograph: Photograph) -> list[dict[str, Any]]:
    """What is wrong with a picture, unless somebody keeps it all the same."""
    return [] if photograph.accepted else list(photograph.faults or [])


def wants_again(photograph: Photograph) -> bool:
    """Whether this picture should be taken again."""
    return bool(standing_faults(photograph))


def good_torches(photographs: Sequence[Photograph]) -> int:
    """How many torch pictures a relief can rest on."""
    return sum(1 for each in photographs if each.place != Photograph.PLAIN and not wants_again(each))


def take_again(photographs: Sequence[Photograph]) -> str | None:
    """The one picture to take again, by its place: the plain one before all others, then by what spoils most."""
    bad = [each for each in photographs if wants_again(each)]
    if not bad:
        return None
    order = guide.places()
    worst = min(bad, key=lambda each: (each.place != Photograph.PLAIN, _gravity(each), order.index(each.place)))
    return str(worst.place)


#: What spoils most first: a picture of another plate spoils the whole set.
GRAVITY = ("another plate", "moved", "blurred", "dark", "glare", "small")


def _gravity(photograph: Photograph) -> int:
    kinds = {fault["kind"] for fault in standing_faults(photograph)}
    return next((place for place, kind in enumerate(GRAVITY) if kind in kinds), len(GRAVITY))
