"""Kits, what to build, carry and buy, suppliers and orders, on their pages."""

from __future__ import annotations

import csv
import io
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone
from tests.pages.shelf.conftest import Shelf, words

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, InHand, Job, PurchaseOrder, ReadBack, Supplier, ToldSale, WantedPart
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf.buying import write_price
from floatbowl.shop.shelf.ledger import item_of

TODAY = timezone.localdate()
#: Words of the field that a person at the shelf should not have to know.
JARGON = re.compile(
    r"binomial|quantile|poisson|posterior|tsb|\bsba\b|bootstrap|lead time|stochastic|optimi", re.IGNORECASE
)
PAGES = ("", "kits/", "build/", "buy/", "orders/", "suppliers/", "carry/", "still/", "part/W-1/", "kit/T-25G/")


@pytest.fixture
def supplier(shelf: Shelf) -> Supplier:
    made = Supplier.objects.create(name="Ardwath", minimum=Decimal(3), lead_days=60)
    write_price(made, ("part", "W-1"), Decimal("0.1"), since=TODAY, who="Ines", pack=10, number="=AW-1")
    item = item_of("part", "W-1")
    for month in range(24):
        day = TODAY.replace(day=1) - timedelta(days=10 + 30 * month)
        ToldSale.objects.create(item=item, quantity=4, day=day)
    return made


def boxes(page: str) -> dict[str, list[str]]:
    """What the order's form on the page to buy would send."""
    form = page.split('action="/shelf/buy/order/', 1)[1].split("</form>", 1)[0]
    found: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]+>", form):
        name, value = (re.search(rf'{what}="([^"]*)"', tag) for what in ("name", "value"))
        if name and value and name[1] != "csrfmiddlewaretoken":
            found.setdefault(name[1], []).append(value[1])
    return found


def test_no_page_speaks_in_terms_of_the_trade_of_forecasting(shelf: Shelf, supplier: Supplier) -> None:
    for address in PAGES:
        assert not JARGON.search(shelf.see(address)), (address, JARGON.search(shelf.see(address)))
    assert "at most" in shelf.see("part/W-1/")
    assert "in 19 of 20 such spans" in shelf.see("buy/")


def test_every_page_has_something_to_say_before_there_is_anything(db: None) -> None:
    client = Client(SERVER_NAME="localhost")
    for address in ("", "kits/", "build/", "buy/", "orders/", "suppliers/", "carry/", "still/"):
        answer = client.get(f"/shelf/{address}")
        assert answer.status_code == 200, address
        assert 'class="note"' in answer.content.decode(), address


def test_kits_say_how_many_could_go_out_and_what_holds_them(shelf: Shelf) -> None:
    page = shelf.see("kits/")
    assert "Gasket kit T-25G, gaskets 1 2 Seat washer" in page
    assert "its parts are not recorded" in page
    assert "Nothing is waited for" in page
    job = Job.objects.create(owner="Anselm Pickard")
    WantedPart.objects.create(job=job, name="Seat washer", part="W-1", quantity=9, source="outside")
    assert f"4 Seat washer for job {job.pk}, Anselm Pickard" in shelf.see("kits/")


def test_the_plan_is_built_by_a_button_once(shelf: Shelf) -> None:
    day = TODAY.replace(day=1) - timedelta(days=10)
    for month in range(12):
        ToldSale.objects.create(item=item_of("kit", "T-25G"), quantity=3, day=day - timedelta(days=30 * month))
    page = shelf.see("build/", hours="2")
    assert "It is proven that no plan does better" in page
    assert "The simple rule" in page
    for _ in range(2):
        shelf.post("build/now/", sent="a" * 32, kit=["T-25G"], count=["2"])
    assert Item.objects.get(key="T-25G").on_hand == 3
    answer = shelf.post("build/now/", sent="b" * 32, kit=["T-25G"], count=["5"])
    assert answer.status_code == 422
    assert "Seat washer: 10 wanted, 1 free" in words(answer.content.decode())
    assert 'name="count" inputmode="numeric" value="5"' in answer.content.decode(), "what was typed was not kept"
    assert "Write a number from 0 to 1000" in shelf.see("build/", hours="many")


def test_what_to_carry_from_what_was_read_back(shelf: Shelf) -> None:
    assert "No enquiry of that time" in shelf.see("carry/")
    enquiry = Enquiry.objects.create(outcome="lost", closed_at=timezone.now())
    in_hand = InHand.objects.create(enquiry=enquiry)
    ReadBack.objects.create(in_hand=in_hand, carburettor="k36-113", number="-", kit="T-26G", sentence="-")
    page = shelf.see("carry/")
    assert "1 enquiry had a carburettor read back; 1 of them was lost" in page
    assert "1 kit &nbsp;answers 90 in 100" in page
    assert f"Enquiry {enquiry.pk}" in page


def test_from_a_suggestion_to_goods_on_the_shelf(shelf: Shelf, supplier: Supplier) -> None:
    page = shelf.client.get("/shelf/buy/").content.decode()
    assert "96 sold" in words(page)
    assert "Reaches the least order of 3.00 EUR" in words(page)
    sends = boxes(page)
    for _ in range(2):
        answer = shelf.client.post("/shelf/buy/order/", sends, follow=True)
    order = PurchaseOrder.objects.get()
    assert answer.redirect_chain[-1][0] == f"/shelf/orders/{order.pk}/"
    shelf.post(f"orders/{order.pk}/do/", do="place")
    line = order.lines.get()
    assert Item.objects.get(key="W-1").on_order == line.pieces
    told = {"sent": "c" * 32, "pieces": "6", "place": "A1", "do": "receive"}
    for _ in range(2):
        shelf.post(f"orders/{order.pk}/line/{line.pk}/", **told)
    item = Item.objects.get(key="W-1")
    assert (item.on_hand, item.on_order) == (11, line.pieces - 6)
    assert f"6 of {line.pieces} here, {line.pieces - 6} to come" in shelf.see(f"orders/{order.pk}/")
    shelf.post(f"orders/{order.pk}/line/{line.pk}/", do="give-up")
    order.refresh_from_db()
    assert order.state == "done"
    assert f"{line.pieces - 6} given up" in shelf.see(f"orders/{order.pk}/")


def test_an_order_is_changed_while_it_is_written_and_then_no_more(shelf: Shelf, supplier: Supplier) -> None:
    shelf.client.post("/shelf/buy/order/", {"supplier": supplier.pk, "kind": ["part"], "key": ["W-1"], "count": ["20"]})
    order = PurchaseOrder.objects.get()
    line = order.lines.get()
    told = {
        f"pieces-{line.pk}": "30",
        f"price-{line.pk}": "0,12",
        "freight": "4.5",
        "wanted_by": "2026-12-24",
        "note": "soon",
    }
    wrong = shelf.post(f"orders/{order.pk}/change/", **told | {f"pieces-{line.pk}": "some"})
    assert wrong.status_code == 422
    assert 'value="some"' in wrong.content.decode()
    assert 'value="4.5"' in wrong.content.decode()
    assert "Kept" in words(shelf.post(f"orders/{order.pk}/change/", **told).content.decode())
    line.refresh_from_db()
    assert (line.pieces, line.price) == (30, Decimal("0.12"))
    both_ways = shelf.post(f"orders/{order.pk}/change/", **told | {f"price-{line.pk}": "1,250"})
    assert "can be read two ways" in words(both_ways.content.decode())
    shelf.post(f"orders/{order.pk}/do/", do="place")
    assert shelf.post(f"orders/{order.pk}/change/", **told).status_code == 422


def test_an_order_as_pdf_and_as_a_table_that_is_no_formula(shelf: Shelf, supplier: Supplier) -> None:
    shelf.client.post("/shelf/buy/order/", {"supplier": supplier.pk, "kind": ["part"], "key": ["W-1"], "count": ["20"]})
    order = PurchaseOrder.objects.get()
    pdf = shelf.client.get(f"/shelf/orders/{order.pk}.pdf")
    assert pdf.content.startswith(b"%PDF")
    rows = list(csv.DictReader(io.StringIO(shelf.client.get(f"/shelf/orders/{order.pk}.csv").content.decode())))
    assert rows[0]["their number"] == "'=AW-1"
    assert (rows[0]["pieces"], rows[0]["price of one"], rows[0]["total"], rows[0]["currency"]) == (
        "20",
        "0.1",
        "2",
        "EUR",
    )


def test_an_empty_order_and_a_number_that_is_none_are_refused(shelf: Shelf, supplier: Supplier) -> None:
    for count, says in (("0", "nothing is on the order"), ("x", "is no number of pieces")):
        told = {"supplier": supplier.pk, "kind": ["part"], "key": ["W-1"], "count": [count]}
        answer = shelf.client.post("/shelf/buy/order/", told)
        assert answer.status_code == 422
        assert says in words(answer.content.decode())
    assert not PurchaseOrder.objects.exists()


def test_suppliers_and_prices_are_written_down(records: Reference) -> None:
    shelf = Shelf()
    assert "Write the supplier" in words(shelf.post("suppliers/", name="").content.decode())
    told = {"name": "Ardwath", "currency": "gbp", "minimum": "40", "freight": "0", "lead_days": "21"}
    shelf.post("suppliers/", **told)
    supplier = Supplier.objects.get()
    assert supplier.currency == "GBP"
    price = {"item": "w-1", "price": "0.25", "pack": "10", "from_pieces": "1", "since": str(TODAY), "number": "A-1"}
    for wrong, says in (
        ({"item": "washer"}, "Near it: W-1 (part, Seat washer)"),
        ({"price": "free"}, "Write a sum such as"),
        ({"price": "0"}, "above 0"),
        ({"pack": "ten"}, "whole number"),
        ({"since": "soon"}, "year-month-day"),
    ):
        answer = shelf.post(f"suppliers/{supplier.pk}/price/", **price | wrong)
        assert answer.status_code == 422, wrong
        assert says in words(answer.content.decode()), wrong
    assert "is kept" in words(shelf.post(f"suppliers/{supplier.pk}/price/", **price).content.decode())
    assert "known already" in words(shelf.post(f"suppliers/{supplier.pk}/price/", **price).content.decode())
    assert "0.25 GBP" in shelf.see("part/W-1/")


def test_what_lies_still_by_the_shops_own_rules(shelf: Shelf) -> None:
    assert "Nothing lies still" in shelf.see("still/")
    LedgerLine.objects.update(at=timezone.now() - timedelta(days=900))
    page = shelf.see("still/")
    assert "3 lines, 8.80 EUR tied up" in page  # 8 gaskets at 0.90, 5 washers at 0.10, a kit of 0.90 + 2 x 0.10
    assert "Bowl gasket 8 pieces, 7.20 EUR never asked for; on the shelf for 30 months" in page
    ToldSale.objects.create(item=item_of("part", "G-1"), quantity=1, day=TODAY)
    assert "Bowl gasket" not in shelf.see("still/", years="50")
    assert "Nothing lies still" in shelf.see("still/", months="40")


def test_what_takes_its_place_is_told_on_the_old_number(shelf: Shelf) -> None:
    page = shelf.see("part/G-0/")
    assert "What will do instead Bowl gasket takes its place, 8 free" in page
    assert "What will do instead" not in shelf.see("part/G-1/")


def test_more_money_on_the_shelf_never_fills_less(shelf: Shelf, supplier: Supplier) -> None:
    from floatbowl.shop.shelf.buying import terms_now
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.levels_kept import fill_against_money
    from floatbowl.shop.shelf.things import things_now

    outlook = expected(things_now())
    assert outlook is not None
    points = fill_against_money(outlook, terms_now(), things_now(), 1.0)
    assert points == tuple(sorted(points, key=lambda point: (point.money, point.filled)))
    assert [point.filled for point in points] == sorted(point.filled for point in points)
    assert "What more money on the shelf would fill" in shelf.see("buy/")


def test_a_line_of_unknown_cost_is_not_stocked_deeper_than_it_needs(shelf: Shelf, supplier: Supplier) -> None:
    for month in range(24):
        day = TODAY.replace(day=1) - timedelta(days=10 + 30 * month)
        ToldSale.objects.create(item=item_of("part", "cord"), quantity=3, day=day)
    page = shelf.see("buy/", filled="99")
    told = re.search(r"at most (\d+) in 19 of 20 such spans; keep up to (\d+)\. [^.]*\. No cost is known", page)
    assert told, page
    assert int(told[2]) <= int(told[1])
