"""Changing one row: written down, counted, and never over somebody else's change unseen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from floatbowl.reference.facts import Kit, Reference
from floatbowl.shop import records
from floatbowl.shop.changes import count_up, version_now
from floatbowl.shop.load import load_reference
from floatbowl.shop.models import Change

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(small_reference: Reference) -> records.Stored:
    load_reference(small_reference, "Ines")
    return records.rows_where("parts", part="G-1")[0]


def test_a_change_keeps_who_when_before_and_after(part: records.Stored) -> None:
    records.change("parts", part.row, shown=part.print, after=replace(part.fact, price=1.5), who="Priya")
    change = Change.objects.latest("id")
    assert (change.who, change.table, change.record, change.row) == ("Priya", "parts", "G-1", part.row)
    assert (change.before["price"], change.after["price"]) == (1.25, 1.5)
    assert change.at is not None
    assert (version_now().number, change.version) == (2, 2)


def test_adding_and_removing_are_changes_too(part: records.Stored) -> None:
    added = records.add(Kit(kit="T-99", name="New kit"), "Hal")
    assert records.stored("kits", added.row) == added
    records.change("kits", added.row, shown=added.print, after=None, who="Hal")
    assert records.stored("kits", added.row) is None
    first, last = Change.objects.order_by("-id")[:2][::-1]
    assert (first.before, first.after) == (None, {"kit": "T-99", "name": "New kit"})
    assert (last.before, last.after) == (first.after, None)


def test_the_second_of_two_editors_is_told_and_writes_nothing(part: records.Stored) -> None:
    records.change("parts", part.row, shown=part.print, after=replace(part.fact, name="Priya's"), who="Priya")
    before = version_now()
    with pytest.raises(records.ChangedMeanwhileError) as told:
        records.change("parts", part.row, shown=part.print, after=replace(part.fact, name="Hal's"), who="Hal")
    assert told.value.now.fact.name == "Priya's"
    assert told.value.last.who == "Priya"
    assert records.stored("parts", part.row).fact.name == "Priya's"
    assert version_now() == before


def test_a_row_that_is_gone_is_told_as_gone(part: records.Stored) -> None:
    records.change("parts", part.row, shown=part.print, after=None, who="Priya")
    with pytest.raises(records.ChangedMeanwhileError) as told:
        records.change("parts", part.row, shown=part.print, after=replace(part.fact, name="Hal's"), who="Hal")
    assert told.value.now is None


def test_saving_what_is_there_already_changes_nothing(part: records.Stored) -> None:
    before = version_now()
    records.change("parts", part.row, shown=part.print, after=part.fact, who="Hal")
    assert version_now() == before
    assert not Change.objects.filter(who="Hal").exists()


def test_a_change_that_was_written_down_cannot_be_altered_or_removed(part: records.Stored) -> None:
    change = Change.objects.latest("id")
    change.who = "nobody"
    with pytest.raises(TypeError, match="stays"):
        change.save()
    with pytest.raises(TypeError, match="stays"):
        change.delete()


@pytest.mark.django_db(transaction=True)
def test_the_version_counts_up_only_with_a_change() -> None:
    with pytest.raises(RuntimeError, match="transaction"):
        count_up()


def test_numbers_of_rows_are_never_used_again(part: records.Stored, small_reference: Reference) -> None:
    """A form opened before a load must not find another row under its number."""
    load_reference(replace(small_reference, parts=(replace(part.fact, name="other"),)), "Ines")
    assert records.stored("parts", part.row) is None
