"""What was wrong goes back whole: both ends of a move, a kit and its parts, a receipt and its order."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from decimal import Decimal

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, Job, OfficePaper, PurchaseOrder, Supplier, ToldSale
from floatbowl.shop.models.buying import DONE, PLACED
from floatbowl.shop.models.shelf import Holding, Item, LedgerLine
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.building import CannotBuildError, build, take_apart
from floatbowl.shop.shelf.buying import Wish, new_order, place
from floatbowl.shop.shelf.changing import move, scrap, use
from floatbowl.shop.shelf.changing import receive as put_in
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, promise, reverse, take
from floatbowl.shop.shelf.promised import PromisedError, whose
from floatbowl.shop.shelf.receiving import MoreThanOrderedError, give_up, receive
from floatbowl.shop.shelf.things import things_now
from floatbowl.shop.shelf.undoing import OwnPageError, goes_with, undo

RECEIPT, MOVE = About(why="receipt", who="Priya"), About(why="move", who="Priya")
TODAY = timezone.localdate()


def held(key: str) -> dict[str, int]:
    rows = Holding.objects.filter(item__key=key, quantity__gt=0).order_by("place")
    return dict(rows.values_list("place", "quantity"))


def on_hand(key: str) -> int:
    return int(Item.objects.get(key=key).on_hand)


def newest(**told: object) -> LedgerLine:
    return LedgerLine.objects.filter(**told).latest("pk")


DEEDS = st.lists(
    st.tuples(
        st.sampled_from(["receive", "move", "move", "build", "apart", "reverse", "reverse"]),
        st.integers(0, 5),
        st.sampled_from([("", "A1"), ("A1", "B2"), ("B2", ""), ("a 1", "b2")]),
        st.sampled_from(["G-1", "W-1", "T-25G"]),
    ),
    min_size=4,
    max_size=10,
)


@pytest.mark.django_db(transaction=False)
@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(deeds=DEEDS)
def test_after_any_deeds_and_reversals_the_places_hold_what_came_in(
    records: Reference, deeds: list[tuple[str, int, tuple[str, str], str]]
) -> None:
    """A kit T-25G is one gasket G-1 and two washers W-1: what came in lies there loose or packed, nothing else."""
    things = things_now()
    with transaction.atomic():
        point = transaction.savepoint()
        begin("Ines")
        came = {"G-1": 8 + 1, "W-1": 5 + 2}

        def count_in(key: str, pieces: int) -> None:
            for part, each in {"T-25G": {"G-1": 1, "W-1": 2}}.get(key, {key: 1}).items():
                came[part] += pieces * each

        def back(number: int) -> None:
            lines = LedgerLine.objects.exclude(why="first count").order_by("-pk")
            line = lines[number]
            undo(line, "Priya", "wrong")
            if line.why == "receipt":
                count_in(line.item.key, -line.quantity)

        def put(key: str, pieces: int, where: str) -> None:
            put_in(things.of("kit" if key[0] == "T" else "part", key), pieces, where, RECEIPT)
            count_in(key, pieces)

        for step, (deed, number, (source, target), key) in enumerate(deeds):
            thing = things.of("kit" if key[0] == "T" else "part", key)
            do: dict[str, Callable[[], object]] = {
                "receive": lambda n=number, k=key, where=target: put(k, n + 1, where),
                "move": lambda n=number, of=thing, a=source, b=target: move(of, n + 1, a, b, MOVE),
                "build": lambda n=number, b=target, s=step: build("T-25G", n % 2 + 1, b, "Priya", f"sent{s}"),
                "apart": lambda n=number, b=target, s=step: take_apart("T-25G", n % 2 + 1, b, "Priya", f"sent{s}"),
                "reverse": lambda n=number: back(n),
            }
            with suppress(NotEnoughError, CannotBuildError, ValueError, IndexError):
                do[deed]()
            kits = sum(held("T-25G").values())
            assert sum(held("G-1").values()) + kits == came["G-1"], (deed, number, source, target, key)
            assert sum(held("W-1").values()) + 2 * kits == came["W-1"], (deed, number, source, target, key)
            for item in Item.objects.all():
                assert item.on_hand == sum(held(item.key).values())
        transaction.savepoint_rollback(point)


def test_both_ends_of_a_move_go_back(records: Reference) -> None:
    thing = things_now().of("part", "G-1")
    move(thing, 3, "", "A1", MOVE)
    there, here = newest(why="move", quantity=3), newest(why="move", quantity=-3)
    assert goes_with([there, here]) == {there.pk: [here], here.pk: [there]}
    assert len(undo(here, "Wil", "wrong drawer")) == 2
    assert held("G-1") == {"": 8}
    with pytest.raises(ValueError, match="reversed already"):
        undo(there, "Wil", "wrong drawer")


def test_a_move_whose_pieces_have_gone_on_is_refused_whole(records: Reference) -> None:
    thing = things_now().of("part", "G-1")
    move(thing, 3, "", "A1", MOVE)
    line = newest(quantity=-3)
    move(thing, 2, "A1", "B2", MOVE)
    with pytest.raises(NotEnoughError, match=r"has gone. 3 were to be taken, but 1 of .* lie at A1 \(8"):
        undo(line, "Wil", "wrong drawer")
    assert held("G-1") == {"": 5, "A1": 1, "B2": 2}


@pytest.mark.parametrize("which", ["built", "taken for a kit"])
def test_a_kit_and_its_parts_go_back_together_or_not_at_all(records: Reference, which: str) -> None:
    build("T-25G", 2, "K1", "Wil", "sent")
    line = newest(why=which)
    take(item_of("kit", "T-25G"), 2, About(why="sale"))
    with pytest.raises(NotEnoughError, match="what came of it has gone"):
        undo(line, "Wil", "miscounted")
    assert (on_hand("T-25G"), on_hand("G-1"), on_hand("W-1")) == (1, 6, 1)
    reverse(newest(why="sale"), "Wil")
    assert len(undo(line, "Wil", "miscounted")) == 3
    assert (on_hand("T-25G"), on_hand("G-1"), on_hand("W-1")) == (1, 8, 5)


def test_what_was_half_reversed_before_is_made_whole(records: Reference) -> None:
    from floatbowl.shop.shelf import ledger

    move(things_now().of("part", "G-1"), 3, "", "A1", MOVE)
    half, other = newest(quantity=-3), newest(quantity=3)
    ledger.write(half.item, 3, About(why="reversal"), "", reverses=half)
    assert on_hand("G-1") == 11
    undo(other, "Wil", "the other half")
    assert held("G-1") == {"": 8}


def paper(kind: str, number: str, **more: object) -> OfficePaper:
    return OfficePaper.objects.create(
        kind=kind, number=number, dated=TODAY, to_name="Ives", facts={}, total=Decimal(1), currency="EUR", **more
    )


def test_a_line_of_an_invoice_or_a_credit_note_goes_back_through_its_paper(records: Reference) -> None:
    begin("Ines")
    invoice = paper("invoice", "2026-7")
    paper("credit note", "2026-8", follows=invoice)
    (sale,) = take(item_of("part", "G-1"), 2, About(why="sale", document="invoice 2026-7"))
    with pytest.raises(OwnPageError, match=r"left with invoice 2026-7. Credit the invoice instead") as told:
        undo(sale, "Wil", "wrong")
    assert told.value.page.address == f"/office/{invoice.pk}/"
    from floatbowl.shop.shelf.ledger import write

    came = write(item_of("part", "G-1"), 2, About(why="return", document="credit note 2026-8"), "")
    with pytest.raises(OwnPageError, match="came back with credit note 2026-8"):
        undo(came, "Wil", "wrong")
    assert on_hand("G-1") == 8


def test_a_sale_out_of_a_table_goes_back_even_if_its_paper_has_a_number_of_ours(records: Reference) -> None:
    begin("Ines")
    paper("invoice", "2026-7")
    told = ToldSale.objects.create(item=item_of("part", "G-1"), quantity=2, day=TODAY)
    told.lines.set(take(told.item, 2, About(why="sale", document="invoice 2026-7", sent="abc")))
    undo(told.lines.get(), "Wil", "the table was wrong")
    assert on_hand("G-1") == 8


def test_parts_of_a_job_go_back_from_its_list_unless_taken_by_hand_for_an_open_one(records: Reference) -> None:
    begin("Ines")
    job = Job.objects.create(owner="Anselm Pickard")
    use(things_now().of("part", "G-1"), 1, "", About(why="job", document=f"job {job.pk}", sent="byhand"))
    by_hand = newest(why="job")
    (drawn,) = take(item_of("part", "G-1"), 2, About(why="job", document=f"job {job.pk}"))
    with pytest.raises(OwnPageError, match="goes back from the job's list of parts") as told:
        undo(drawn, "Wil", "wrong")
    assert told.value.page.address == f"/bench/{job.pk}/step/parts-wanted/"
    undo(by_hand, "Wil", "wrong")
    assert on_hand("G-1") == 6
    Job.objects.update(closed_at=timezone.now())
    with pytest.raises(OwnPageError, match="Open the job again"):
        undo(drawn, "Wil", "wrong")


def test_what_left_with_a_call_goes_back_with_it(records: Reference) -> None:
    begin("Ines")
    call = Enquiry.objects.create(caller="Anselm Pickard", outcome="sold")
    (line,) = take(item_of("kit", "T-25G"), 1, About(why="sale", document=f"enquiry {call.pk}"))
    with pytest.raises(OwnPageError, match=r"closed as sold\. Open that again") as told:
        undo(line, "Wil", "wrong")
    assert told.value.page.address == f"/counter/{call.pk}/"


@pytest.fixture
def order(records: Reference) -> PurchaseOrder:
    supplier = Supplier.objects.create(name="Ardwath")
    return place(new_order(supplier, [Wish(named=("part", "W-1"), pieces=50)], "Ines", "sent"))


def state(order: PurchaseOrder) -> tuple[str, int, int, int]:
    order.refresh_from_db()
    line, item = order.lines.get(), Item.objects.get(key="W-1")
    return order.state, line.received, item.on_order, item.on_hand


def test_a_receipt_that_is_reversed_is_to_come_again(order: PurchaseOrder) -> None:
    line = order.lines.get()
    receive(line, 20, "A1", "Wil", "one")
    receive(line, 30, "A1", "Wil", "two")
    assert state(order) == (DONE, 50, 0, 55)
    undo(newest(quantity=30), "Wil", "another order's")
    assert state(order) == (PLACED, 20, 30, 25)
    give_up(order.lines.get())
    undo(newest(quantity=20), "Wil", "another order's")
    assert state(order) == (PLACED, 0, 20, 5)
    receive(order.lines.get(), 20, "A1", "Wil", "three")
    assert state(order) == (DONE, 20, 0, 25)


def test_more_than_ordered_asks_first(order: PurchaseOrder) -> None:
    line = order.lines.get()
    with pytest.raises(MoreThanOrderedError, match="80 came, 50 were to come: tick"):
        receive(line, 80, "A1", "Wil", "one")
    assert state(order) == (PLACED, 0, 50, 0)
    receive(line, 80, "A1", "Wil", "one", even_more=True)
    assert state(order) == (DONE, 80, 0, 85)
    undo(newest(quantity=80), "Wil", "another order's")
    assert state(order) == (PLACED, 0, 50, 5)


def test_what_was_given_up_is_not_all_here(order: PurchaseOrder) -> None:
    assert order.stands == "Placed"
    give_up(order.lines.get())
    order.refresh_from_db()
    assert order.stands == "Given up: nothing came"
    other = place(new_order(order.supplier, [Wish(named=("part", "G-1"), pieces=9)], "Ines", "other"))
    receive(other.lines.get(), 4, "", "Wil", "one")
    give_up(other.lines.get())
    other.refresh_from_db()
    assert other.stands == "Done with: 4 of 9 pieces came, the rest was given up"


def test_what_is_promised_goes_another_way_only_when_somebody_says_so(records: Reference) -> None:
    begin("Ines")
    paper("offer", "2026-3", state="accepted")
    item, thing = item_of("part", "G-1"), things_now().of("part", "G-1")
    promise(item, 7, "offer 2026-3", "Ines")
    assert whose(item) == "7 for offer 2026-3, Ives"
    torn = About(why="scrap", says="torn")
    scrap(thing, 1, "", torn)
    with pytest.raises(PromisedError, match="Only 0 of them are free; promised are 7 for offer 2026-3, Ives"):
        scrap(thing, 1, "", torn)
    with pytest.raises(PromisedError, match="Ives"):
        move(thing, 2, "", "B2", MOVE)
    assert held("G-1") == {"": 7}
    scrap(thing, 1, "", torn, even_promised=True)
    move(thing, 2, "", "B2", MOVE, even_promised=True)
    assert held("G-1") == {"": 4, "B2": 2}
    put_in(thing, 3, "A1", RECEIPT)
    with pytest.raises(PromisedError, match="Only 2 of them"):
        undo(newest(why="receipt"), "Wil", "wrong item")
    undo(newest(why="receipt"), "Wil", "wrong item", even_promised=True)
    assert on_hand("G-1") == 6


def test_a_refused_move_says_what_lies_there(records: Reference) -> None:
    begin("Ines")
    with pytest.raises(NotEnoughError, match=r"99 were to be taken, but 8 of .* without a place \(8 on hand in all\)"):
        move(things_now().of("part", "G-1"), 99, "", "B2", MOVE)


def test_another_deed_of_the_same_hour_stays(records: Reference) -> None:
    thing = things_now().of("part", "G-1")
    move(thing, 1, "", "A1", MOVE)
    move(thing, 2, "", "A1", MOVE)
    undo(newest(quantity=1), "Wil", "wrong")
    assert held("G-1") == {"": 6, "A1": 2}
