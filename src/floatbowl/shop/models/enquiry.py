"""What callers told us: the enquiry, the carburettors in it, each piece of evidence, and what was read back.

Nothing is ever deleted: a changed item strikes out the old row and adds a new one that names it.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from django.db import models
from django.utils import timezone

if TYPE_CHECKING:
    from django.db.models.fields.related_descriptors import RelatedManager

    from floatbowl.shop.models.job import Job
    from floatbowl.shop.models.photograph import PhotoSet

OUTCOMES = (
    ("sold", "Sold"),
    ("asked", "Asked to look again"),
    ("rebuild", "Taken in for rebuild"),
    ("lost", "Lost"),
)


def digits(text: str) -> str:
    """A telephone number as it is compared: digits only.

    >>> digits("01000 960-144")
    '01000960144'
    """
    return re.sub(r"\D", "", text)


def plain(text: str) -> str:
    """A number as it is looked up: capitals and digits only.

    >>> plain("k36/118")
    'K36118'
    """
    return "".join(c for c in text.upper() if c.isalnum())


class Enquiry(models.Model):
    """One call: who rang, what they want, and how it ended."""

    in_hand: RelatedManager[InHand]
    changes: RelatedManager[EnquiryChange]
    jobs: RelatedManager[Job]

    caller = models.CharField(max_length=200, blank=True, default="")
    phone = models.CharField(max_length=80, blank=True, default="")
    phone_digits = models.CharField(max_length=80, blank=True, default="", db_index=True)
    want_level = models.CharField(max_length=80, blank=True, default="")
    want_fuel = models.CharField(max_length=80, blank=True, default="")
    notes = models.TextField(blank=True, default="")
    opened_at = models.DateTimeField(default=timezone.now, db_index=True)
    opened_by = models.CharField(max_length=150, blank=True, default="")
    closed_at = models.DateTimeField(null=True, blank=True, db_index=True)
    closed_by = models.CharField(max_length=150, blank=True, default="")
    outcome = models.CharField(max_length=20, blank=True, default="", choices=OUTCOMES)
    why = models.TextField(blank=True, default="")
    #: Counts the changes of the caller's details, so that a second browser is told.
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ("-opened_at", "-pk")
        verbose_name_plural = "enquiries"

    def __str__(self) -> str:
        return f"Enquiry {self.pk} ({self.caller or 'caller not named'})"

    def save(self, *args: object, **kwargs: object) -> None:
        self.phone_digits = digits(self.phone)
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    @property
    def is_open(self) -> bool:
        """Whether nobody has closed it yet."""
        return self.closed_at is None


class InHand(models.Model):
    """One carburettor a caller has in the hand; a call may be about several."""

    enquiry_id: int
    evidence: RelatedManager[Evidence]
    photo_sets: RelatedManager[PhotoSet]
    read_backs: RelatedManager[ReadBack]
    jobs: RelatedManager[Job]

    enquiry = models.ForeignKey(Enquiry, on_delete=models.CASCADE, related_name="in_hand")
    place = models.PositiveSmallIntegerField(default=1)
    label = models.CharField(max_length=120, blank=True, default="")
    machine_text = models.CharField(max_length=200, blank=True, default="")
    #: Key of the machine in the reference, when the text names one.
    machine = models.CharField(max_length=200, blank=True, default="")
    serial = models.CharField(max_length=80, blank=True, default="")
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ("place",)
        constraints = (models.UniqueConstraint(fields=("enquiry", "place"), name="in_hand_place"),)

    def __str__(self) -> str:
        return self.label or f"Carburettor {self.place}"


class Evidence(models.Model):
    """A reading of a number or an answer about a look, as it was given."""

    READING, LOOK = "reading", "look"

    in_hand = models.ForeignKey(InHand, on_delete=models.CASCADE, related_name="evidence")
    kind = models.CharField(max_length=10, choices=((READING, "Number"), (LOOK, "Look")))
    # A reading.
    text = models.CharField(max_length=200, blank=True, default="")
    text_plain = models.CharField(max_length=200, blank=True, default="", db_index=True)
    cells = models.JSONField(default=list, blank=True)
    form = models.CharField(max_length=20, blank=True, default="")
    photo_set = models.ForeignKey("PhotoSet", null=True, blank=True, on_delete=models.SET_NULL, related_name="evidence")
    #: For a reading from photographs: ``machine`` or ``eye``; empty for one that was typed.
    read_by = models.CharField(max_length=10, blank=True, default="")
    # A look.
    feature = models.CharField(max_length=200, blank=True, default="")
    value = models.CharField(max_length=200, blank=True, default="")
    number = models.FloatField(null=True, blank=True)
    typed = models.CharField(max_length=80, blank=True, default="")
    tool = models.CharField(max_length=120, blank=True, default="")
    coached = models.BooleanField(default=False)
    # Both.
    part = models.CharField(max_length=120, blank=True, default="")
    via = models.CharField(max_length=10, default="seen")
    group = models.CharField(max_length=120, blank=True, default="")
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)
    replaces = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.CharField(max_length=150, blank=True, default="")

    class Meta:
        ordering = ("pk",)
        verbose_name_plural = "evidence"

    def __str__(self) -> str:
        return self.text if self.kind == self.READING else f"{self.feature}: {self.value}"

    def save(self, *args: object, **kwargs: object) -> None:
        self.text_plain = plain(self.text)
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class ReadBack(models.Model):
    """What was read back to the caller before a kit went out, and who took it on."""

    in_hand = models.ForeignKey(InHand, on_delete=models.CASCADE, related_name="read_backs")
    carburettor = models.CharField(max_length=200)
    number = models.CharField(max_length=200)
    number_plain = models.CharField(max_length=200, db_index=True, default="")
    kit = models.CharField(max_length=200)
    kit_name = models.CharField(max_length=200, default="")
    sentence = models.TextField()
    doubt = models.TextField(blank=True, default="")
    kinds = models.JSONField(default=list)
    #: The kit as it was packed (level, fuel, lines by size, what was left out): the slip stays as it went out.
    packed = models.JSONField(default=dict)
    override = models.TextField(blank=True, default="")
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=150, blank=True, default="")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.number}: {self.kit_name}"

    def save(self, *args: object, **kwargs: object) -> None:
        self.number_plain = plain(self.number)
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class EnquiryChange(models.Model):
    """One changed field of an enquiry or of a carburettor in it: who, when, before and after."""

    enquiry = models.ForeignKey(Enquiry, on_delete=models.CASCADE, related_name="changes")
    in_hand = models.ForeignKey(InHand, null=True, blank=True, on_delete=models.CASCADE, related_name="changes")
    field = models.CharField(max_length=80)
    before = models.TextField(blank=True, default="")
    after = models.TextField(blank=True, default="")
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.field}: {self.before} -> {self.after}"
