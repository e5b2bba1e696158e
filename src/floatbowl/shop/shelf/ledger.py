"""Writing into the ledger: receipts, sales, counts, moves, reversals; the shelf follows in the same transaction."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.models.shelf import KIT, PART, Holding, Item, LedgerLine, Promise
from floatbowl.shop.shelf.spelling import spelt_first


class NotEnoughError(ValueError):
    """Less is there than was to be taken; says how many are."""


#: What is written as it was found, even where fewer are left than were promised.
AS_FOUND = ("first count", "count", "scrap", "reversal", "move")
#: Lines of one deed are written within this time of one another.
ONE_DEED = datetime.timedelta(hours=1)


@dataclass(frozen=True, kw_only=True)
class About:
    """What stands beside a ledger line: why, the paper behind it, who, when, and the sender's own name for it."""

    why: str
    who: str = ""
    document: str = ""
    says: str = ""
    sent: str = ""
    unit_cost: Decimal | None = None
    #: When it happened, where that is not now.
    at: datetime.datetime | None = None


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
    place = spelt_first(item, place)
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
                at=about.at or timezone.now(),
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
            mark = replace(about, sent=f"{about.sent}/{held.pk}" if about.sent else "")
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
        place = spelt_first(item, place)
        held = Holding.objects.select_for_update().filter(item=item, place=place).first()
        change = counted - (held.quantity if held else 0)
        return write(item, change, about, place) if change else None


def move(item: Item, quantity: int, source: str, target: str, about: About) -> None:
    """Carry so many from one place to another: two lines, nothing gained or lost. Raises NotEnoughError."""
    source, target = spelt_first(item, source), spelt_first(item, target)
    if source == target or quantity <= 0:
        raise ValueError("name two places and how many pieces go from the one to the other")
    deed = about.sent or new_key()
    with transaction.atomic():
        write(item, -quantity, replace(about, sent=f"{deed}/from"), source)
        write(item, quantity, replace(about, sent=f"{deed}/to"), target)


def together(line: LedgerLine) -> list[LedgerLine]:
    """The lines that were written as one deed, this one among them: both ends of a move, a kit and its parts.

    They bear one name before the first stroke of ``sent``.
    """
    deed, stroke, _ = line.sent.partition("/")
    if not stroke:
        return [line]
    near = LedgerLine.objects.filter(at__range=(line.at - ONE_DEED, line.at + ONE_DEED))
    found = near.filter(sent__startswith=f"{deed}/", reverses=None).select_related("item", "reversed_by")
    return [each for each in found.order_by("pk") if each.sent.startswith(f"{deed}/")]


def reverse(line: LedgerLine, who: str, says: str = "") -> list[LedgerLine]:
    """Write the lines that undo a line and all that was written together with it; a line is reversed once.

    All of them or none. Raises ValueError, and NotEnoughError where what came of it has gone.
    """
    if line.reverses_id:
        raise ValueError("a reversal is not reversed; write the line anew")
    with transaction.atomic():
        LedgerLine.objects.select_for_update().get(pk=line.pk)
        deed = together(line)
        done = set(LedgerLine.objects.filter(reverses__in=deed).values_list("reverses_id", flat=True))
        if line.pk in done:
            raise ValueError("this line is reversed already")
        if line.why == "move" and len(deed) == 1:
            raise ValueError("the other end of this move is not known; count both places instead")
        # What came is taken first: where it has gone, nothing else is touched.
        left = sorted((each for each in deed if each.pk not in done), key=lambda each: -each.quantity)
        return [_undo(each, who, says) for each in left]


def _undo(line: LedgerLine, who: str, says: str) -> LedgerLine:
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
