"""What the shelf was told of the past and of its counts: sales of before, every count, also one that agreed, and
tables that were sent and still wait for an answer."""

from __future__ import annotations

import datetime

from django.db import models
from django.utils import timezone

from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.models.shelf import Item, LedgerLine


class ToldSale(models.Model):
    """A sale from a file. Before the item's first count it is history; later, ``lines`` took it off the shelf."""

    item_id: int
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="told_sales")
    quantity = models.PositiveIntegerField()
    day: models.DateField[datetime.date, datetime.date] = models.DateField(db_index=True)
    document = models.CharField(max_length=80, blank=True, default="")
    lines = models.ManyToManyField(LedgerLine, related_name="told_sales")
    sent = models.CharField(max_length=64, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.quantity} of {self.item} on {self.day}"


class Counted(models.Model):
    """That somebody counted so many of an item at a place; the ledger has a line only where it changed something."""

    item_id: int
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="counts")
    place = models.CharField(max_length=80, blank=True, default="")
    counted = models.PositiveIntegerField()
    changed = models.BigIntegerField(default=0)
    sent = models.CharField(max_length=64, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"{self.counted} of {self.item} counted"


class SentFile(models.Model):
    """A table that was sent and not brought in yet, because something in it must be asked first. Kept for two days."""

    WHATS = (("counts", "counts"), ("sales", "sales"), ("prices", "prices"))
    key = models.CharField(max_length=32, unique=True, default=new_key)
    what = models.CharField(max_length=20, choices=WHATS)
    name = models.CharField(max_length=200)
    data = models.BinaryField()
    #: For counts: the day, where the table has none. For prices: since when they hold, and whose they are.
    day: models.DateField[datetime.date | None, datetime.date | None] = models.DateField(null=True, blank=True)
    supplier = models.ForeignKey("Supplier", null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now, db_index=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.name} ({self.what})"
