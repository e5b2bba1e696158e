"""The office: the shop's own settings, its offers, invoices and credit notes as they were issued, and payments.

What was issued is kept as facts, never worked out again from today's records; an invoice or credit note that was
written cannot be saved again. No card numbers are held: only that somebody paid by card.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models
from django.utils import timezone

from floatbowl.shop.models.enquiry import Enquiry
from floatbowl.shop.models.job import Job
from floatbowl.shop.models.photograph import new_key

if TYPE_CHECKING:
    from django.db.models.fields.related_descriptors import RelatedManager

OFFER, INVOICE, CREDIT = "offer", "invoice", "credit note"
KINDS = ((OFFER, "Offer"), (INVOICE, "Invoice"), (CREDIT, "Credit note"))
OPEN, ACCEPTED, DECLINED, INVOICED = "open", "accepted", "declined", "invoiced"
STATES = ((OPEN, "Open"), (ACCEPTED, "Accepted"), (DECLINED, "Declined"), (INVOICED, "Invoiced"))


class OfficeSettings(models.Model):
    """The shop's own rules: one row. Which rates a shop must charge is for it and its tax authority to say."""

    shop_name = models.CharField(max_length=200, blank=True, default="")
    address = models.TextField(blank=True, default="")
    tax_number = models.CharField(max_length=60, blank=True, default="")
    currency = models.CharField(max_length=3, default="EUR")
    prices = models.CharField(max_length=20, default="no tax")
    rounded_by = models.CharField(max_length=10, default="total")
    #: Rates by name: ``[["standard", "20"], ...]``, the usual one first.
    rates = models.JSONField(default=list, blank=True)
    offer_number = models.CharField(max_length=60, default="O-{year}-{n:04}")
    invoice_number = models.CharField(max_length=60, default="I-{year}-{n:04}")
    credit_number = models.CharField(max_length=60, default="C-{year}-{n:04}")
    next_numbers = models.JSONField(default=dict, blank=True)
    valid_days = models.PositiveSmallIntegerField(default=30)
    hour_price = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    postage = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    core_deposit = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    return_rule = models.TextField(blank=True, default="")
    #: Printed on invoices: how to pay, and within how many days of the invoice (empty: no day is printed).
    how_to_pay = models.TextField(blank=True, default="")
    pay_within_days = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        db_table = "office_settings"

    def __str__(self) -> str:
        return self.shop_name or "the shop"


class OfficePaper(models.Model):
    """One offer, invoice or credit note. ``facts`` are all that it says; ``goods`` what leaves the shelf with it."""

    payments: RelatedManager[Payment]
    follow_ups: RelatedManager[OfficePaper]
    enquiry_id: int | None
    job_id: int | None

    kind = models.CharField(max_length=20, choices=KINDS, db_index=True)
    number = models.CharField(max_length=80, unique=True)
    dated = models.DateField()
    to_name = models.CharField(max_length=200)
    to_plain = models.CharField(max_length=200, db_index=True, default="")
    facts = models.JSONField()
    seal = models.CharField(max_length=64, blank=True, default="")
    #: ``[[place among the lines, "kit" or "part", key, pieces], ...]``
    goods = models.JSONField(default=list, blank=True)
    total = models.DecimalField(max_digits=14, decimal_places=4)
    currency = models.CharField(max_length=3)
    enquiry = models.ForeignKey(Enquiry, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    #: The offer an invoice came from; the invoice a credit note credits.
    follows = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="follow_ups")
    state = models.CharField(max_length=20, choices=STATES, blank=True, default="", db_index=True)
    state_says = models.TextField(blank=True, default="")
    sent = models.CharField(max_length=64, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None and set(kwargs.get("update_fields") or ["all"]) - {"state", "state_says"}:
            raise TypeError(f"{self} stays as it was issued; only what became of it may be written beside it.")
        self.to_plain = " ".join(self.to_name.casefold().split())
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError(f"{self} stays; credit an invoice, decline an offer.")


class Payment(models.Model):
    """Money that came in for an invoice, or went back. Only ever added to."""

    HOWS = (("cash", "cash"), ("card", "card"), ("transfer", "transfer"))
    invoice = models.ForeignKey(OfficePaper, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=14, decimal_places=4)
    how = models.CharField(max_length=20, choices=HOWS)
    says = models.CharField(max_length=200, blank=True, default="")
    sent = models.CharField(max_length=64, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.amount} {self.how} for {self.invoice}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("A payment stays as it was written; write one that takes it back.")
        super().save(*args, **kwargs)
