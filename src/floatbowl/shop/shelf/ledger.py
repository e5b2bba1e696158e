"""Writing into the ledger: receipts, sales, counts, moves, reversals; the shelf follows in the same transaction."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import F

from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.models.shelf import KIT, PART, Holding, Item, LedgerLine, Promise


class NotEnoughError(ValueError):
    """Less is there than was to be taken; says how many are."""


#: What is written as it was found, even where fewer are left than were promised.
AS_FOUND = ("first count", "count", "scrap", "reversal", "move")


@dataclass(frozen=True, kw_only=True)
class About:
    """What stands beside a ledger line: why, the paper behind it, who, and the sender's own name for it."""

    why: str
    who: str = ""
    document: str = ""
    says: str = ""
    sent: str = ""
    unit_cost: Decimal | None = None


def item_of(kind: str, key: str) -> Item:
    """The item of this key, made when it is not on the shelf yet."""
    if kind not in (KIT, PART):
        raise ValueError(f"{kind!r} is no kind of thing on the shelf; it holds kits and parts")
    return Item.objects.get_or_create(kind=kind, key=key)[0]


def write(item: Item, quantity: int, about: About, place: str = "", reverses: LedgerLine | None = None) -> LedgerLine:
    """Write one line; the same ``about.sent`` again changes nothing.

    Raises NotEnoughError where less than nothing would be left at the place, or less than is promised.
    """
    if about.sent and (known := LedgerLine.objects.filter(sent=about.sent).first()):
        return known
    if quantity == 0:
        raise ValueError("a ledger line of no pieces says nothing; leave it out")
    try:
        with transaction.atomic():
            line = LedgerLine.objects.create(
                item=item,
                place=place,
                quantity=quantity,
                why=about.why,
                says=about.says[:300],
                document=about.document,
                unit_cost=about.unit_cost,
                reverses=reverses,
                sent=about.sent or new_key(),
                who=about.who,
            )
            Holding.objects.get_or_create(item=item, place=place)
            Holding.objects.filter(item=item, place=place).update(quantity=F("quantity") + quantity)
            Item.objects.filter(pk=item.pk).update(on_hand=F("on_hand") + quantity)
            item.refresh_from_db()
            if quantity < 0 and item.free < 0 and about.why not in AS_FOUND:
                raise NotEnoughError(_promised_away(item, -quantity))
    except IntegrityError as refused:
        item.refresh_from_db()
        if "not_negative" in str(refused) or "CHECK" in str(refused):
            raise NotEnoughError(_too_few(item, -quantity, place)) from refused
        raise
    return line


def _too_few(item: Item, wanted: int, place: str) -> str:
    held = Holding.objects.filter(item=item, place=place).first()
    there = held.quantity if held else 0
    where = f"at {place}" if place else "without a place"
    return f"{wanted} were to be taken, but {there} of {item} lie {where} ({item.on_hand} on hand in all)."


def _promised_away(item: Item, wanted: int) -> str:
    left = item.free + wanted
    return f"{wanted} were to be taken, but only {max(0, left)} of {item} are free: {item.promised} are promised."


def take(item: Item, quantity: int, about: About) -> list[LedgerLine]:
    """Take so many from wherever they lie, the fullest place first. Raises NotEnoughError; then nothing is taken."""
    left, lines = quantity, []
    with transaction.atomic():
        for held in (
            Holding.objects.select_for_update().filter(item=item, quantity__gt=0).order_by("-quantity", "place")
        ):
            some = min(left, held.quantity)
            mark = About(**(about.__dict__ | {"sent": f"{about.sent}/{held.pk}" if about.sent else ""}))
            lines.append(write(item, -some, mark, held.place))
            left -= some
            if not left:
                return lines
        raise NotEnoughError(f"{quantity} were to be taken, but {quantity - left} of {item} are on hand.")


def count(item: Item, counted: int, place: str, about: About) -> LedgerLine | None:
    """Write what a count changes; no line where it agrees. Raises ValueError below nothing."""
    if counted < 0:
        raise ValueError(f"{counted} of {item} cannot lie anywhere; count again")
    with transaction.atomic():
        held = Holding.objects.select_for_update().filter(item=item, place=place).first()
        change = counted - (held.quantity if held else 0)
        return write(item, change, about, place) if change else None


def move(item: Item, quantity: int, source: str, target: str, about: About) -> None:
    """Carry so many from one place to another: two lines, nothing gained or lost. Raises NotEnoughError."""
    if source == target or quantity <= 0:
        raise ValueError("name two places and how many pieces go from the one to the other")
    with transaction.atomic():
        write(item, quantity, About(**(about.__dict__ | {"sent": f"{about.sent}/to" if about.sent else ""})), target)
        write(item, -quantity, About(**(about.__dict__ | {"sent": f"{about.sent}/from" if about.sent else ""})), source)


def reverse(line: LedgerLine, who: str, says: str = "") -> LedgerLine:
    """Write the line that undoes another; a line is reversed once. Raises ValueError, NotEnoughError."""
    if line.reverses_id:
        raise ValueError("a reversal is not reversed; write the line anew")
    if LedgerLine.objects.filter(reverses=line).exists():
        raise ValueError("this line is reversed already")
    about = About(why="reversal", who=who, document=line.document, says=says or f"reverses line {line.pk}")
    return write(line.item, -line.quantity, about, line.place, reverses=line)


def promise(item: Item, quantity: int, document: str, who: str) -> Promise:
    """Keep so many back for an offer or a job. Raises NotEnoughError where fewer are free."""
    with transaction.atomic():
        changed = Item.objects.filter(pk=item.pk, on_hand__gte=F("promised") + quantity)
        if not changed.update(promised=F("promised") + quantity):
            item.refresh_from_db()
            raise NotEnoughError(f"{quantity} were wanted, but {max(0, item.free)} of {item} are free.")
        item.refresh_from_db()
        return Promise.objects.create(item=item, quantity=quantity, document=document, who=who)


def end_promises(document: str, ended_at: datetime.datetime) -> int:
    """End what was kept back for an offer or job; returns how many promises."""
    with transaction.atomic():
        open_ones = list(Promise.objects.select_for_update().filter(document=document, ended_at=None))
        for one in open_ones:
            Item.objects.filter(pk=one.item_id).update(promised=F("promised") - one.quantity)
            one.ended_at = ended_at
            one.save(update_fields=["ended_at"])
        return len(open_ones)
