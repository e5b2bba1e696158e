"""What an offer does not include: nothing that is sold in a line of it."""

from __future__ import annotations

from dataclasses import replace

from floatbowl.shop.models.shelf import PART
from floatbowl.shop.office.drafting import DraftOffer
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.standing import current_reference


def less_what_is_in_it(draft: DraftOffer) -> DraftOffer:
    """The draft without those rows of what is not included that are sold in a line of it."""
    book = book_of(current_reference())
    sold = {line.says.strip().casefold() for line in draft.lines if line.kind == "part"}
    for line in draft.lines:
        kind, _, key = line.item.partition(" ")
        if kind == PART and key in book.parts:
            sold.add(book.parts[key].name.casefold())
    rows = draft.not_included.splitlines()
    kept = [row for row in rows if row.strip().casefold() not in sold]
    return draft if len(kept) == len(rows) else replace(draft, not_included="\n".join(kept))
