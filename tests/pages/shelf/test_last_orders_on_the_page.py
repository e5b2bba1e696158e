"""The last order of a line, on the item's page and from there onto an order."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from tests.pages.shelf.conftest import Shelf, words

from floatbowl.shop.models import PurchaseOrder, StoppedLine, Supplier, SupplierPrice, ToldSale
from floatbowl.shop.shelf.buying import write_price
from floatbowl.shop.shelf.ledger import item_of

TODAY = timezone.localdate()
SOON, LATER = str(TODAY + timedelta(60)), str(TODAY + timedelta(1826))


@pytest.fixture
def supplier(shelf: Shelf) -> Supplier:
    made = Supplier.objects.create(name="Ardwath")
    write_price(made, ("part", "W-1"), Decimal("0.10"), since=TODAY, who="Ines", pack=10)
    for month in range(24):
        day = TODAY.replace(day=1) - timedelta(days=10 + 30 * month)
        ToldSale.objects.create(item=item_of("part", "W-1"), quantity=4, day=day)
    return made


def stop(shelf: Shelf, who: Supplier, item: str = "part/W-1", **told: str) -> Any:
    usual = {"supplier": str(who.pk), "order_by": SOON, "needed_until": LATER, "falls": "5"}
    return shelf.post(f"stop/{item}/", **(usual | {"short_costs": "0.40", "left_costs": "0.10"} | told))


def test_how_many_to_take_why_and_onto_an_order(shelf: Shelf, supplier: Supplier) -> None:
    page = words(stop(shelf, supplier).content.decode())
    take = re.search(r"Take (\d+) , ([\d.]+) EUR, in packs of 10", page)
    assert take, page
    assert float(take[2]) == pytest.approx(int(take[1]) * 0.1)
    for said in ("at most", "One too few loses 0.40 EUR", "one left over 0.10 EUR", "Runs out, of 100", "Left over"):
        assert said in page
    assert "Last order there is." in shelf.see("buy/")
    stopped = StoppedLine.objects.get()
    answer = shelf.post(f"last-order/{stopped.pk}/put/", pieces=take[1], sent="a" * 32)
    assert f"{take[1]} of Seat washer stand on order" in words(answer.content.decode())
    shelf.post(f"last-order/{stopped.pk}/put/", pieces=take[1], sent="a" * 32)
    assert PurchaseOrder.objects.get().lines.get().pieces == int(take[1])


def test_they_sell_it_after_all(shelf: Shelf, supplier: Supplier) -> None:
    stop(shelf, supplier)
    stopped = StoppedLine.objects.get()
    shelf.post(f"last-order/{stopped.pk}/withdraw/")
    assert "Ardwath stops it" not in shelf.see("part/W-1/")
    answer = shelf.post(f"last-order/{stopped.pk}/put/", pieces="5", sent="b" * 32)
    assert answer.status_code == 422
    assert not PurchaseOrder.objects.exists()


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"supplier": ""}, "Choose who stops it"),
        ({"order_by": ""}, "the last day on which they take an order"),
        ({"order_by": str(TODAY - timedelta(1))}, "That day is over"),
        ({"needed_until": SOON}, "write a later day"),
        ({"order_by": "31.3.2030"}, "year-month-day"),
        ({"short_costs": "0"}, "a sum above nothing"),
        ({"left_costs": "much"}, "a sum such as"),
        ({"falls": "130"}, "from 0 to 99"),
    ],
)
def test_what_cannot_be_stands_beside_its_field(
    shelf: Shelf, supplier: Supplier, told: dict[str, str], says: str
) -> None:
    answer = stop(shelf, supplier, **told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in words(page)
    assert 'name="left_costs" inputmode="decimal" autocomplete="off" value="' + told.get("left_costs", "0.10") in page
    assert not StoppedLine.objects.exists()


def test_a_line_whose_price_nobody_knows_asks_for_it(shelf: Shelf, supplier: Supplier) -> None:
    assert "No price of Ardwath is known" in words(stop(shelf, supplier, "part/G-1").content.decode())
    page = words(stop(shelf, supplier, "part/G-1", price="0.95").content.decode())
    assert "Ardwath stops it" in page
    assert SupplierPrice.objects.get(item__key="G-1").price == Decimal("0.95")


def test_without_any_past_it_says_what_is_missing(shelf: Shelf) -> None:
    supplier = Supplier.objects.create(name="Ardwath")
    page = words(stop(shelf, supplier, price="0.10").content.decode())
    assert "nothing was ever asked of the shelf" in page
    assert "Bring in past sales" in page
