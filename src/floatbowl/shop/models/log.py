"""What changed in the reference, who did it and when; and the one counter that tells whether anything did."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils import timezone


class ReferenceVersion(models.Model):
    """The one row that every change of the reference counts up, in the change's own transaction.

    It also keeps what a pack says outside its tables: the currency, and what mistakes cost in it.
    """

    number = models.BigIntegerField(default=0)
    #: Made anew with each number, so that the same number of another database is not taken for this one's.
    stamp = models.TextField(default="")
    currency = models.TextField(default="", blank=True)
    wrong_kit = models.FloatField(default=25.0)
    minute = models.FloatField(default=0.6)
    bench = models.FloatField(default=15.0)

    class Meta:
        db_table = "reference_version"

    def __str__(self) -> str:
        return f"version {self.number}"


class Change(models.Model):
    """One change of one record: the row before and after, as JSON. Only ever added to.

    ``before`` is empty for a row that was added, ``after`` for one that was removed. A whole pack that was loaded has
    ``table`` empty and counts of rows for before and after.
    """

    at = models.DateTimeField(default=timezone.now)
    who = models.TextField()
    version = models.BigIntegerField(db_index=True)
    stamp = models.TextField(default="")
    table = models.TextField(blank=True, default="")
    #: The carburettor, kit, part, ... the row belongs to, and the row's whole key as it is shown.
    record = models.TextField(blank=True, default="")
    key = models.TextField(blank=True, default="")
    row = models.BigIntegerField(null=True, blank=True)
    before = models.JSONField(null=True, blank=True)
    after = models.JSONField(null=True, blank=True)

    class Meta:
        db_table = "changes"
        ordering = ("id",)
        indexes = (models.Index(fields=("table", "record"), name="changes_of_one_record"),)

    def __str__(self) -> str:
        return f"{self.who}: {self.table} {self.key}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("A change that was written down stays as it was; write another one.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError("A change that was written down stays.")


class Person(models.Model):
    """Somebody who works here, to be named beside what they change."""

    name = models.CharField(max_length=80, unique=True)
    here = models.BooleanField(default=True)

    class Meta:
        db_table = "people"
        ordering = ("name",)

    def __str__(self) -> str:
        return str(self.name)
