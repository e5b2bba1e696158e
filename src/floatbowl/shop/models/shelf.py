"""The shelf: what lies where, what is promised, and the ledger that every change of it is written into.

A ledger line is only ever added; what was wrong is reversed by another line. What lies at a place is the sum of its
lines, kept beside them so that the shelf opens at once and so that the database itself refuses less than nothing.
Quantities are whole pieces: what is used by the half is counted in halves.
"""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils import timezone

from floatbowl.shop.models.photograph import new_key

KIT, PART = "kit", "part"
KINDS = ((KIT, "Kit"), (PART, "Part"))
#: Why a quantity changed; the word stands in the ledger.
WHYS = (
    ("first count", "First count"),
    ("count", "Count"),
    ("receipt", "Receipt"),
    ("sale", "Sale"),
    ("job", "Used on a job"),
    ("built", "Kit built"),
    ("taken for a kit", "Taken for a kit"),
    ("taken apart", "Kit taken apart"),
    ("move", "Moved"),
    ("scrap", "Scrapped"),
    ("return", "Come back"),
    ("reversal", "Reversal"),
)


class Item(models.Model):
    """A kit or a part that the shelf holds, by its key in the records."""

    kind = models.CharField(max_length=10, choices=KINDS)
    key = models.CharField(max_length=200)
    #: How many are promised to open offers and jobs.
    promised = models.BigIntegerField(default=0)
    on_hand = models.BigIntegerField(default=0)
    on_order = models.BigIntegerField(default=0)
    #: Below this price one is not offered without a written reason; in ``floor_currency``.
    floor = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    floor_currency = models.CharField(max_length=3, blank=True, default="")

    class Meta:
        ordering = ("kind", "key")
        constraints = (
            models.UniqueConstraint(fields=("kind", "key"), name="item_once"),
            models.CheckConstraint(condition=models.Q(on_hand__gte=0), name="item_on_hand_not_negative"),
            models.CheckConstraint(condition=models.Q(promised__gte=0), name="item_promised_not_negative"),
            models.CheckConstraint(condition=models.Q(on_order__gte=0), name="item_on_order_not_negative"),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"

    @property
    def free(self) -> int:
        """How many may still be promised or sold; below nothing where a count found fewer than are promised."""
        return int(self.on_hand - self.promised)


class Holding(models.Model):
    """How many of an item lie at one place."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="holdings")
    place = models.CharField(max_length=80, blank=True, default="")
    quantity = models.BigIntegerField(default=0)

    class Meta:
        ordering = ("place",)
        constraints = (
            models.UniqueConstraint(fields=("item", "place"), name="holding_once"),
            models.CheckConstraint(condition=models.Q(quantity__gte=0), name="holding_not_negative"),
        )

    def __str__(self) -> str:
        return f"{self.quantity} of {self.item} at {self.place or 'no place'}"


class LedgerLine(models.Model):
    """One change of one quantity. Only ever added to."""

    item_id: int
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="lines")
    place = models.CharField(max_length=80, blank=True, default="")
    quantity = models.BigIntegerField()
    why = models.CharField(max_length=20, choices=WHYS)
    says = models.CharField(max_length=300, blank=True, default="")
    #: The paper or job behind it, such as "invoice 12".
    document = models.CharField(max_length=80, blank=True, default="", db_index=True)
    unit_cost = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    reverses_id: int | None
    reverses = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by")
    sent = models.CharField(max_length=120, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now, db_index=True)

    class Meta:
        ordering = ("-pk",)
        indexes = (models.Index(fields=("item", "-id"), name="ledger_of_item"),)

    def __str__(self) -> str:
        return f"{self.quantity:+d} {self.item} ({self.why})"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("A ledger line stays as it was written; write one that reverses it.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError("A ledger line stays; write one that reverses it.")


class Promise(models.Model):
    """So many of an item kept back for an open offer or job."""

    item_id: int
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="promises")
    quantity = models.PositiveIntegerField()
    #: What it is kept back for, such as "offer 12" or "job 7".
    document = models.CharField(max_length=80, db_index=True)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.quantity} of {self.item} for {self.document}"
