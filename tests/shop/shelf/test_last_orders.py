"""A supplier stops a line: what is to be taken at the last order, and that it comes to the page to buy."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest
from django.utils import timezone

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import PurchaseOrder, StoppedLine, Supplier, ToldSale
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.buying import Wish, new_order, place, put_on_order, terms_now, write_price
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.last_orders import LastOrder, Notice, last_orders, standing, stop, withdraw
from floatbowl.shop.shelf.ledger import item_of
from floatbowl.shop.shelf.levels_kept import Rule
from floatbowl.shop.shelf.on_hand import all_stands
from floatbowl.shop.shelf.suggesting import what_to_buy
from floatbowl.shop.shelf.things import things_now

TODAY = timezone.localdate()
WASHER = ("part", "W-1")


@pytest.fixture
def supplier(records: Reference) -> Supplier:
    begin("Ines")
    made = Supplier.objects.create(name="Ardwath")
    write_price(made, WASHER, Decimal("0.10"), since=TODAY, who="Ines", pack=10)
    write_price(made, WASHER, Decimal("0.08"), since=TODAY, who="Ines", pack=10, from_pieces=100)
    for month in range(24):
        day = TODAY.replace(day=1) - timedelta(days=10 + 30 * month)
        ToldSale.objects.create(item=item_of(*WASHER), quantity=4, day=day)
    return made


def notice(years: float = 5.0, **told: Decimal | date) -> Notice:
    usual = {
        "order_by": TODAY + timedelta(60),
        "needed_until": TODAY + timedelta(round(365.25 * years)),
        "falls_percent": Decimal(0),
        "short_costs": Decimal("0.40"),
        "left_costs": Decimal("0.10"),
    }
    return Notice(**(usual | told))  # type: ignore[arg-type]


def worked_out() -> LastOrder:
    things = things_now()
    return last_orders(all_stands(things), expected(things), terms_now())[WASHER]


def test_it_lasts_as_often_as_the_losses_say(supplier: Supplier) -> None:
    stop(supplier, WASHER, notice(), "Ines")
    found = worked_out()
    # 4 a month were asked for, 240 in five years; the quiet lines beside it pull what is expected down from that.
    assert 100 < found.mean < 240
    # 0.4 / (0.4 + 0.1): it should last in four of five such times.
    assert found.buy.chance >= 0.8
    assert found.buy.buy % 10 == 0
    assert found.buy.enough <= found.buy.buy + found.have < found.buy.enough + 10
    by_number = {one.outcome.buy: one for one in found.orders}
    assert by_number[found.buy.buy].suggested
    assert by_number[found.buy.buy].paid == f"{found.buy.buy * 0.08:.2f} EUR"
    shares = [one.outcome.runs_out for one in found.orders]
    assert shares == sorted(shares, reverse=True)
    assert by_number[found.buy.buy].outcome.runs_out == pytest.approx(1 - found.buy.chance)


def test_longer_dearer_and_falling(supplier: Supplier) -> None:
    def buy(**told: Decimal) -> int:
        stop(supplier, WASHER, notice(**told), "Ines")
        return worked_out().buy.enough

    usual = buy()
    assert buy(short_costs=Decimal(4)) > usual, "a dearer shortage takes more"
    assert buy(left_costs=Decimal(4)) < usual, "a dearer leftover takes fewer"
    assert buy(falls_percent=Decimal(20)) < usual, "less will be asked for"
    stop(supplier, WASHER, notice(years=10.0), "Ines")
    assert worked_out().buy.enough > usual
    assert StoppedLine.objects.filter(ended_at=None).count() == 1, "what was said before still stands"


def test_it_is_suggested_by_its_supplier_until_it_is_on_order(supplier: Supplier) -> None:
    stop(supplier, WASHER, notice(), "Ines")

    def suggested() -> list[tuple[int, str]]:
        things = things_now()
        groups = what_to_buy(things, all_stands(things), expected(things), terms_now(), Rule())
        return [(line.filled, line.why) for group in groups for line in group.lines if line.thing.key == "W-1"]

    ((pieces, why),) = suggested()
    assert pieces == worked_out().buy.buy
    assert f"Last order by {(TODAY + timedelta(60)).day} " in why
    assert "One too few loses 0.40 EUR" in why
    place(new_order(supplier, [Wish(named=WASHER, pieces=pieces)], "Ines", "sent"))
    assert suggested() == [], "it is suggested again though it is on order"


def test_after_the_day_they_sell_it_no_more(supplier: Supplier) -> None:
    kept = stop(supplier, WASHER, notice(), "Ines")
    assert WASHER in terms_now()
    StoppedLine.objects.filter(pk=kept.pk).update(order_by=TODAY - timedelta(1))
    assert standing() == {}
    assert WASHER not in terms_now()
    withdraw(kept)
    assert WASHER in terms_now()


def test_said_twice_it_stands_once(supplier: Supplier) -> None:
    assert stop(supplier, WASHER, notice(), "Ines").pk == stop(supplier, WASHER, notice(), "Wil").pk
    with pytest.raises(ValueError, match="later day"):
        stop(supplier, WASHER, notice(needed_until=TODAY + timedelta(60)), "Ines")


def test_a_line_goes_onto_the_order_that_is_being_written(supplier: Supplier) -> None:
    first = put_on_order(supplier, Wish(named=WASHER, pieces=50), "Ines", "a")
    again = put_on_order(supplier, Wish(named=WASHER, pieces=120), "Ines", "b")
    assert first.pk == again.pk
    line = again.lines.get()
    assert (line.pieces, line.price) == (120, Decimal("0.08"))
    put_on_order(supplier, Wish(named=WASHER, pieces=120), "Ines", "b")
    assert PurchaseOrder.objects.get().lines.get().pieces == 120
    place(again)
    assert put_on_order(supplier, Wish(named=WASHER, pieces=10), "Ines", "c").pk != first.pk
    with pytest.raises(ValueError, match="1 or more"):
        put_on_order(supplier, Wish(named=WASHER, pieces=0), "Ines", "d")


def test_the_kits_it_goes_into_are_told_beside_it(supplier: Supplier) -> None:
    from floatbowl.shop.shelf.last_orders import worked_out as of

    for month in range(12):
        day = TODAY.replace(day=1) - timedelta(days=10 + 30 * month)
        ToldSale.objects.create(item=item_of("kit", "T-25G"), quantity=1, day=day)
    kept = stop(supplier, WASHER, notice(), "Ines")
    things = things_now()
    outlook = expected(things)
    assert outlook is not None
    found = of(kept, all_stands(things)[WASHER], outlook, terms_now()[WASHER], things.recipes)
    assert found is not None
    line = outlook.line(("kit", "T-25G"))
    assert line is not None
    # Two washers go into each.
    assert found.kits_take == pytest.approx(2 * 60 * outlook.demand.units_a_month[line], rel=0.01)


def test_chances_over_years_are_those_of_the_whole_table(supplier: Supplier) -> None:
    from floatbowl.shelf.demand import demand_over, of_one_line

    outlook = expected(things_now())
    assert outlook is not None
    for line in range(len(outlook.asked.named)):
        alone = demand_over(of_one_line(outlook.demand, line), 30.0).of(0)
        assert np.array_equal(alone, demand_over(outlook.demand, 30.0).of(line))
