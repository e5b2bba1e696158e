"""The reference a process holds follows the database, whoever changed it."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from floatbowl.reference.facts import Mark, Reference
from floatbowl.shop import records, standing
from floatbowl.shop.load import dump_reference, load_reference

pytestmark = pytest.mark.django_db


def test_it_follows_edits_additions_and_removals(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    assert standing.current_reference() == small_reference
    row = records.rows_where("marks", text="2063")[0]
    records.change("marks", row.row, shown=row.print, after=replace(row.fact, doubt=""), who="Wil")
    assert standing.current_reference() == dump_reference() != small_reference
    added = records.add(Mark(carburettor="k36-113", text="K36/113B", role="cross"), "Wil")
    assert standing.current_reference().marks[-1] == added.fact
    records.change("marks", row.row, shown=records.stored("marks", row.row).print, after=None, who="Wil")
    assert standing.current_reference() == dump_reference()
    assert len(standing.current_reference().marks) == len(small_reference.marks)


def test_several_changes_at_once_are_caught_up_with(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    standing.current_reference()
    for word in ("one", "two", "three"):
        row = records.rows_where("parts", part="G-1")[0]
        records.change("parts", row.row, shown=row.print, after=replace(row.fact, name=word), who="Wil")
        records.add(Mark(carburettor="k36-113", text=word, role="cross"), "Wil")
    assert standing.current_reference() == dump_reference()
    assert standing.current_reference().parts[0].name == "three"


def test_it_follows_a_whole_load(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    standing.current_reference()
    load_reference(replace(small_reference, tools=(), currency="EUR"), "Ines")
    assert standing.current_reference() == dump_reference()
    assert standing.current_reference().currency == "EUR"


def test_nothing_is_read_again_while_nothing_changes(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    assert standing.current_reference() is standing.current_reference()


def test_the_weigher_is_of_the_reference_as_it_stands(small_reference: Reference) -> None:
    load_reference(small_reference, "Ines")
    first = standing.current_weigher()
    assert first is standing.current_weigher()
    records.add(Mark(carburettor="k36-113", text="K36/999", role="identifies"), "Wil")
    second = standing.current_weigher()
    assert second is not first
    assert second.reference == dump_reference()


@pytest.mark.django_db(transaction=True)
def test_threads_that_ask_at_once_get_one_and_the_same(small_reference: Reference) -> None:
    from django.db import connection

    load_reference(small_reference, "Ines")
    standing.forget()
    got: list[Reference] = []

    def ask() -> None:
        got.append(standing.current_reference())
        connection.close()

    threads = [threading.Thread(target=ask) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(got) == 6
    assert all(one is got[0] for one in got)
    assert got[0] == small_reference
