"""What was asked, from sales, uses, files and lost enquiries; what is expected of it; what is short; what to buy."""

from __future__ import annotations

import datetime
import itertools
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, InHand, Job, OfficePaper, ReadBack, Supplier, ToldSale, WantedPart
from floatbowl.shop.models.shelf import LedgerLine
from floatbowl.shop.shelf.asked import asked, unsettled_lost
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.buying import terms_now, write_price
from floatbowl.shop.shelf.carrying import what_to_carry
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.ledger import About, item_of, promise, reverse, take
from floatbowl.shop.shelf.levels_kept import Rule
from floatbowl.shop.shelf.on_hand import all_stands
from floatbowl.shop.shelf.planning import Asking, plan
from floatbowl.shop.shelf.suggesting import money_says, what_to_buy
from floatbowl.shop.shelf.things import things_now
from floatbowl.shop.shelf.wanted import open_wants, served, short, wishes

TODAY = timezone.localdate()
LAST_MONTH = TODAY.replace(day=1) - timedelta(days=10)


def sold(kind: str, key: str, quantity: int, day: date, **more: Any) -> None:
    ToldSale.objects.create(item=item_of(kind, key), quantity=quantity, day=day, **more)


def lost(kit: str, day: date, carburettor: str = "k36-118") -> Enquiry:
    at = datetime.datetime.combine(day, datetime.time(12), tzinfo=datetime.UTC)
    enquiry = Enquiry.objects.create(outcome="lost", closed_at=at)
    in_hand = InHand.objects.create(enquiry=enquiry)
    if kit:
        ReadBack.objects.create(
            in_hand=in_hand, carburettor=carburettor, number="K36/118", kit=kit, sentence="-", at=at
        )
    return enquiry


def test_what_went_into_kits_sold_before_the_ledger_was_asked_of_its_parts(records: Reference) -> None:
    sold("kit", "T-25G", 2, LAST_MONTH)
    things = things_now()
    found = asked(things)
    assert found is not None
    for part, quantity in things.recipes["T-25G"].parts:
        assert found.counts["part", part] == {"built into kits": 2 * quantity}


def test_a_kit_whose_parts_the_ledger_saw_taken_asks_for_them_once(records: Reference) -> None:
    begin("Ines")
    part, quantity = things_now().recipes["T-25G"].parts[0]
    count_at("part", part, 9, "", About(who="Ines", why="count"))
    count_at("kit", "T-25G", 3, "", About(who="Ines", why="count"))
    take(item_of("part", part), int(quantity), About(why="taken for a kit"))
    told = ToldSale.objects.create(item=item_of("kit", "T-25G"), quantity=1, day=TODAY)
    told.lines.set(take(item_of("kit", "T-25G"), 1, About(why="sale")))
    found = asked(things_now())
    assert found is not None
    assert found.counts["part", part] == {"built into kits": quantity}


def test_sales_uses_and_lost_enquiries_are_counted_by_month(records: Reference) -> None:
    begin("Ines")
    sold("kit", "T-25G", 2, LAST_MONTH)
    sold("kit", "T-25G", 1, LAST_MONTH - timedelta(days=40))
    lost("T-25G", LAST_MONTH)
    lost("", LAST_MONTH)
    found = asked(things_now())
    assert found is not None
    line = found.line(("kit", "T-25G"))
    assert line is not None
    assert found.orders.monthly()[line].sum() == 4
    assert found.orders.monthly()[line][-1] == 3
    assert dict(found.counts["kit", "T-25G"]) == {"sold": 3, "asked in vain": 1}
    assert unsettled_lost() == 1


def test_a_declined_offer_counts_once_beside_its_lost_enquiry(records: Reference) -> None:
    enquiry = lost("T-25G", LAST_MONTH)
    for which, goods in ((enquiry, "T-25G"), (None, "T-26G")):
        OfficePaper.objects.create(
            kind="offer", number=goods, dated=LAST_MONTH, to_name="-", facts={}, goods=[[0, "kit", goods, 2]],
            total=Decimal(1), currency="EUR", state="declined", enquiry=which,
        )  # fmt: skip
    found = asked(things_now())
    assert found is not None
    assert dict(found.counts["kit", "T-25G"]) == {"asked in vain": 1}
    assert dict(found.counts["kit", "T-26G"]) == {"asked in vain": 1}


def test_a_declined_wish_counts_for_no_more_than_was_ever_sold_in_one_go(records: Reference) -> None:
    begin("Ines")
    sold("part", "G-1", 3, LAST_MONTH)
    take(item_of("part", "W-1"), 4, About(why="sale", document="invoice 1"))
    for number, goods in enumerate((["part", "G-1", 999_999], ["part", "W-1", 50], ["part", "G-1", 2])):
        OfficePaper.objects.create(
            kind="offer", number=str(number), dated=LAST_MONTH, to_name="-", facts={}, goods=[[0, *goods]],
            total=Decimal(1), currency="EUR", state="declined",
        )  # fmt: skip
    found = asked(things_now())
    assert found is not None
    assert dict(found.counts["part", "G-1"]) == {"sold": 3, "asked in vain": 3 + 2}
    assert dict(found.counts["part", "W-1"]) == {"asked in vain": 4}
    assert found.ends == TODAY.replace(day=1)


def test_what_left_in_this_month_only_is_the_record_and_a_reversal_takes_it_back(records: Reference) -> None:
    begin("Ines")
    lines = take(item_of("part", "G-1"), 2, About(why="sale", document="invoice 1"))
    found = asked(things_now())
    assert found is not None
    assert dict(found.counts["part", "G-1"]) == {"sold": 2}
    reverse(lines[0], "Ines")
    assert asked(things_now()) is None


def test_what_left_from_two_places_is_one_order(records: Reference) -> None:
    from floatbowl.shop.shelf.ledger import move

    begin("Ines")
    item = item_of("part", "G-1")
    move(item, 4, "", "A1", About(why="move"))
    take(item, 6, About(why="sale", document="invoice 1"))
    found = asked(things_now())
    assert found is not None
    assert found.orders.quantity.tolist() == [6]


def test_a_superseded_numbers_demand_is_the_new_ones(records: Reference) -> None:
    sold("part", "G-0", 3, LAST_MONTH)
    found = asked(things_now())
    assert found is not None
    assert dict(found.counts["part", "G-1"]) == {"sold": 3}
    assert ("part", "G-0") not in found.counts


def test_more_sold_is_more_expected_and_it_is_said_plainly(records: Reference) -> None:
    for month in range(24):
        sold("part", "G-1", 2, LAST_MONTH - timedelta(days=30 * month))
    sold("part", "W-1", 1, LAST_MONTH)
    found = expected(things_now())
    assert found is not None
    much, little, none = (found.span(("part", key), 4) for key in ("G-1", "W-1", "cord"))
    assert much
    assert little
    assert none
    assert much.mean > little.mean > 0
    assert much.most >= much.mean
    assert much.says == f"expected {much.mean:.0f}, at most {much.most} in 19 of 20 such spans"
    assert 0.5 * 8 < much.mean < 1.5 * 8


def _job(part: str, quantity: float, **more: Any) -> Job:
    job = Job.objects.create(owner="Anselm Pickard", **more)
    WantedPart.objects.create(job=job, name=part, part=part, quantity=quantity, source="outside")
    return job


def test_short_is_what_promises_and_jobs_lack_and_an_offer_is_a_wish(records: Reference) -> None:
    begin("Ines")
    promise(item_of("part", "W-1"), 4, "offer 1", "Ines")
    waits = _job("W-1", 3, promised=TODAY)
    _job("W-1", 1, closed_at=timezone.now())
    OfficePaper.objects.create(
        kind="offer", number="O-2", dated=TODAY, to_name="Ives", facts={"valid_until": str(TODAY)},
        goods=[[0, "kit", "T-25G", 2]], total=Decimal(1), currency="EUR", state="open",
    )  # fmt: skip
    things = things_now()
    how = served(open_wants(), all_stands(things), things)
    assert [(each.want.for_, each.packed, each.build) for each in how] == [
        ("offer 1", 4, 0),
        (f"job {waits.pk}, Anselm Pickard", 1, 0),
    ]
    rows = {row.key: row.quantity for row in short(how)}
    assert rows == {"W-1": 2}
    assert [(each.for_, each.quantity, each.kit) for each in wishes()] == [("offer O-2, Ives", 2, "T-25G")]


def test_an_offer_that_ran_out_waits_for_nothing(records: Reference) -> None:
    OfficePaper.objects.create(
        kind="offer", number="O-2", dated=TODAY, to_name="Ives", goods=[[0, "kit", "T-25G", 2]], state="open",
        facts={"valid_until": str(TODAY - timedelta(days=1))}, total=Decimal(1), currency="EUR",
    )  # fmt: skip
    assert wishes() == []


def test_what_to_buy_is_grouped_by_supplier_and_reaches_the_least_order(records: Reference) -> None:
    begin("Ines")
    for month in range(24):
        sold("part", "W-1", 4, LAST_MONTH - timedelta(days=30 * month))
    supplier = Supplier.objects.create(name="Ardwath", minimum=Decimal(3), lead_days=60)
    write_price(supplier, ("part", "W-1"), Decimal("0.1"), since=TODAY, who="Ines", pack=10)
    _job("G-1", 9)
    things = things_now()
    groups = what_to_buy(things, all_stands(things), expected(things), terms_now(), Rule())
    assert [group.supplier for group in groups] == [supplier, None]
    washer, gasket = groups[0].lines[0], groups[1].lines[0]
    assert washer.thing.key == "W-1"
    assert washer.pieces == washer.level - 5 > 0
    assert washer.filled % 10 == 0
    assert washer.filled * Decimal("0.1") >= 3
    assert "at most" in washer.why
    assert "96 sold" in washer.why
    assert gasket.thing.key == "G-1"
    assert gasket.short == 1
    assert "job" in gasket.why


def test_a_level_above_what_19_of_20_spans_ask_says_why_and_the_sum_is_plain(records: Reference) -> None:
    begin("Ines")
    for month in range(24):
        sold("kit", "T-99", 1, LAST_MONTH - timedelta(days=30 * month))
    sold("part", "W-1", 1, LAST_MONTH - timedelta(days=300))
    supplier = Supplier.objects.create(name="Ardwath", lead_days=30, minimum=Decimal(9))
    write_price(supplier, ("part", "W-1"), Decimal("0.01"), since=TODAY, who="Ines")
    write_price(supplier, ("kit", "T-99"), Decimal(80), since=TODAY, who="Ines")
    _job("W-1", 7)
    things = things_now()
    groups = what_to_buy(things, all_stands(things), expected(things), terms_now(), Rule(filled=0.97))
    lines = {line.thing.key: line for group in groups for line in group.lines}
    washer = lines["W-1"]
    assert washer.span is not None
    assert washer.level > washer.span.most
    assert f"That is above {washer.span.most}, because it is cheap" in washer.why
    assert "Counted in are 2 that are short now, for job" in washer.why
    for line in lines.values():
        if line.span and line.level <= line.span.most:
            assert "because it is cheap" not in line.why
        if line.raised and line.pieces:
            assert f"So {line.pieces} are suggested and {line.filled - line.pieces} more, {line.filled} in" in line.why


@pytest.mark.parametrize("price", ["0.05", "0.5"])
def test_what_lacks_to_the_least_order_is_the_least_order_less_the_goods(records: Reference, price: str) -> None:
    begin("Ines")
    for month in range(24):
        sold("part", "W-1", 4, LAST_MONTH - timedelta(days=30 * month))
    supplier = Supplier.objects.create(name="Ardwath", minimum=Decimal(120), lead_days=60)
    write_price(supplier, ("part", "W-1"), Decimal(price), since=TODAY, who="Ines", pack=5)
    things = things_now()
    (order,) = [
        group.order
        for group in what_to_buy(things, all_stands(things), expected(things), terms_now(), Rule())
        if group.supplier
    ]
    assert order is not None
    assert 0 < order.best.goods < 120
    assert money_says(order, supplier).startswith(f"{Decimal(120) - order.best.goods:.2f} EUR too little")


def test_a_higher_share_is_never_a_lower_level(records: Reference) -> None:
    for month in range(12):
        sold("part", "W-1", 1 + month % 3, LAST_MONTH - timedelta(days=30 * month))
    things = things_now()
    levels = [
        {line.thing.key: line.level for group in what_to_buy(things, {}, expected(things), {}, Rule(filled=share))
         for line in group.lines}
        for share in (0.7, 0.9, 0.97)
    ]  # fmt: skip
    for less, more in itertools.pairwise(levels):
        assert all(more.get(key, 0) >= level for key, level in less.items())


def test_what_is_waited_for_is_built_first_and_no_part_is_used_twice(records: Reference) -> None:
    begin("Ines")
    count_at("kit", "T-25G", 3, "", About(why="count"))
    promise(item_of("kit", "T-25G"), 3, "offer O-2", "Ines")
    count_at("kit", "T-25G", 1, "", About(why="count"))
    things = things_now()
    found = plan(Asking(hours=None), things, all_stands(things), None)
    assert found.plan.best.build == (("T-25G", 2),)  # one lies packed, two are missing, washers are enough for two
    assert found.plan.proven
    short_of_time = plan(Asking(hours=0.1, minutes=6), things, all_stands(things), None)
    assert short_of_time.plan.best.build == (("T-25G", 1),)


def test_what_to_carry_counts_read_back_enquiries(records: Reference) -> None:
    assert what_to_carry(things_now(), {}, 12) is None
    for carburettor, kit in (("k36-118", "T-25G"), ("k36-118", "T-26G"), ("k36-113", "T-26G")):
        lost(kit, TODAY, carburettor)
    things = things_now()
    found = what_to_carry(things, all_stands(things), 12)
    assert found is not None
    assert [one.kits for one in found.sets] == [("T-26G",)] * 3
    assert [(one.kit, one.adds) for one in found.more] == [("T-26G", 1)]
    assert len(found.lost) == 3


@pytest.mark.parametrize("months", [1, 4])
def test_nothing_asked_is_nothing_expected(records: Reference, months: int) -> None:
    assert expected(things_now()) is None
    assert not LedgerLine.objects.exists()
