"""Jobs on the bench: whose carburettor it is, where it stands, and all that was written down, measured and pictured.

Nothing is ever deleted: a changed entry or reading strikes out the old row. Each row that a page sends bears the
sender's own name for it (``sent``), so that one sent twice is kept once.
"""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from django.db import models
from django.utils import timezone

from floatbowl.shop.models.enquiry import Enquiry, InHand, digits, plain
from floatbowl.shop.models.photograph import new_key

if TYPE_CHECKING:
    from django.db.models.fields.related_descriptors import RelatedManager

FIRST_STEP = "booked-in"


class Job(models.Model):
    """One carburettor that was taken in."""

    enquiry_id: int | None
    in_hand_id: int | None
    entries: RelatedManager[JobEntry]
    readings: RelatedManager[JobReading]
    photographs: RelatedManager[JobPhotograph]
    events: RelatedManager[JobEvent]
    wanted: RelatedManager[WantedPart]

    enquiry = models.ForeignKey(Enquiry, null=True, blank=True, on_delete=models.SET_NULL, related_name="jobs")
    #: What is seen on the object itself, weighed again apart from what the caller said.
    in_hand = models.ForeignKey(InHand, null=True, blank=True, on_delete=models.SET_NULL, related_name="jobs")
    owner = models.CharField(max_length=200)
    phone = models.CharField(max_length=80, blank=True, default="")
    phone_digits = models.CharField(max_length=80, blank=True, default="", db_index=True)
    machine_text = models.CharField(max_length=200, blank=True, default="")
    machine = models.CharField(max_length=200, blank=True, default="")
    complaint = models.TextField(blank=True, default="")
    came = models.TextField(blank=True, default="")
    #: Keys in the reference: what it was booked as, and what it is taken for now.
    booked_as = models.CharField(max_length=200, blank=True, default="")
    carburettor = models.CharField(max_length=200, blank=True, default="")
    number_plain = models.CharField(max_length=200, blank=True, default="", db_index=True)
    agreed_sum = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    promised = models.DateField(null=True, blank=True)
    step = models.CharField(max_length=40, default=FIRST_STEP, db_index=True)
    held_for = models.CharField(max_length=150, blank=True, default="")
    held_why = models.TextField(blank=True, default="")
    held_until = models.DateField(null=True, blank=True)
    booked_at = models.DateTimeField(default=timezone.now, db_index=True)
    booked_by = models.CharField(max_length=150, blank=True, default="")
    closed_at = models.DateTimeField(null=True, blank=True, db_index=True)
    closed_by = models.CharField(max_length=150, blank=True, default="")
    #: Counts what changed, so that a second browser is told.
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"Job {self.pk} ({self.owner})"

    def save(self, *args: object, **kwargs: object) -> None:
        self.phone_digits, self.number_plain = digits(self.phone), plain(self.carburettor)
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    @property
    def is_open(self) -> bool:
        """Whether it is still on the bench."""
        return self.closed_at is None

    @property
    def is_late(self) -> bool:
        """Whether the day it was promised for has gone by."""
        return bool(self.is_open and self.promised and self.promised < timezone.localdate())

    @property
    def hold_is_due(self) -> bool:
        """Whether the day has come on which whoever must act is asked again."""
        return bool(self.held_for and self.held_until and self.held_until <= timezone.localdate())


class Written(models.Model):
    """What every row of a job bears: the name its sender gave it, who and when, and whether it was struck out."""

    sent = models.CharField(max_length=64, unique=True, default=new_key)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.CharField(max_length=150, blank=True, default="")

    class Meta:
        abstract = True

    def strike(self, who: str) -> None:
        """Strike it out; it stays in the history."""
        self.struck_at, self.struck_by = timezone.now(), who
        self.save(update_fields=["struck_at", "struck_by"])


class JobEntry(Written):
    """One thing written down at a step: ``name`` is the step's key, a point and the entry's key."""

    job_id: int
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="entries")
    name = models.CharField(max_length=120)
    value = models.TextField(blank=True, default="")
    #: For a number: in SI (turns in turns).
    number = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)
        indexes = (models.Index(fields=("job", "name"), name="job_entry_name"),)
        constraints = (
            models.UniqueConstraint(
                fields=("job", "name"), condition=models.Q(struck_at=None), name="job_entry_stands_once"
            ),
        )
        verbose_name_plural = "job entries"

    def __str__(self) -> str:
        return f"{self.name}: {self.value}"


class JobReading(Written):
    """One reading of one row of the measuring sheet, at one of its places."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="readings")
    row = models.CharField(max_length=120)
    place = models.CharField(max_length=120, blank=True, default="")
    #: In SI; empty where it could not be measured, with the reason in ``why_not``.
    number = models.FloatField(null=True, blank=True)
    typed = models.CharField(max_length=80, blank=True, default="")
    tool = models.CharField(max_length=120, blank=True, default="")
    why_not = models.TextField(blank=True, default="")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.row}: {self.typed}"


class JobPhotograph(Written):
    """One picture taken at a step; the file lies in the job's folder beside the database."""

    job_id: int
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="photographs")
    name = models.CharField(max_length=120)
    key = models.CharField(max_length=32, unique=True, default=new_key)
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.name} {self.pk}"


class JobEvent(models.Model):
    """What happened to the job itself: booked, moved, held, changed, closed, opened again. Only ever added to."""

    KINDS = (
        ("booked", "Booked in"),
        ("moved", "Moved"),
        ("hold", "Put on hold"),
        ("off hold", "Taken off hold"),
        ("changed", "Changed"),
        ("closed", "Closed"),
        ("reopened", "Opened again"),
    )
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="events")
    kind = models.CharField(max_length=20, choices=KINDS)
    from_step = models.CharField(max_length=40, blank=True, default="")
    to_step = models.CharField(max_length=40, blank=True, default="")
    says = models.TextField(blank=True, default="")
    until: models.DateField[datetime.date | None, datetime.date | None] = models.DateField(null=True, blank=True)
    who = models.CharField(max_length=150, blank=True, default="")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.kind} {self.from_step} {self.to_step}".strip()

    @property
    def says_what(self) -> str:
        """What happened, in words."""
        return str(dict(self.KINDS).get(self.kind, self.kind))


class WantedPart(Written):
    """One part a job needs: from the kit, loose, made here or from outside; and whether it is here."""

    SOURCES = (("kit", "from the kit"), ("loose", "loose"), ("made here", "made here"), ("outside", "from outside"))
    job_id: int
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="wanted")
    name = models.CharField(max_length=200)
    part = models.CharField(max_length=200, blank=True, default="")
    sizes = models.CharField(max_length=300, blank=True, default="")
    quantity = models.FloatField(default=1)
    source = models.CharField(max_length=20, choices=SOURCES, default="kit")
    #: The kit it comes out of, where it comes from one.
    kit = models.CharField(max_length=200, blank=True, default="")
    #: The joint a gasket closes; its holes are then held against both castings.
    joint = models.CharField(max_length=120, blank=True, default="")
    here = models.BooleanField(default=False)
    holes_checked_by = models.CharField(max_length=150, blank=True, default="")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return str(self.name)

    @property
    def source_says(self) -> str:
        """Where it comes from, in words."""
        return str(dict(self.SOURCES).get(self.source, self.source))
