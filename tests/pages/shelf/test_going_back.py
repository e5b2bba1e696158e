"""On the pages: what goes back with what, what goes back through its own page, and what is promised."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from tests.pages.shelf.conftest import Shelf, words

from floatbowl.shop.models import OfficePaper, PurchaseOrder, Supplier
from floatbowl.shop.models.shelf import Holding, Item, LedgerLine
from floatbowl.shop.shelf.buying import Wish, new_order, place, write_price
from floatbowl.shop.shelf.ledger import About, item_of, promise, take

TODAY = timezone.localdate()
GASKET, KIT = "part/G-1", "kit/T-25G"


def on_hand(key: str) -> int:
    return int(Item.objects.get(key=key).on_hand)


def paper(kind: str, number: str, **more: object) -> OfficePaper:
    return OfficePaper.objects.create(
        kind=kind, number=number, dated=TODAY, to_name="Ives", facts={}, total=Decimal(1), currency="EUR", **more
    )


def test_a_build_says_what_goes_back_with_it_and_all_of_it_does(shelf: Shelf) -> None:
    shelf.do("build", KIT, pieces="2", place="K1")
    page = shelf.see(f"{KIT}/")
    assert "With it goes back what was written with it: -2 Bowl gasket without a place; -4 Seat washer" in page
    assert "written with it: -4 Seat washer without a place; +2 Gasket kit at K1" in shelf.see(f"{GASKET}/")
    line = LedgerLine.objects.get(why="taken for a kit", item__key="G-1")
    answer = words(shelf.post(f"reverse/{line.pk}/", says="miscounted").content.decode())
    assert "is reversed, and 2 more that were written with it" in answer
    assert (on_hand("T-25G"), on_hand("G-1"), on_hand("W-1")) == (1, 8, 5)


def test_a_sale_on_an_invoice_has_no_button_but_a_way_to_its_invoice(shelf: Shelf) -> None:
    invoice = paper("invoice", "2026-7")
    (line,) = take(item_of("part", "G-1"), 2, About(why="sale", document="invoice 2026-7"))
    page = shelf.client.get(f"/shelf/{GASKET}/").content.decode()
    assert f'<a href="/office/{invoice.pk}/">Credit invoice 2026-7</a>' in page
    assert f"Reverse line {line.pk}" not in page
    refused = shelf.post(f"reverse/{line.pk}/", says="wrong")
    assert refused.status_code == 422
    assert "Credit the invoice instead" in words(refused.content.decode())
    assert on_hand("G-1") == 6


@pytest.mark.parametrize(("deed", "told"), [("scrap", {"says": "torn"}), ("move", {"source": ""})])
def test_what_is_promised_is_warned_of_with_whose_it_is_and_a_tick(
    shelf: Shelf, deed: str, told: dict[str, str]
) -> None:
    paper("offer", "2026-3", state="accepted")
    promise(item_of("part", "G-1"), 7, "offer 2026-3", "Ines")
    told |= {"pieces": "2", "place": "" if deed == "scrap" else "B2"}
    answer = shelf.do(deed, GASKET, **told)
    assert answer.status_code == 422
    assert "Only 1 of them are free; promised are 7 for offer 2026-3, Ives. Do it all the same" in words(
        answer.content.decode()
    )
    assert dict(Holding.objects.filter(item__key="G-1").values_list("place", "quantity")) == {"": 8}
    assert shelf.do(deed, GASKET, even_promised="yes", **told).status_code == 200
    assert on_hand("G-1") == (6 if deed == "scrap" else 8)


def test_a_receipt_that_is_promised_goes_back_with_a_tick(shelf: Shelf) -> None:
    shelf.do("receive", GASKET, pieces="4", place="A1")
    promise(item_of("part", "G-1"), 12, "offer 2026-3", "Ines")
    line = LedgerLine.objects.get(why="receipt")
    warned = words(shelf.post(f"reverse/{line.pk}/", says="another order's").content.decode())
    assert "Only 0 of them are free; promised are 12 for offer 2026-3. Do it all the same" in warned
    shelf.post(f"reverse/{line.pk}/", says="another order's", even_promised="yes")
    assert on_hand("G-1") == 8


def test_more_promised_than_there_is_is_short_and_never_less_than_nothing_free(shelf: Shelf) -> None:
    promise(item_of("part", "G-1"), 7, "offer 2026-3", "Ines")
    shelf.do("count", GASKET, pieces="6", place="")
    for page in (shelf.see(f"{GASKET}/"), shelf.see("", q="bowl gasket"), shelf.see(f"{KIT}/")):
        assert "short by 1" in page
        assert " -1 " not in page.split("Ledger")[0]


@pytest.fixture
def order(shelf: Shelf) -> PurchaseOrder:
    supplier = Supplier.objects.create(name="Ardwath")
    return place(new_order(supplier, [Wish(named=("part", "W-1"), pieces=50)], "Ines", "sent"))


def test_more_than_ordered_is_asked_and_a_reversed_receipt_is_to_come_again(shelf: Shelf, order: PurchaseOrder) -> None:
    line = order.lines.get()
    told = {"pieces": "80", "place": "A1", "do": "receive", "sent": "d" * 32}
    asked = shelf.post(f"orders/{order.pk}/line/{line.pk}/", **told)
    assert asked.status_code == 422
    assert "80 came, 50 were to come: tick to take them in all the same" in words(asked.content.decode())
    assert 'value="80"' in asked.content.decode()
    shelf.post(f"orders/{order.pk}/line/{line.pk}/", even_more="yes", **told)
    assert "80 of 50 here" in shelf.see(f"orders/{order.pk}/")
    assert "All here" in shelf.see(f"orders/{order.pk}/")
    shelf.post(f"reverse/{LedgerLine.objects.get(why='receipt').pk}/", says="another order's")
    page = shelf.see(f"orders/{order.pk}/")
    assert "0 of 50 here, 50 to come" in page
    assert "Placed" in page
    assert Item.objects.get(key="W-1").on_order == 50


def test_an_order_of_which_everything_was_given_up_is_not_all_here(shelf: Shelf, order: PurchaseOrder) -> None:
    shelf.post(f"orders/{order.pk}/line/{order.lines.get().pk}/", do="give-up")
    for page in (shelf.see(f"orders/{order.pk}/"), shelf.see("orders/")):
        assert "iven up: nothing came" in page
        assert "ll here" not in page


def test_a_price_to_come_is_told_with_its_day_and_not_used(shelf: Shelf) -> None:
    supplier = Supplier.objects.create(name="Ardwath")
    write_price(supplier, ("part", "G-1"), Decimal("1.50"), since=TODAY, who="Ines")
    later = TODAY.replace(year=TODAY.year + 2, month=1, day=1)
    told = {"item": "G-1", "price": "9.75", "pack": "1", "from_pieces": "1", "since": str(later)}
    kept = words(shelf.post(f"suppliers/{supplier.pk}/price/", **told).content.decode())
    assert f"It holds from 01 January {later.year} on" in kept
    for page in (shelf.see(f"suppliers/{supplier.pk}/"), shelf.see(f"{GASKET}/")):
        assert "1.50 EUR since" in page
        assert f"9.75 EUR from 1 January {later.year}" in page


def test_an_offer_nobody_accepted_is_a_wish_on_the_pages(shelf: Shelf) -> None:
    facts = {"valid_until": str(TODAY + timedelta(days=3))}
    OfficePaper.objects.create(
        kind="offer", number="2026-3", dated=TODAY, to_name="Ives", facts=facts, goods=[[0, "part", "G-1", 20]],
        total=Decimal(1), currency="EUR", state="open",
    )  # fmt: skip
    assert "20 on offer 2026-3, Ives" in shelf.see(f"{GASKET}/")
    page = shelf.see("kits/")
    assert "On offers not accepted yet: 1" in page
    assert "Nothing is waited for" in page
    assert "short for" not in shelf.see("")
