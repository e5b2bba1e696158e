"""What else happens to an item on the shelf: receipts, moves, scrap, use on a job. Each has its reason beside it."""

from __future__ import annotations

from dataclasses import replace

from django.db import transaction

from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf import ledger
from floatbowl.shop.shelf.beginning import first_count
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of
from floatbowl.shop.shelf.promised import refuse_promised
from floatbowl.shop.shelf.things import Thing


def _known(sent: str) -> bool:
    """Whether this was sent before; a line that stands for several bears an ending behind a stroke."""
    ends = ("", "/to", "/taken")
    return bool(sent) and LedgerLine.objects.filter(sent__in=[f"{sent}{end}" for end in ends]).exists()


def _begun(thing: Thing, who: str) -> Item:
    first_count(thing, who)
    return item_of(thing.kind, thing.key)


def receive(thing: Thing, pieces: int, place: str, about: About) -> bool:
    """Put so many on the shelf. Returns whether it was new. Raises ValueError for none."""
    _refuse_none(pieces)
    with transaction.atomic():
        if _known(about.sent):
            return False
        ledger.write(_begun(thing, about.who), pieces, about, place)
    return True


def move(thing: Thing, pieces: int, source: str, target: str, about: About, *, even_promised: bool = False) -> bool:
    """Carry so many from place to place. Raises ValueError, NotEnoughError, PromisedError."""
    _refuse_none(pieces)
    with transaction.atomic():
        if _known(about.sent):
            return False
        item = _begun(thing, about.who)
        ledger.move(item, pieces, source, target, about)
        if not even_promised:
            refuse_promised(item, pieces, gone=False)
    return True


def scrap(thing: Thing, pieces: int, place: str, about: About, *, even_promised: bool = False) -> bool:
    """Throw so many away. Raises ValueError without a reason, NotEnoughError, PromisedError."""
    _refuse_none(pieces)
    if not about.says.strip():
        raise ValueError("write why it is scrapped")
    with transaction.atomic():
        if _known(about.sent):
            return False
        item = _begun(thing, about.who)
        ledger.write(item, -pieces, about, place)
        if not even_promised:
            refuse_promised(item, pieces)
    return True


def use(thing: Thing, pieces: int, place: str, about: About) -> bool:
    """Take so many for a job from a place. Raises ValueError without a job, NotEnoughError."""
    _refuse_none(pieces)
    if not about.document.strip():
        raise ValueError("write the number of the job it is used on")
    with transaction.atomic():
        if _known(about.sent):
            return False
        item = _begun(thing, about.who)
        if item.free < pieces:
            item.refresh_from_db()
            raise NotEnoughError(f"{pieces} were to be taken, but {max(0, item.free)} are free.")
        ledger.write(item, -pieces, replace(about, sent=f"{about.sent}/taken" if about.sent else ""), place)
    return True


def _refuse_none(pieces: int) -> None:
    if pieces <= 0:
        raise ValueError("write how many, 1 or more")
