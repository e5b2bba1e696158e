"""Counting what lies at a place: the ledger gets a line where it differs, and the count itself is always kept."""

from __future__ import annotations

from django.db import transaction

from floatbowl.shop.models.told import Counted
from floatbowl.shop.shelf import ledger
from floatbowl.shop.shelf.ledger import About, item_of

#: No shelf here holds more of one thing; a larger number is a slip of the hand.
MOST = 1_000_000


def count_at(kind: str, key: str, counted: int, place: str, about: About) -> Counted:
    """Keep a count; the same ``about.sent`` again changes nothing, whatever happened in between.

    The first count of an item that only the records knew is what is counted: the record's number is not added to it.
    Raises ValueError for a number that cannot lie anywhere.
    """
    if not 0 <= counted <= MOST:
        raise ValueError(f"{counted} cannot lie there; count again and write a whole number from 0 to {MOST:,}")
    with transaction.atomic():
        if about.sent and (known := Counted.objects.filter(sent=about.sent).first()):
            return known
        item = item_of(kind, key)
        line = ledger.count(item, counted, place, about)
        told = {"sent": about.sent} if about.sent else {}
        return Counted.objects.create(
            item=item, place=place, counted=counted, changed=line.quantity if line else 0, who=about.who, **told
        )
