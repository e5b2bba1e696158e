"""How many of a kit or part lie on the shelf, beside the number that its record was loaded with."""

from __future__ import annotations

from typing import Final

from django.urls import reverse

from floatbowl.shop.models import LedgerLine
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.on_hand import stands_of

#: The records' tables of what the shelf holds.
SHELVED: Final = {"kits": KIT, "parts": PART}
LABEL: Final = "On the shelf now"
#: What the record's own number is called once the shelf keeps count.
RECORDED: Final = "On hand when these records were loaded"


def shelf_has_begun() -> bool:
    """Whether the shelf keeps count of anything yet."""
    return LedgerLine.objects.exists()


def shelf_says(table: str, key: str) -> tuple[str, str]:
    """What the shelf holds of a record, in words, and the address of its page there."""
    kind = SHELVED[table]
    stand = stands_of(kind, {key: None})[key]
    address = reverse("shelf:item", args=[kind, key])
    if not stand.counted:
        return "not counted yet", address
    promised = f", {stand.promised} of them promised" if stand.promised else ""
    return f"{int(stand.on_hand or 0)}{promised}", address
