"""A supplier's list into the shelf: each column settled before a price is kept, their numbers apart from ours."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from floatbowl.reference.facts import Reference
from floatbowl.shelf.supplier_list import Asked
from floatbowl.shop.models import Supplier, SupplierPrice
from floatbowl.shop.shelf.price_lists import PricesIn, bring_in_prices

TODAY = timezone.localdate()
GEBINDE = "Preis;Mindestmenge;Bestellnr;Artikel;Gebinde\n0,90;10;OG-77;W-1;10\n1,05;1;OG-78;G-1;5\n2,00;1;OG-79;Z-9;1\n"
TOLD = {"heading Bestellnr": "their number", "heading Artikel": "our number", "price is for": "pack"}


@pytest.fixture
def supplier(records: Reference) -> Supplier:
    return Supplier.objects.create(name="Ardwath", currency="EUR")


def bring(text: str, answers: dict[str, str]) -> PricesIn | Asked:
    return bring_in_prices("list.csv", text.encode(), "Ardwath", answers, "Ines", TODAY)


def test_nothing_is_kept_before_every_column_is_settled(supplier: Supplier) -> None:
    asked = bring(GEBINDE, {})
    assert isinstance(asked, Asked)
    assert [question.key for question in asked.questions] == ["heading Bestellnr", "heading Artikel"]
    assert not SupplierPrice.objects.exists()
    done = bring(GEBINDE, TOLD)
    assert isinstance(done, PricesIn)
    assert (done.new, done.left_out) == (2, ["line 4: Z-9 is not known to be any kit or part of ours"])
    kept = SupplierPrice.objects.get(item__key="W-1")
    assert (kept.number, kept.pack, kept.from_pieces, kept.price) == ("OG-77", 10, 10, Decimal("0.0900"))
    again = bring("Bestellnr;Stückpreis;VPE\nOG-77;0,10;10\n", {})
    assert isinstance(again, PricesIn)
    assert (again.new, again.left_out) == (1, []), "their number names the item from now on"


def test_our_number_is_not_kept_as_theirs(supplier: Supplier) -> None:
    done = bring("Your part no;Price\nW-1;0.90\n", {})
    assert isinstance(done, PricesIn)
    assert SupplierPrice.objects.get().number == ""


def test_columns_left_out_are_said(supplier: Supplier) -> None:
    done = bring("Part no;Price;Zz\nW-1;0.90;x\n", {"heading Zz": "leave it out"})
    assert isinstance(done, PricesIn)
    assert done.left_out == ["the column Zz"]
