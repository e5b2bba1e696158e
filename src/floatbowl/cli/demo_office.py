"""The invented shop's own rules: its name and address, its money and tax, and its shelf as first counted."""

from __future__ import annotations

#: The invented shop; its tax and prices are invented too.
RULES = {
    "shop_name": "Nettlebeck Carburettor Room",
    "address": "Mill Yard, Nettlebeck",
    "currency": "EUR",
    "prices": "with tax",
    "rounded_by": "total",
    "rates": [["standard", "20"], ["none", "0"]],
    "hour_price": "38.00",
    "postage": "6.50",
    "core_deposit": "40.00",
    "return_rule": "Unopened kits may come back within 30 days. Hold the old parts against the sizes first.",
}


#: Who works in the invented shop.
STOCK = "Priya Collis"
PEOPLE = ("Ines Marchbank", "Tobiah Renn", STOCK, "Hal Dunmore", "Wil")


def open_the_office() -> None:
    """Write the shop's people and rules down and take its records' counts as the first count of the shelf."""
    from django.utils import timezone

    from floatbowl.cli.demo_sales import sell_for_two_years
    from floatbowl.shop.models import OfficeSettings, Person
    from floatbowl.shop.shelf.beginning import begin

    Person.objects.bulk_create([Person(name=name) for name in PEOPLE], ignore_conflicts=True)
    begin(STOCK)
    sell_for_two_years(timezone.localdate(), STOCK)
    OfficeSettings.objects.update_or_create(pk=1, defaults=RULES)
