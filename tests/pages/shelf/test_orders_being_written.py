"""An order that is being written takes further lines, shows sums with their places, and prints as what it is."""

from __future__ import annotations

import io
from decimal import Decimal

import pytest
from django.utils import timezone
from pypdf import PdfReader
from tests.pages.shelf.conftest import Shelf, words

from floatbowl.shop.models import PurchaseOrder, Supplier
from floatbowl.shop.shelf.buying import Wish, new_order, place, write_price


@pytest.fixture
def order(shelf: Shelf) -> PurchaseOrder:
    supplier = Supplier.objects.create(name="Ardwath Gaskets", freight=Decimal("9.5"))
    today = timezone.localdate()
    write_price(supplier, ("part", "W-1"), Decimal("3.2"), since=today, who="Ines")
    write_price(supplier, ("part", "G-1"), Decimal("0.125"), since=today, who="Ines", pack=10)
    return new_order(supplier, [Wish(named=("part", "W-1"), pieces=5)], "Ines", "o" * 32)


def printed(shelf: Shelf, order: PurchaseOrder) -> str:
    pdf = shelf.client.get(f"/shelf/orders/{order.pk}.pdf").content
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_a_line_more_at_todays_price_and_none_twice(shelf: Shelf, order: PurchaseOrder) -> None:
    said = words(shelf.post(f"orders/{order.pk}/more/", item="G-1", pieces="20").content.decode())
    assert "is on the order" in said
    shelf.post(f"orders/{order.pk}/more/", item="g-1", pieces="20")
    lines = {line.item.key: (line.pieces, line.price) for line in order.lines.all()}
    assert lines == {"W-1": (5, Decimal("3.2")), "G-1": (20, Decimal("0.125"))}


def test_what_is_wrong_is_said_beside_its_field_and_stays(shelf: Shelf, order: PurchaseOrder) -> None:
    for item, count, says in (("nothing", "5", "No kit or part has this number"), ("G-1", "some", "whole number")):
        answer = shelf.post(f"orders/{order.pk}/more/", item=item, pieces=count)
        assert answer.status_code == 422
        page = answer.content.decode()
        assert says in words(page)
        assert f'value="{item}"' in page
        assert f'value="{count}"' in page
    place(order)
    assert shelf.post(f"orders/{order.pk}/more/", item="G-1", pieces="5").status_code == 422
    assert order.lines.count() == 1


def test_sums_stand_in_their_fields_with_their_places(shelf: Shelf, order: PurchaseOrder) -> None:
    shelf.post(f"orders/{order.pk}/more/", item="G-1", pieces="20")
    page = shelf.client.get(f"/shelf/orders/{order.pk}/").content.decode()
    for sum_ in ("3.20", "9.50", "0.125"):
        assert f'value="{sum_}"' in page


def test_a_draft_says_so_at_its_head_and_a_placed_order_does_not(shelf: Shelf, order: PurchaseOrder) -> None:
    told = printed(shelf, order)
    assert "Draft, not an order" in told
    assert "Ordered by" not in told
    place(order)
    told = printed(shelf, order)
    assert "Draft" not in told
    assert "Not placed" not in told
    assert "Ordered by" in told
