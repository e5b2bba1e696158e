"""Places by name: one place however it is spelt, kept as it was spelt first.

Small and capital letters, and spaces, make no other place: "box 7", "Box  7" and "BOX7" are one. A space between two
figures does count, since "shelf 1 11" is not "shelf 11 1".
"""

from __future__ import annotations

import re

from floatbowl.shop.models.shelf import Holding, Item

_NEEDLESS_SPACE = re.compile(r"(?<!\d)\s+|\s+(?!\d)")


def plainly_spelt(place: str) -> str:
    """What all spellings of one place have in common.

    >>> plainly_spelt("Box 7") == plainly_spelt(" box  7") == plainly_spelt("BOX7")
    True
    >>> plainly_spelt("shelf 1 11") == plainly_spelt("shelf 11 1")
    False
    """
    return re.sub(r"\s+", " ", _NEEDLESS_SPACE.sub("", place.casefold()))


def spelt_first(item: Item, place: str) -> str:
    """The place as it was spelt when something first lay there; as it is written here where nothing ever did.

    Where an item lies at a place spelt just so, that place is meant.
    """
    plain = " ".join(place.split())
    if not plain or Holding.objects.filter(item=item, place=plain).exists():
        return plain
    known = Holding.objects.exclude(place="").order_by("pk").values_list("place", flat=True)
    if known.filter(place=plain).exists():
        return plain
    meant = plainly_spelt(plain)
    return next((other for other in known.iterator() if plainly_spelt(other) == meant), plain)
