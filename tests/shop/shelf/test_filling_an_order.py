"""An order reaches the supplier's minimum with whatever of theirs is wanted soonest for its money, and says why."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Supplier, ToldSale
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.buying import terms_now, write_price
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.ledger import About, item_of, write
from floatbowl.shop.shelf.levels_kept import Rule
from floatbowl.shop.shelf.on_hand import all_stands
from floatbowl.shop.shelf.suggesting import Group, money_says, what_to_buy
from floatbowl.shop.shelf.things import things_now

TODAY = timezone.localdate()
WASHER, GASKET, CORD = ("part", "W-1"), ("part", "G-1"), ("part", "cord")


@pytest.fixture
def supplier(records: Reference) -> Supplier:
    """Sells three things; of gaskets and cord enough lie on the shelf, and gaskets go quickly."""
    begin("Ines")
    made = Supplier.objects.create(name="Ardwath", minimum=Decimal(20), lead_days=30)
    for named, price, pack in ((WASHER, "0.10", 10), (GASKET, "0.90", 1), (CORD, "2.00", 1)):
        write_price(made, named, Decimal(price), since=TODAY, who="Ines", pack=pack)
    write_price(made, GASKET, Decimal("0.80"), since=TODAY, who="Ines", from_pieces=15)
    for month in range(24):
        day = TODAY.replace(day=1) - timedelta(days=10 + 30 * month)
        ToldSale.objects.create(item=item_of(*WASHER), quantity=4, day=day)
        ToldSale.objects.create(item=item_of(*GASKET), quantity=3, day=day)
    write(item_of(*GASKET), 12, About(why="receipt"))
    write(item_of(*CORD), 200, About(why="receipt"))
    return made


def group() -> Group:
    things = things_now()
    (found,) = what_to_buy(things, all_stands(things), expected(things), terms_now(), Rule())
    return found


def test_a_line_that_was_not_suggested_fills_the_order(supplier: Supplier) -> None:
    found = group()
    assert found.order is not None
    assert found.order.best.goods >= 20
    assert found.order.proven
    lines = {line.thing.key: line for line in found.lines}
    assert set(lines) == {"W-1", "G-1"}, "so much cord lies there that more would lie for years"
    gasket = lines["G-1"]
    assert gasket.pieces == 0 < gasket.filled
    assert "more to fill the order: expected to be wanted between" in gasket.why
    assert "soonest for their money" in gasket.why
    if gasket.filled >= 15:
        assert "In that number one costs 0.10 EUR less." in gasket.why
    assert "Reaches the least order of 20.00 EUR" in money_says(found.order, supplier)


def test_nothing_is_raised_where_nothing_is_lacking(supplier: Supplier) -> None:
    Supplier.objects.update(minimum=Decimal(0))
    assert {line.thing.key for line in group().lines} == {"W-1"}


def test_freight_that_falls_away_is_worth_a_few_pieces_more(supplier: Supplier) -> None:
    Supplier.objects.update(minimum=Decimal(0), freight=Decimal(12), freight_free_from=Decimal(8))
    found = group()
    assert found.order is not None
    assert found.order.best.freight == 0
    assert found.order.best.goods >= 8
    supplier.refresh_from_db()
    assert "no freight is paid, which saves 12.00 EUR" in money_says(found.order, supplier)
    Supplier.objects.update(freight=Decimal("0.01"))
    assert {line.thing.key for line in group().lines} == {"W-1"}, "a penny of freight is not worth a pound of gaskets"
