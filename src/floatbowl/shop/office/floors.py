"""The lowest price of a kit or part: below it nothing is offered without a written reason."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from floatbowl.money.amount import Amount
from floatbowl.money.lines import Line
from floatbowl.shop.models import Item, OfficeSettings
from floatbowl.shop.office.drafting import DraftOffer
from floatbowl.shop.shelf.ledger import item_of
from floatbowl.shop.standing import current_reference


def below_the_floor(draft: DraftOffer, lines: Mapping[int, Line], settings: OfficeSettings) -> dict[int, str]:
    """The lines whose price, less what is taken off, is below the lowest one kept for what they sell, in words.

    A lowest price in another currency than the shop's says nothing about it and is passed over.
    """
    keys = [line.item.partition(" ")[2] for line in draft.lines if line.item]
    kept = Item.objects.filter(key__in=keys, floor__isnull=False, floor_currency=settings.currency)
    floors = {f"{item.kind} {item.key}": item.floor for item in kept}
    found = {}
    for place, line in lines.items():
        floor, each = floors.get(draft.lines[place].item), line.unit_price * (1 - line.discount_percent / 100)
        if floor is not None and each < floor:
            lowest = Amount(floor, settings.currency)
            found[place] = f"The lowest price is {lowest}; this is {Amount(each.normalize(), settings.currency)}."
    return found


def floor_currency() -> str:
    """The currency in which lowest prices are written: the shop's, else that of the recorded prices."""
    kept = OfficeSettings.objects.filter(pk=1).values_list("currency", flat=True).first()
    return kept or current_reference().currency or OfficeSettings().currency


def keep_floor(kind: str, key: str, floor: Decimal | None, currency: str) -> None:
    """Keep the lowest price of a kit or part; None takes it away."""
    item = item_of(kind, key)
    item.floor, item.floor_currency = floor, currency if floor is not None else ""
    item.save(update_fields=["floor", "floor_currency"])
