"""The ledger: only ever added to, and what lies on the shelf is always the sum of its lines."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

import pytest
from django.db import IntegrityError, transaction
from django.db.models import Sum
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floatbowl.shop.models.shelf import Holding, Item, LedgerLine, Promise
from floatbowl.shop.shelf.ledger import (
    About,
    NotEnoughError,
    count,
    end_promises,
    item_of,
    move,
    promise,
    reverse,
    take,
    write,
)

RECEIPT, SALE, COUNT, MOVE = (About(why=why, who="Priya") for why in ("receipt", "sale", "count", "move"))


def _sums_hold() -> bool:
    for item in Item.objects.all():
        lines = item.lines.aggregate(Sum("quantity"))["quantity__sum"] or 0
        places = item.holdings.aggregate(Sum("quantity"))["quantity__sum"] or 0
        promised = item.promises.filter(ended_at=None).aggregate(Sum("quantity"))["quantity__sum"] or 0
        if not (item.on_hand == lines == places and item.promised == promised):
            return False
        for held in item.holdings.all():
            if held.quantity != (item.lines.filter(place=held.place).aggregate(Sum("quantity"))["quantity__sum"] or 0):
                return False
    return True


@pytest.fixture
def kit(db: None) -> Item:
    item = item_of("kit", "T-25F")
    write(item, 3, RECEIPT, "A1")
    return item


DEEDS = st.lists(
    st.tuples(
        st.sampled_from(["receive", "take", "count", "move", "promise", "end", "reverse"]),
        st.integers(0, 6),
        st.sampled_from(["A1", "B2", ""]),
    ),
    max_size=14,
)


@pytest.mark.django_db(transaction=False)
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(deeds=DEEDS)
def test_whatever_is_done_the_sums_hold_and_nothing_is_below_nothing(
    db: None, deeds: list[tuple[str, int, str]]
) -> None:
    with transaction.atomic():
        point = transaction.savepoint()
        item = item_of("part", "G-1")
        do: dict[str, Callable[[int, str], object]] = {
            "receive": lambda n, place: write(item, n + 1, RECEIPT, place),
            "take": lambda n, place: take(item, n + 1, SALE),
            "count": lambda n, place: count(item, n, place, COUNT),
            "move": lambda n, place: move(item, n + 1, place, "C3", MOVE),
            "promise": lambda n, place: promise(item, n + 1, f"offer {n}", "Priya"),
            "end": lambda n, place: end_promises(f"offer {n}", timezone.now()),
            "reverse": lambda n, place: reverse(LedgerLine.objects.order_by("pk")[n], "Priya"),
        }
        for deed, number, place in deeds:
            with suppress(NotEnoughError, ValueError, IndexError):
                do[deed](number, place)
            assert _sums_hold(), (deed, number, place)
        transaction.savepoint_rollback(point)


def test_a_line_cannot_be_changed_or_deleted(kit: Item) -> None:
    line = LedgerLine.objects.get()
    line.quantity = 30
    with pytest.raises(TypeError):
        line.save()
    with pytest.raises(TypeError):
        line.delete()
    assert LedgerLine.objects.get().quantity == 3


def test_what_was_wrong_is_reversed_once(kit: Item) -> None:
    line = LedgerLine.objects.get()
    reverse(line, "Priya", "counted twice")
    kit.refresh_from_db()
    assert kit.on_hand == 0
    with pytest.raises(ValueError, match="reversed already"):
        reverse(line, "Priya")


def test_the_last_one_is_sold_once(kit: Item) -> None:
    take(kit, 3, SALE)
    with pytest.raises(NotEnoughError, match="0 of kit T-25F are on hand"):
        take(kit, 1, SALE)
    assert _sums_hold()


def test_less_than_nothing_is_refused_by_the_database_itself(kit: Item) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Holding.objects.filter(item=kit).update(quantity=-1)
    with pytest.raises(IntegrityError), transaction.atomic():
        Item.objects.filter(pk=kit.pk).update(on_hand=-1)


def test_what_is_promised_is_not_sold_to_another(kit: Item) -> None:
    promise(kit, 2, "offer 1", "Ines")
    with pytest.raises(NotEnoughError, match="1 of kit T-25F are free"):
        promise(kit, 2, "offer 2", "Wil")
    with pytest.raises(NotEnoughError, match="2 are promised"):
        take(kit, 2, SALE)
    take(kit, 1, SALE)
    assert end_promises("offer 1", timezone.now()) == 1
    take(kit, 2, SALE)
    assert Promise.objects.filter(ended_at=None).count() == 0
    assert _sums_hold()


def test_sent_twice_is_written_once(kit: Item) -> None:
    about = About(why="receipt", sent="a" * 32)
    assert write(kit, 5, about, "A1").pk == write(kit, 5, about, "A1").pk
    kit.refresh_from_db()
    assert kit.on_hand == 8


def test_taking_from_several_places_takes_all_or_nothing(kit: Item) -> None:
    write(kit, 2, RECEIPT, "B2")
    with pytest.raises(NotEnoughError):
        take(kit, 6, SALE)
    assert LedgerLine.objects.count() == 2
    assert {line.place: line.quantity for line in take(kit, 4, SALE)} == {"A1": -3, "B2": -1}


def test_a_count_is_written_as_it_was_found_even_below_what_is_promised(kit: Item) -> None:
    promise(kit, 3, "offer 1", "Ines")
    count(kit, 1, "A1", COUNT)
    kit.refresh_from_db()
    assert (kit.on_hand, kit.free) == (1, -2)
    with pytest.raises(NotEnoughError):
        take(kit, 1, SALE)


def test_a_count_that_agrees_writes_nothing(kit: Item) -> None:
    assert count(kit, 3, "A1", COUNT) is None
    line = count(kit, 1, "A1", COUNT)
    assert line is not None
    assert line.quantity == -2
    with pytest.raises(ValueError, match="count again"):
        count(kit, -1, "A1", COUNT)
