"""Buying: prices with their day, and orders written, placed and cancelled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from floatbowl.money.amount import Amount
from floatbowl.shop.models.buying import (
    CANCELLED,
    DRAFT,
    PLACED,
    STATES,
    PurchaseLine,
    PurchaseOrder,
    StoppedLine,
    Supplier,
    SupplierPrice,
)
from floatbowl.shop.models.shelf import Item
from floatbowl.shop.shelf.ledger import item_of
from floatbowl.shop.shelf.things import Named


class OrderStateError(ValueError):
    """The order is past what was to be done with it; says what it is."""


@dataclass(frozen=True, slots=True)
class Terms:
    """How one supplier sells one item now: price from so many pieces on, pack, number, and the day of the price."""

    supplier: Supplier
    named: Named
    breaks: tuple[tuple[int, Decimal], ...]
    pack: int
    number: str
    since: date

    @property
    def shown(self) -> list[tuple[int, str]]:
        """The prices in words, each from so many pieces."""
        return [(start, said(price, self.supplier.currency)) for start, price in self.breaks]

    def price(self, pieces: int) -> Decimal:
        """What one costs when so many are bought."""
        fits = [price for start, price in self.breaks if pieces >= start]
        return fits[-1] if fits else self.breaks[0][1]


def said(value: Decimal, currency: str) -> str:
    """A sum with its currency, no needless noughts behind the currency's own places.

    >>> said(Decimal("10.0000"), "EUR"), said(Decimal("0.1250"), "EUR")
    ('10.00 EUR', '0.125 EUR')
    """
    return str(Amount(value.normalize(), currency))


def terms_now(supplier: Supplier | None = None) -> dict[Named, list[Terms]]:
    """How every item is sold today, the cheapest supplier for a single pack first; what they stopped is left out.

    The prices of the latest day that is not still to come hold.
    """
    today = timezone.localdate()
    rows = SupplierPrice.objects.filter(since__lte=today).select_related("supplier", "item").order_by("since", "pk")
    rows = rows if supplier is None else rows.filter(supplier=supplier)
    stopped = StoppedLine.objects.filter(ended_at=None, order_by__lt=today)
    gone = set(stopped.values_list("item_id", "supplier_id"))
    held: dict[tuple[int, int], list[SupplierPrice]] = {}
    for row in rows:
        if (row.item_id, row.supplier_id) in gone:
            continue
        held.setdefault((row.item_id, row.supplier_id), []).append(row)
    found: dict[Named, list[Terms]] = {}
    for prices in held.values():
        one = _terms(prices)
        found.setdefault(one.named, []).append(one)
    for each in found.values():
        each.sort(key=lambda one: one.price(one.pack))
    return found


def terms_to_come(supplier: Supplier | None = None, named: Named | None = None) -> list[Terms]:
    """Prices that hold from a day still to come on, soonest first; of one supplier or item, or of all."""
    rows = SupplierPrice.objects.filter(since__gt=timezone.localdate()).select_related("supplier", "item")
    rows = rows if supplier is None else rows.filter(supplier=supplier)
    rows = rows if named is None else rows.filter(item__kind=named[0], item__key=named[1])
    held: dict[tuple[date, int, int], list[SupplierPrice]] = {}
    for row in rows.order_by("since", "pk"):
        held.setdefault((row.since, row.item_id, row.supplier_id), []).append(row)
    return [_terms(prices) for prices in held.values()]


def _terms(prices: list[SupplierPrice]) -> Terms:
    """A list of a newer day replaces the whole of an older one: its price breaks are gone with it."""
    latest = prices[-1]
    now = {row.from_pieces: row.price for row in prices if row.since == latest.since}
    named = (latest.item.kind, latest.item.key)
    return Terms(latest.supplier, named, tuple(sorted(now.items())), latest.pack, latest.number, latest.since)


def write_price(
    supplier: Supplier,
    named: Named,
    price: Decimal,
    *,
    since: date,
    who: str,
    pack: int = 1,
    from_pieces: int = 1,
    number: str = "",
    sent: str = "",
) -> bool:
    """Keep a price with its day; the same one again changes nothing. Returns whether it was new.

    Raises ValueError for a price that is none.
    """
    if not price > 0 or price >= Decimal(10) ** 8:
        raise ValueError("a price is above 0 and below 100,000,000")
    if pack < 1 or from_pieces < 1:
        raise ValueError("a pack and a quantity are 1 or more pieces")
    item = item_of(*named)
    told = {"item": item, "price": price, "since": since, "pack": pack, "from_pieces": from_pieces}
    if supplier.prices.filter(**told).exists() or (sent and SupplierPrice.objects.filter(sent=sent).exists()):
        return False
    more = {"sent": sent} if sent else {}
    SupplierPrice.objects.create(supplier=supplier, number=number[:120], who=who, **told, **more)
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """So many pieces of an item to be ordered."""

    named: Named
    pieces: int


def new_order(supplier: Supplier, wishes: Iterable[Wish], who: str, sent: str) -> PurchaseOrder:
    """Write an order at today's prices, not placed yet; the same ``sent`` again gives the same order.

    Raises ValueError where nothing is on it.
    """
    if known := PurchaseOrder.objects.filter(sent=sent).first():
        return known
    wanted = [wish for wish in wishes if wish.pieces > 0]
    if not wanted:
        raise ValueError("nothing is on the order: write how many of at least one line")
    terms = terms_now(supplier)
    with transaction.atomic():
        order = PurchaseOrder.objects.create(supplier=supplier, currency=supplier.currency, who=who, sent=sent)
        for wish in wanted:
            _line(order, wish, next(iter(terms.get(wish.named, ())), None))
        order.freight = _freight(order)
        order.save(update_fields=["freight"])
    return order


def put_on_order(supplier: Supplier, wish: Wish, who: str, sent: str) -> PurchaseOrder:
    """Put a line on the order that is being written to a supplier, or on a new one; sent twice it is there once.

    Where the order has the item already, its line takes the larger number. Raises ValueError for no pieces.
    """
    if wish.pieces <= 0:
        raise ValueError("write how many, 1 or more")
    with transaction.atomic():
        open_ones = PurchaseOrder.objects.select_for_update().filter(supplier=supplier, state=DRAFT)
        order = open_ones.order_by("-pk").first()
        return new_order(supplier, [wish], who, sent) if order is None else put_on(order, wish)


def put_on(order: PurchaseOrder, wish: Wish) -> PurchaseOrder:
    """Put a line on an order that is being written; a line of the same item takes the larger number.

    Raises ValueError for no pieces, OrderStateError once it was placed.
    """
    if wish.pieces <= 0:
        raise ValueError("write how many, 1 or more")
    with transaction.atomic():
        order = _locked(order)
        must_be(order, DRAFT)
        terms = next(iter(terms_now(order.supplier).get(wish.named, ())), None)
        there = order.lines.filter(item=item_of(*wish.named)).first()
        if there is None:
            _line(order, wish, terms)
        elif there.pieces < wish.pieces:
            there.pieces = wish.pieces
            there.price = terms.price(wish.pieces) if terms else there.price
            there.save(update_fields=["pieces", "price"])
        order.freight = _freight(order)
        order.save(update_fields=["freight"])
    return order


def _line(order: PurchaseOrder, wish: Wish, terms: Terms | None) -> None:
    told = {}
    if terms is not None:
        told = {
            "number": terms.number,
            "pack": terms.pack,
            "price": terms.price(wish.pieces),
            "priced_on": terms.since,
        }
    PurchaseLine.objects.create(order=order, item=item_of(*wish.named), pieces=wish.pieces, **told)


def _freight(order: PurchaseOrder) -> Decimal:
    free_from = order.supplier.freight_free_from
    return Decimal(0) if free_from is not None and goods(order) >= free_from else order.supplier.freight


def goods(order: PurchaseOrder) -> Decimal:
    """What the lines with a price cost together."""
    return sum((line.total or Decimal(0) for line in order.lines.all()), Decimal(0))


def place(order: PurchaseOrder) -> PurchaseOrder:
    """The order goes out: from now on its pieces are on order. Placing it twice changes nothing."""
    with transaction.atomic():
        order = _locked(order)
        if order.state == PLACED:
            return order
        must_be(order, DRAFT)
        for line in order.lines.all():
            Item.objects.filter(pk=line.item_id).update(on_order=F("on_order") + line.pieces)
        order.state, order.placed_on = PLACED, timezone.localdate()
        order.save(update_fields=["state", "placed_on"])
    return order


def cancel(order: PurchaseOrder) -> None:
    """The order is not wanted: nothing of it is on order any longer. Raises OrderStateError once something came."""
    with transaction.atomic():
        order = _locked(order)
        if order.state == CANCELLED:
            return
        must_be(order, DRAFT, PLACED)
        if order.lines.filter(received__gt=0).exists():
            raise OrderStateError("some of it is here already: give up the lines that do not come instead")
        if order.state == PLACED:
            for line in order.lines.all():
                no_longer_to_come(line, line.to_come)
        order.state = CANCELLED
        order.save(update_fields=["state"])


def no_longer_to_come(line: PurchaseLine, pieces: int) -> None:
    """So many of a line are not on order any longer; below nothing, so many more are."""
    Item.objects.filter(pk=line.item_id).update(on_order=F("on_order") - pieces)


def _locked(order: PurchaseOrder) -> PurchaseOrder:
    return PurchaseOrder.objects.select_for_update().get(pk=order.pk)


def must_be(order: PurchaseOrder, *states: str) -> None:
    """Raises OrderStateError where the order stands otherwise."""
    if order.state not in states:
        raise OrderStateError(f"this order is {dict(STATES)[order.state].lower()}; nothing was changed")
