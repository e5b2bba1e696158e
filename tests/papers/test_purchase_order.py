"""The order to a supplier."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, amount
from floatbowl.papers.purchase_order import OrderLine, PurchaseOrder, purchase_order_pdf, total

Words = Callable[[bytes], str]
CORK = OrderLine(
    item="Gasket, cork 1.6 mm",
    supplier_number="HR 118-16",
    our_number="TG-118",
    packs=3,
    pack_size=25,
    pack_price=amount("18.75", "GBP"),
)
FELT = OrderLine(item="Felt seal", packs=12, pack_size=100, pack_price=amount("104.125", "GBP"), note="3 mm thick")
SEAT = OrderLine(item="Needle seat, brass", packs=1)
ORDER = PurchaseOrder(
    shop_name="Nettlebeck Carburettor Room",
    shop_address="Mill Yard",
    number="PO-0012",
    date=date(2026, 11, 26),
    supplier="Harbour Row Gaskets\nSaltmere",
    account="NCR-7",
    deliver_to="The bench door\nMill Yard",
    wanted_by=date(2026, 12, 18),
    lines=(CORK, FELT),
    freight=amount("9.50", "GBP"),
    prices="Prices of October, before tax.",
    note="Pack each size by itself.",
)


def test_all_that_is_ordered_stands_on_it(words: Words) -> None:
    """3 packs at 18.75 are 56.25, 12 at 104.125 are 1,249.50, with 9.50 freight 1,315.25."""
    text = words(purchase_order_pdf(ORDER))
    for want in (
        "PO-0012", "26 November 2026", "Harbour Row Gaskets", "Saltmere", "NCR-7", "The bench door", "18 December 2026",
        "HR 118-16", "Gasket, cork 1.6 mm", "ours: TG-118", "3 mm thick", "25 3 75 18.75 56.25",
        "100 12 1,200 104.125 1,249.50", "Freight 9.50", "In all 1,315.25 GBP", ORDER.prices, ORDER.note,
        "Put our order number, PO-0012, on the parcel",
    ):  # fmt: skip
        assert want in text


def test_what_has_no_price_is_asked_for_and_the_total_owns_up(words: Words) -> None:
    text = words(purchase_order_pdf(replace(ORDER, lines=(CORK, SEAT), freight=None)))
    for want in ("please name", "1 line has no price yet", "As far as prices are known 56.25 GBP"):
        assert want in text
    assert "In all" not in text
    assert "no price is known" in words(purchase_order_pdf(replace(ORDER, lines=(SEAT,), freight=None)))


@given(packs=st.integers(1, 10**6), price=st.decimals(0, 10**6, places=4))
def test_a_line_is_as_exact_as_whole_numbers_and_rounded_once(packs: int, price: Decimal) -> None:
    found = OrderLine(item="Felt", packs=packs, pack_price=Amount(price, "GBP")).amount
    assert found is not None
    exact_hundredths_of_a_penny = packs * int(price * 10000)
    assert int(found.value * 100) == (exact_hundredths_of_a_penny + 50) // 100


def test_pieces_are_packs_of_their_size() -> None:
    assert (CORK.pieces, SEAT.pieces) == (75, 1)


def test_nothing_known_comes_to_nothing_known() -> None:
    assert total((SEAT,), None) is None
    assert total((SEAT,), amount("9.50", "GBP")) == amount("9.50", "GBP")


def test_two_currencies_are_refused() -> None:
    with pytest.raises(Refused, match="two currencies"):
        purchase_order_pdf(replace(ORDER, freight=amount("9.50", "EUR")))


@pytest.mark.parametrize(("packs", "size"), [(0, 1), (1, 0), (-1, 5)])
def test_part_packs_are_refused(packs: int, size: int) -> None:
    with pytest.raises(ValueError, match=r"Felt: .*whole packs"):
        OrderLine(item="Felt", packs=packs, pack_size=size)


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    bare = PurchaseOrder(shop_name="", number="", date=date(2026, 1, 1), supplier="")
    text = words(purchase_order_pdf(bare))
    for want in ("Shop not named", "supplier not named", "our address above", "no day named", "Nothing is ordered yet",
                 "before or with tax", "Put our order number on the parcel"):  # fmt: skip
        assert want in text
