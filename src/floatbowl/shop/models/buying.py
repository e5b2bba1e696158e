"""Buying: suppliers with their terms, their prices with dates, and purchase orders that come in parts.

A price is only ever added to; the newest of a quantity holds. What an order still brings stands in the item's
``on_order``, kept beside its lines in the same transaction.
"""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db import models
from django.utils import timezone

from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.models.shelf import Item

if TYPE_CHECKING:
    from django.db.models.fields.related_descriptors import RelatedManager

DRAFT, PLACED, DONE, CANCELLED = "draft", "placed", "done", "cancelled"
STATES = ((DRAFT, "Being written"), (PLACED, "Placed"), (DONE, "All here"), (CANCELLED, "Cancelled"))
#: From an order to its arrival, until the supplier's own time is written (estimate: about three months).
USUAL_LEAD_DAYS = 90


class Supplier(models.Model):
    """Somebody the shop buys from, and the terms."""

    prices: RelatedManager[SupplierPrice]
    orders: RelatedManager[PurchaseOrder]

    name = models.CharField(max_length=200, unique=True)
    address = models.TextField(blank=True, default="")
    #: The number under which the supplier knows the shop.
    our_number = models.CharField(max_length=80, blank=True, default="")
    currency = models.CharField(max_length=3, default="EUR")
    minimum = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))
    freight = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))
    freight_free_from = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    lead_days = models.PositiveSmallIntegerField(default=USUAL_LEAD_DAYS)
    note = models.TextField(blank=True, default="")

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return str(self.name)


class SupplierPrice(models.Model):
    """What one piece costs at a supplier from so many pieces on, and since when. Only ever added to."""

    item_id: int
    supplier_id: int
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="prices")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="supplier_prices")
    #: The supplier's own number for it.
    number = models.CharField(max_length=120, blank=True, default="")
    pack = models.PositiveIntegerField(default=1)
    from_pieces = models.PositiveIntegerField(default=1)
    price = models.DecimalField(max_digits=12, decimal_places=4)
    since = models.DateField()
    sent = models.CharField(max_length=120, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("item", "from_pieces", "-since", "-pk")
        constraints = (models.CheckConstraint(condition=models.Q(price__gt=0), name="supplier_price_above_nothing"),)

    def __str__(self) -> str:
        return f"{self.item} at {self.supplier}: {self.price} from {self.from_pieces}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("A price stays as it was written; write the new one with its day.")
        super().save(*args, **kwargs)


class PurchaseOrder(models.Model):
    """An order to a supplier."""

    supplier_id: int
    lines: RelatedManager[PurchaseLine]

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=20, choices=STATES, default=DRAFT, db_index=True)
    currency = models.CharField(max_length=3)
    freight = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal(0))
    wanted_by = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True, default="")
    placed_on = models.DateField(null=True, blank=True)
    sent = models.CharField(max_length=64, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"purchase order {self.pk}"

    @property
    def stands(self) -> str:
        """How it stands, in words; of one that is done with, whether all of it came."""
        if self.state != DONE:
            return dict(STATES)[self.state]
        lines = list(self.lines.all())
        if not any(line.given_up for line in lines):
            return dict(STATES)[DONE]
        came = sum(int(line.received) for line in lines)
        if not came:
            return "Given up: nothing came"
        return f"Done with: {came} of {sum(int(line.pieces) for line in lines)} pieces came, the rest was given up"


class PurchaseLine(models.Model):
    """So many pieces of one item on an order, at the price of the day, and how many have come."""

    item_id: int
    order_id: int
    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="purchase_lines")
    number = models.CharField(max_length=120, blank=True, default="")
    pack = models.PositiveIntegerField(default=1)
    pieces = models.PositiveIntegerField()
    price = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    priced_on = models.DateField(null=True, blank=True)
    received = models.PositiveIntegerField(default=0)
    #: How many more were given up waiting for.
    given_up = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("order", "item"), name="purchase_line_item_once"),
            models.CheckConstraint(condition=models.Q(pieces__gt=0), name="purchase_line_of_something"),
        )

    def __str__(self) -> str:
        return f"{self.pieces} of {self.item}"

    @property
    def to_come(self) -> int:
        """How many are still waited for."""
        return max(0, int(self.pieces - self.received - self.given_up))

    @property
    def total(self) -> Decimal | None:
        """What the whole line costs; None where no price is known."""
        return None if self.price is None else self.price * self.pieces


class StoppedLine(models.Model):
    """A supplier stops selling an item: the last day to order it, and until when it is still needed."""

    item_id: int
    supplier_id: int
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="stopped")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="stopped")
    order_by: models.DateField[datetime.date, datetime.date] = models.DateField()
    needed_until: models.DateField[datetime.date, datetime.date] = models.DateField()
    #: By so many in 100 demand falls each year.
    falls_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    #: What one too few loses and what one left over loses, in the supplier's currency.
    short_costs = models.DecimalField(max_digits=12, decimal_places=4)
    left_costs = models.DecimalField(max_digits=12, decimal_places=4)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)
    #: Taken back, or written anew: the newest that was not ended holds.
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("supplier", "item"), condition=models.Q(ended_at=None), name="stopped_line_stands_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.supplier} stops {self.item} on {self.order_by}"
