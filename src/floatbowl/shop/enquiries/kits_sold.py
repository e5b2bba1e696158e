"""Kits that leave the shelf because a call was closed as sold: one ledger line each, reversed when that is undone.

What a paper of the call has taken, or keeps back, is not taken again; where such a paper comes later, the call's own
line is reversed first and the kit leaves with the paper.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from typing import Final

from django.db import transaction
from django.db.models import Q, Sum

from floatbowl.shop.models import Enquiry, LedgerLine, OfficePaper
from floatbowl.shop.models.office import ACCEPTED, INVOICE, OFFER
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.office.guard import kits_of
from floatbowl.shop.shelf.beginning import first_count
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, reverse, take
from floatbowl.shop.shelf.things import Thing, things_now

NO_PLACE: Final = "from no place that is written down"


class NotOnShelfError(ValueError):
    """By the book a sold kit cannot be there; ``reasons`` has a line for each."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = tuple(reasons)


def document_of(enquiry: Enquiry) -> str:
    """The call's name in the ledger."""
    return f"enquiry {enquiry.pk}"


def kits_read_back(enquiry: Enquiry) -> Counter[str]:
    """The kit last read back for each carburettor of the call."""
    last = [one.read_backs.filter(withdrawn_at=None).last() for one in enquiry.in_hand.all()]
    return Counter(each.kit for each in last if each is not None and each.kit)


def kits_on_papers(enquiry: Enquiry) -> set[str]:
    """Kits on an invoice of the call, or kept back by one of its accepted offers."""
    papers = OfficePaper.objects.filter(Q(kind=INVOICE) | Q(kind=OFFER, state=ACCEPTED), enquiry=enquiry)
    return {kit for paper in papers for kit in kits_of(paper)}


def take_sold(enquiry: Enquiry, who: str, *, book_is_wrong: bool = False) -> list[str]:
    """Take what was sold in a call off the shelf, once; returns what happened, a sentence for each kit.

    Nothing happens before the shelf has begun. With ``book_is_wrong`` a kit that is not there by the book is passed
    over and said to be counted. Raises NotOnShelfError without it; then nothing is taken.
    """
    if not LedgerLine.objects.exists():
        return []
    said, short = [], []
    with transaction.atomic():
        on_papers = kits_on_papers(enquiry)
        for kit, pieces in kits_read_back(enquiry).items():
            thing = things_now().of(KIT, kit)
            if kit in on_papers:
                said.append(f"{thing.name} leaves the shelf with its paper, and not twice.")
                continue
            try:
                said += _take(enquiry, thing, pieces, who)
            except NotEnoughError as wrong:
                short.append(f"{thing.name} cannot leave the shelf by the book: {_in_words(str(wrong), thing)}")
                said.append(f"{thing.name}: no line was written. Count it on the Shelf.")
        if short and not book_is_wrong:
            raise NotOnShelfError(short)
    return said


def _take(enquiry: Enquiry, thing: Thing, pieces: int, who: str) -> list[str]:
    """Take so many of one kit, less what left for the call already. Raises NotEnoughError."""
    first_count(thing, who)
    item = item_of(KIT, thing.key)
    wanted = pieces - _gone(enquiry, thing.key)
    if wanted <= 0:
        return []
    if thing.recorded is None and not LedgerLine.objects.filter(item=item).exists():
        return [f"{thing.name} is not counted on the Shelf yet, so nothing was taken off it."]
    about = About(why="sale", who=who, document=document_of(enquiry), says=f"sold at the counter, {enquiry.caller}")
    places = [line.place for line in take(item, wanted, about)]
    item.refresh_from_db()
    where = " and ".join(f"from {place}" if place else NO_PLACE for place in places)
    return [f"{wanted} × {thing.name} left the shelf {where}; {item.on_hand} left."]


def _gone(enquiry: Enquiry, kit: str) -> int:
    lines = LedgerLine.objects.filter(document=document_of(enquiry), item__kind=KIT, item__key=kit, told_sales=None)
    return -int(lines.aggregate(Sum("quantity"))["quantity__sum"] or 0)


def _in_words(text: str, thing: Thing) -> str:
    return text.replace(f"{KIT} {thing.key}", "it")


def put_back(enquiry: Enquiry, who: str, says: str, only: Collection[str] | None = None) -> list[str]:
    """Reverse what left the shelf for a call, or only some of its kits; returns a sentence for each line."""
    lines = LedgerLine.objects.filter(
        document=document_of(enquiry), why="sale", item__kind=KIT, quantity__lt=0, reversed_by=None, told_sales=None
    )
    said = []
    with transaction.atomic():
        for line in lines.select_related("item").order_by("pk"):
            if only is None or line.item.key in only:
                reverse(line, who, says)
                where = f"in {line.place}" if line.place else "on the shelf"
                said.append(f"{-line.quantity} × {things_now().of(KIT, line.item.key).name} lies {where} again.")
    return said
