"""Who stands beside the demo's lines is on its list of people."""

from __future__ import annotations

from tests.shop.shelf.conftest import records  # noqa: F401  (a fixture)

from floatbowl.cli.demo_jobs import WHO
from floatbowl.cli.demo_office import open_the_office
from floatbowl.reference.facts import Reference
from floatbowl.shop.models import LedgerLine, ToldSale
from floatbowl.shop.people import names_here


def test_everybody_named_works_there(records: Reference) -> None:  # noqa: F811
    open_the_office()
    named = {*LedgerLine.objects.values_list("who", flat=True), *ToldSale.objects.values_list("who", flat=True), WHO}
    assert LedgerLine.objects.exists()
    assert named <= set(names_here())
