"""What comes of an order, in parts: received, given up, and to come again where a receipt was reversed."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Sum

from floatbowl.shop.models.buying import DONE, PLACED, PurchaseLine, PurchaseOrder
from floatbowl.shop.models.shelf import LedgerLine
from floatbowl.shop.shelf.beginning import first_count
from floatbowl.shop.shelf.buying import must_be, no_longer_to_come
from floatbowl.shop.shelf.ledger import About, write
from floatbowl.shop.shelf.things import things_now


class MoreThanOrderedError(ValueError):
    """More came than is still to come; it is taken in where somebody says so."""


def receive(line: PurchaseLine, pieces: int, where: str, who: str, sent: str, *, even_more: bool = False) -> LedgerLine:
    """So many of a line have come: onto the shelf, and no longer on order. The same ``sent`` again changes nothing.

    ``even_more``: more than is to come is taken in too. Raises ValueError, MoreThanOrderedError, OrderStateError.
    """
    if pieces <= 0:
        raise ValueError("write how many came, 1 or more")
    with transaction.atomic():
        if known := LedgerLine.objects.filter(sent=sent).first():
            return known
        line = PurchaseLine.objects.select_for_update().select_related("order__supplier", "item").get(pk=line.pk)
        must_be(line.order, PLACED, DONE)
        if pieces > line.to_come and not even_more:
            raise MoreThanOrderedError(f"{pieces} came, {line.to_come} were to come: tick to take them in all the same")
        first_count(things_now().of(line.item.kind, line.item.key), who)
        about = About(
            why="receipt",
            who=who,
            document=str(line.order),
            says=f"from {line.order.supplier}",
            unit_cost=line.price,
            sent=sent,
        )
        written = write(line.item, pieces, about, where)
        _as_the_ledger_has_it(line)
    return written


def receipt_taken_back(receipt: LedgerLine) -> None:
    """A receipt was reversed: what came with it on an order is to come again, and the order is under way again."""
    number = receipt.document.removeprefix("purchase order ")
    if not number.isdecimal():
        return
    lines = PurchaseLine.objects.select_for_update().select_related("order", "item")
    lines = lines.filter(order_id=int(number), order__state__in=(PLACED, DONE), item=receipt.item_id)
    if line := lines.first():
        _as_the_ledger_has_it(line)


def _as_the_ledger_has_it(line: PurchaseLine) -> None:
    """What has come of a line is the sum of its receipts that were not reversed; its order follows."""
    was_to_come = line.to_come
    came = LedgerLine.objects.filter(item=line.item_id, document=str(line.order)).aggregate(Sum("quantity"))
    line.received = max(0, came["quantity__sum"] or 0)
    line.save(update_fields=["received"])
    no_longer_to_come(line, was_to_come - line.to_come)
    if line.to_come and line.order.state == DONE:
        line.order.state = PLACED
        line.order.save(update_fields=["state"])
    _done_if_all_here(line.order)


def give_up(line: PurchaseLine) -> int:
    """Wait no longer for what is still to come of a line; returns how many that were."""
    with transaction.atomic():
        line = PurchaseLine.objects.select_for_update().select_related("order").get(pk=line.pk)
        must_be(line.order, PLACED, DONE)
        missing = line.to_come
        no_longer_to_come(line, missing)
        line.given_up += missing
        line.save(update_fields=["given_up"])
        _done_if_all_here(line.order)
    return missing


def _done_if_all_here(order: PurchaseOrder) -> None:
    if all(line.to_come == 0 for line in order.lines.all()):
        order.state = DONE
        order.save(update_fields=["state"])
