"""What is promised: whose it is, and a warning before it goes another way."""

from __future__ import annotations

from floatbowl.shop.models.job import Job
from floatbowl.shop.models.office import OFFER, OfficePaper
from floatbowl.shop.models.shelf import Item, Promise
from floatbowl.shop.shelf.ledger import NotEnoughError


class PromisedError(NotEnoughError):
    """Some of what would go is promised; says whose it is. It is done all the same where somebody says so."""


def whose(item: Item) -> str:
    """Who was promised how many of an item, oldest first; empty for nobody.

    Such as "2 for offer 12, Anselm Pickard; 1 for job 7, Ives".
    """
    rows = list(Promise.objects.filter(item=item, ended_at=None).values_list("quantity", "document"))
    names = _names([document for _, document in rows])
    return "; ".join(f"{quantity} for {document}{names.get(document, '')}" for quantity, document in rows)


def _names(documents: list[str]) -> dict[str, str]:
    offers = [document.removeprefix(f"{OFFER} ") for document in documents if document.startswith(f"{OFFER} ")]
    jobs = [int(number) for document in documents if (number := document.removeprefix("job ")).isdecimal()]
    papers = OfficePaper.objects.filter(kind=OFFER, number__in=offers).values_list("number", "to_name")
    owners = Job.objects.filter(pk__in=jobs).values_list("pk", "owner")
    found = {f"{OFFER} {number}": name for number, name in papers} | {f"job {pk}": name for pk, name in owners}
    return {document: f", {name}" for document, name in found.items() if name}


def refuse_promised(item: Item, pieces: int, *, gone: bool = True) -> None:
    """Warn where some of so many pieces are promised. ``gone``: they have left already, in this transaction.

    Raises PromisedError with whose they are.
    """
    item.refresh_from_db()
    free = item.free + (pieces if gone else 0)
    if pieces > max(0, free) and item.promised:
        raise PromisedError(f"Only {max(0, free)} of them are free; promised are {whose(item)}.")
