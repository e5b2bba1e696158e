"""The invented shop's bench and office: every entry is one the steps know, every row one of the sheet."""

from __future__ import annotations

import pytest

from floatbowl.cli.demo_jobs import put_on_the_bench
from floatbowl.cli.demo_office import open_the_office
from floatbowl.demo.make_pack.whole_pack import PACK
from floatbowl.reference.pack import read_pack
from floatbowl.shop.load import load_reference
from floatbowl.shop.models import Item, Job, OfficeSettings, SupplierPrice, ToldSale
from floatbowl.shop.office.rules import rates, tax_rule
from floatbowl.shop.standing import forget


@pytest.mark.django_db
def test_they_can_be_put_there() -> None:
    load_reference(read_pack(PACK), "Ines")
    forget()
    assert put_on_the_bench() == Job.objects.count() > 3
    assert Job.objects.exclude(held_for="").exists(), "one waits for somebody"
    open_the_office()
    rules = OfficeSettings.objects.get()
    assert tax_rule(rules).prices == "with tax"
    assert rates(rules)[0].percent == 20
    assert Item.objects.filter(on_hand__gt=0).exists(), "the shelf has begun"
    assert ToldSale.objects.count() > 100
    assert SupplierPrice.objects.exists()
