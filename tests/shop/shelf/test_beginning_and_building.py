"""The records' numbers as first counts, and kits out of loose parts: parts and kit together, or neither."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.db.models import Sum

from floatbowl.bench.on_record import on_record
from floatbowl.reference.facts import Reference
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf import building
from floatbowl.shop.shelf.beginning import begin, not_begun
from floatbowl.shop.shelf.building import CannotBuildError, build, take_apart
from floatbowl.shop.shelf.changing import receive, scrap
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, promise
from floatbowl.shop.shelf.on_hand import all_stands, stands_of, with_the_shelf
from floatbowl.shop.shelf.things import things_now
from floatbowl.shop.shelf.undoing import undo


def on_hand(kind: str, key: str) -> float | None:
    return all_stands(things_now())[kind, key].on_hand


def test_the_records_begin_the_shelf_once(records: Reference) -> None:
    begun = begin("Ines")
    assert (begun.items, begun.pieces) == (3, 14)
    assert [thing.key for thing in begun.not_whole] == ["cord"]
    assert begin("Ines").items == 0
    assert LedgerLine.objects.filter(why="first count").count() == 3
    assert [thing.key for thing in not_begun()] == ["cord"]


def test_a_count_goes_before_the_records(records: Reference) -> None:
    assert on_hand("part", "G-1") == 8
    count_at("part", "G-1", 5, "A1", About(why="count"))
    assert on_hand("part", "G-1") == 5
    begin("Ines")
    assert on_hand("part", "G-1") == 5


def test_what_comes_in_is_added_to_what_the_records_said(records: Reference) -> None:
    receive(things_now().of("part", "G-1"), 3, "A1", About(why="receipt"))
    assert on_hand("part", "G-1") == 11


def test_a_count_sent_again_after_a_sale_changes_nothing(records: Reference) -> None:
    count_at("part", "G-1", 5, "", About(why="count", sent="a" * 20))
    count_at("part", "G-1", 5, "", About(why="count", sent="b" * 20))
    scrap(things_now().of("part", "G-1"), 2, "", About(why="scrap", says="torn"))
    count_at("part", "G-1", 5, "", About(why="count", sent="b" * 20))
    assert on_hand("part", "G-1") == 3


def test_building_takes_the_parts_and_gives_the_kit_once(records: Reference) -> None:
    for _ in range(2):
        build("T-25G", 2, "K1", "Wil", "sent")
    assert (on_hand("kit", "T-25G"), on_hand("part", "G-1"), on_hand("part", "W-1")) == (3, 6, 1)
    take_apart("T-25G", 1, "A1", "Wil", "apart")
    take_apart("T-25G", 1, "A1", "Wil", "apart")
    assert (on_hand("kit", "T-25G"), on_hand("part", "G-1"), on_hand("part", "W-1")) == (2, 7, 3)


def test_too_few_parts_are_all_named_and_nothing_is_taken(records: Reference) -> None:
    begin("Ines")
    promise(item_of("part", "G-1"), 6, "job 1", "Wil")
    with pytest.raises(NotEnoughError, match=r"Bowl gasket: 3 wanted, 2 free; Seat washer: 6 wanted, 5 free"):
        build("T-25G", 3, "", "Wil", "sent")
    assert (on_hand("part", "G-1"), on_hand("part", "W-1")) == (8, 5)


def test_a_kit_that_takes_half_a_piece_or_has_no_parts_is_refused_with_what_to_do(records: Reference) -> None:
    with pytest.raises(CannotBuildError, match=r"0.5 of Packing cord .* whole pieces"):
        build("T-26G", 1, "", "Wil", "a")
    with pytest.raises(CannotBuildError, match="Notebook"):
        build("T-99", 1, "", "Wil", "b")
    with pytest.raises(CannotBuildError, match="1 or more"):
        build("T-25G", 0, "", "Wil", "c")


def test_a_failure_between_parts_and_kit_leaves_neither(records: Reference, monkeypatch: pytest.MonkeyPatch) -> None:
    begin("Ines")

    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("the lamp went out")

    monkeypatch.setattr(building, "write", fails)
    with pytest.raises(RuntimeError):
        build("T-25G", 1, "", "Wil", "sent")
    assert (on_hand("part", "G-1"), on_hand("part", "W-1")) == (8, 5)
    for item in Item.objects.all():
        assert item.on_hand == (LedgerLine.objects.filter(item=item).aggregate(Sum("quantity"))["quantity__sum"] or 0)


def test_scrap_and_reversal_want_a_reason(records: Reference) -> None:
    thing = things_now().of("part", "G-1")
    with pytest.raises(ValueError, match="why it is scrapped"):
        scrap(thing, 1, "", About(why="scrap"))
    scrap(thing, 1, "", About(why="scrap", says="torn"))
    line = LedgerLine.objects.get(why="scrap")
    with pytest.raises(ValueError, match="what was wrong"):
        undo(line, "Wil", " ")
    undo(line, "Wil", "wrong drawer")
    assert on_hand("part", "G-1") == 8


def test_the_counter_and_the_bench_see_the_ledger_where_there_is_one(records: Reference) -> None:
    assert stands_of("kit", {"T-25G": 1.0, "T-26G": None})["T-25G"].on_hand == 1.0
    count_at("kit", "T-25G", 4, "", About(why="count"))
    promise(item_of("kit", "T-25G"), 1, "offer 1", "Ines")
    stand = stands_of("kit", {"T-25G": 1.0})["T-25G"]
    assert (stand.on_hand, stand.free, stand.counted) == (4, 3, True)
    known = on_record(records, "k36-118")
    count_at("part", "G-1", 2, "", About(why="count"))
    from floatbowl.bench.on_record import PartOnRecord

    held = replace(known, parts=(PartOnRecord(records.parts[0], "bowl", 1.0),))
    assert [each.part.on_hand for each in with_the_shelf(held).parts] == [2.0]
