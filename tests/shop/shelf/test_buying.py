"""Purchase orders: placed, received in parts, given up, cancelled; prices kept with their day."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import PurchaseOrder, Supplier, SupplierPrice
from floatbowl.shop.models.buying import CANCELLED, DONE, PLACED
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf.buying import (
    OrderStateError,
    Wish,
    cancel,
    goods,
    new_order,
    place,
    said,
    terms_now,
    terms_to_come,
    write_price,
)
from floatbowl.shop.shelf.price_lists import bring_in_prices
from floatbowl.shop.shelf.receiving import give_up, receive

TODAY = timezone.localdate()
WASHER, GASKET = ("part", "W-1"), ("part", "G-1")


@pytest.fixture
def supplier(records: Reference) -> Supplier:
    made = Supplier.objects.create(
        name="Ardwath", minimum=Decimal(3), freight=Decimal("9.5"), freight_free_from=Decimal(50)
    )
    write_price(made, WASHER, Decimal("0.10"), since=TODAY, who="Ines", pack=10, number="AW-1")
    write_price(made, WASHER, Decimal("0.08"), since=TODAY, who="Ines", pack=10, from_pieces=100, number="AW-1")
    return made


@pytest.fixture
def order(supplier: Supplier) -> PurchaseOrder:
    return new_order(supplier, [Wish(named=WASHER, pieces=100), Wish(named=GASKET, pieces=4)], "Ines", "sent")


def on_order(key: str) -> int:
    return int(Item.objects.get(key=key).on_order)


def test_an_order_takes_the_price_of_its_quantity_and_the_day_it_is_from(order: PurchaseOrder) -> None:
    washer, gasket = order.lines.order_by("pk")
    assert (washer.price, washer.priced_on, washer.number) == (Decimal("0.08"), TODAY, "AW-1")
    assert gasket.price is None
    assert goods(order) == 8
    assert order.freight == Decimal("9.5")


def test_sent_twice_is_one_order_and_placed_twice_is_on_order_once(supplier: Supplier, order: PurchaseOrder) -> None:
    assert new_order(supplier, [Wish(named=WASHER, pieces=1)], "Ines", "sent").pk == order.pk
    assert on_order("W-1") == 0
    place(order)
    place(order)
    assert on_order("W-1") == 100


def test_part_receipts_are_ledger_lines_and_lower_what_is_on_order(order: PurchaseOrder) -> None:
    place(order)
    washer, gasket = order.lines.order_by("pk")
    receive(washer, 60, "A1", "Wil", "first")
    receive(washer, 60, "A1", "Wil", "first")
    line = LedgerLine.objects.get(why="receipt")
    assert (line.quantity, line.document, line.unit_cost) == (60, f"purchase order {order.pk}", Decimal("0.08"))
    assert (on_order("W-1"), Item.objects.get(key="W-1").on_hand) == (40, 65)
    receive(washer, 45, "A1", "Wil", "second", even_more=True)
    assert on_order("W-1") == 0
    assert give_up(gasket) == 4
    order.refresh_from_db()
    assert (order.state, on_order("G-1")) == (DONE, 0)


def test_what_has_come_is_not_cancelled_and_what_has_not_is(supplier: Supplier, order: PurchaseOrder) -> None:
    place(order)
    receive(order.lines.order_by("pk")[0], 1, "", "Wil", "one")
    with pytest.raises(OrderStateError, match="some of it is here"):
        cancel(order)
    other = place(new_order(supplier, [Wish(named=WASHER, pieces=7)], "Ines", "other"))
    cancel(other)
    other.refresh_from_db()
    assert (other.state, on_order("W-1")) == (CANCELLED, 99)
    with pytest.raises(OrderStateError, match="cancelled"):
        place(other)


def test_nothing_comes_of_an_order_that_was_not_placed(order: PurchaseOrder) -> None:
    with pytest.raises(OrderStateError, match="being written"):
        receive(order.lines.order_by("pk")[0], 1, "", "Wil", "one")
    assert order.state != PLACED
    with pytest.raises(ValueError, match="nothing is on the order"):
        new_order(order.supplier, [Wish(named=WASHER, pieces=0)], "Ines", "empty")


def test_a_newer_list_takes_the_place_of_an_older_one_and_the_old_price_stays_on_record(supplier: Supplier) -> None:
    SupplierPrice.objects.update(since=TODAY - timedelta(days=1))
    assert write_price(supplier, WASHER, Decimal("0.12"), since=TODAY, who="Ines", pack=10)
    assert not write_price(supplier, WASHER, Decimal("0.12"), since=TODAY, who="Ines", pack=10)
    (now,) = terms_now()[WASHER]
    assert now.breaks == ((1, Decimal("0.12")),)
    assert SupplierPrice.objects.count() == 3
    with pytest.raises(TypeError):
        SupplierPrice.objects.latest("pk").save()


def test_a_price_of_a_day_to_come_holds_from_that_day(supplier: Supplier) -> None:
    later = TODAY + timedelta(days=400)
    write_price(supplier, WASHER, Decimal("0.99"), since=later, who="Ines")
    write_price(supplier, GASKET, Decimal(2), since=later, who="Ines")
    (now,) = terms_now()[WASHER]
    assert now.breaks == ((1, Decimal("0.10")), (100, Decimal("0.08")))
    assert GASKET not in terms_now()
    assert [(one.named, one.since, one.price(1)) for one in terms_to_come(supplier)] == [
        (WASHER, later, Decimal("0.99")),
        (GASKET, later, Decimal(2)),
    ]
    assert [one.named for one in terms_to_come(named=GASKET)] == [GASKET]
    made = new_order(supplier, [Wish(named=WASHER, pieces=10)], "Ines", "later")
    assert made.lines.get().price == Decimal("0.10")


def test_a_list_that_changes_one_price_keeps_the_others_of_that_item(supplier: Supplier) -> None:
    SupplierPrice.objects.update(since=TODAY - timedelta(days=9))
    text = b"Article no;Price EUR;Pack;From quantity\nAW-1;0.10;10;1\nAW-1;0.07;10;100\n"
    answers: dict[str, str] = {}
    found = bring_in_prices("list.csv", text, "Ardwath", answers, "Ines", TODAY)
    while hasattr(found, "questions"):
        answers |= {
            q.key: next((c.answer for c in q.choices if c.answer in ("point", "one")), q.choices[0].answer)
            for q in found.questions
        }
        found = bring_in_prices("list.csv", text, "Ardwath", answers, "Ines", TODAY)
    (now,) = terms_now()[WASHER]
    assert now.breaks == ((1, Decimal("0.10")), (100, Decimal("0.07")))
    again = bring_in_prices("list.csv", text, "Ardwath", answers, "Ines", TODAY + timedelta(days=5))
    assert (again.new, again.known) == (0, 2)


def test_the_cheapest_supplier_comes_first(supplier: Supplier) -> None:
    other = Supplier.objects.create(name="Fellmarch")
    write_price(other, WASHER, Decimal("0.09"), since=TODAY, who="Ines")
    assert [one.supplier.name for one in terms_now()[WASHER]] == ["Fellmarch", "Ardwath"]


def test_a_price_list_is_asked_about_then_kept_once(supplier: Supplier) -> None:
    text = b"Article no;Price EUR;Pack\nAW-1;0,105;10\nG-1;1,250;1\nX-9;3,000;1\n"
    asked = bring_in_prices("list.csv", text, "ardwath", {}, "Ines", TODAY)
    while hasattr(asked, "questions"):
        answers = {
            q.key: next(c.answer for c in q.choices if c.answer in ("comma", "one", q.choices[0].answer))
            for q in asked.questions
        }
        answers |= {q.key: "comma" for q in asked.questions if q.key == "decimal mark"}
        asked = bring_in_prices("list.csv", text, "ardwath", answers, "Ines", TODAY)
    assert (asked.new, asked.known) == (2, 0)
    assert any("X-9" in line for line in asked.left_out)
    assert terms_now(supplier)[GASKET][0].price(1) == Decimal("1.25")


def test_sums_are_said_with_their_currency() -> None:
    assert said(Decimal("1234.5000"), "GBP") == "1,234.50 GBP"
    assert said(Decimal("120.0000"), "JPY") == "120 JPY"
