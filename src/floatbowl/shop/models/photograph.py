"""Photographs of one mark: the set they make, each picture in it, and what was read from them.

The pictures themselves are files in a folder of their own beside the database; see ``shop.photographs.storage``.
"""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from django.db import models
from django.utils import timezone

from floatbowl.shop.models.enquiry import Evidence, InHand

if TYPE_CHECKING:
    from django.db.models.fields.related_descriptors import RelatedManager

#: Who settled corners, a line or a character: the machine proposed it, or somebody looked and said so.
MACHINE, EYE = "machine", "eye"
READ_BY = (("", "typed"), (MACHINE, "read by machine"), (EYE, "confirmed by eye"))


def new_key() -> str:
    """A name for a folder or a file that nobody can guess."""
    return secrets.token_hex(16)


class PhotoSet(models.Model):
    """Photographs of one mark, taken from one position."""

    photographs: RelatedManager[Photograph]
    evidence: RelatedManager[Evidence]

    #: How far the work of reading has come.
    WAITING, WORKING, DONE, FAILED = "waiting", "working", "done", "failed"

    in_hand = models.ForeignKey(InHand, on_delete=models.CASCADE, related_name="photo_sets")
    key = models.CharField(max_length=32, unique=True, default=new_key)
    part = models.CharField(max_length=120, blank=True, default="")
    form = models.CharField(max_length=20, blank=True, default="")
    opened_at = models.DateTimeField(default=timezone.now)
    opened_by = models.CharField(max_length=150, blank=True, default="")
    #: Four corners each, ``[[x, y], ...]`` from the top left clockwise, in pixels of the plain photograph.
    corners = models.JSONField(null=True, blank=True)
    corners_by = models.CharField(max_length=10, blank=True, default="")
    line = models.JSONField(null=True, blank=True)
    line_by = models.CharField(max_length=10, blank=True, default="")
    # The work of reading, which goes on behind the page.
    state = models.CharField(max_length=10, blank=True, default="")
    step = models.PositiveSmallIntegerField(default=0)
    said = models.TextField(blank=True, default="")
    worked_at = models.DateTimeField(null=True, blank=True)
    #: Counts the changes of pictures, corners and line, so that work begun before the last one is not kept.
    version = models.PositiveIntegerField(default=1)
    #: The version that the pictures of the plate were made from, and that of the reading; 0 while there are none.
    pictures_version = models.PositiveIntegerField(default=0)
    read_version = models.PositiveIntegerField(default=0)
    #: What the machine read: text, confidence, form.
    reading = models.JSONField(null=True, blank=True)
    #: One for each character: ``{"cell": [[character, probability], ...], "by": "machine" | "eye"}``.
    boxes = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"Photographs {self.pk}"


class Photograph(models.Model):
    """One picture of a set; ``place`` says from where the torch shone, or that it did not (``plain``)."""

    photo_set_id: int
    PLAIN = "plain"

    photo_set = models.ForeignKey(PhotoSet, on_delete=models.CASCADE, related_name="photographs")
    place = models.CharField(max_length=20)
    key = models.CharField(max_length=32, unique=True, default=new_key)
    #: The sender's own name for this upload, so that one sent twice is kept once.
    upload = models.CharField(max_length=64, blank=True, default="")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    #: What is wrong with it: ``{"kind": ..., "says": ...}``; ``None`` while nobody has looked yet.
    faults = models.JSONField(null=True, blank=True)
    #: About how high a character is; ``None`` where no plate was found.
    character_pixels = models.PositiveIntegerField(null=True, blank=True)
    #: Somebody saw what is wrong with it and keeps it all the same.
    accepted = models.BooleanField(default=False)
    at = models.DateTimeField(default=timezone.now)
    who = models.CharField(max_length=150, blank=True, default="")

    class Meta:
        ordering = ("pk",)
        constraints = (models.UniqueConstraint(fields=("photo_set", "place"), name="photograph_place"),)

    def __str__(self) -> str:
        return str(self.place)
