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


def open_the_office() -> None:
    """Write the shop's rules down and take its records' counts as the first count of the shelf."""
    from django.utils import timezone

    from floatbowl.cli.demo_sales import sell_for_two_years
    from floatbowl.shop.models import OfficeSettings
    from floatbowl.shop.shelf.beginning import begin

    begin("Priya Collis")
    sell_for_two_years(timezone.localdate())
    OfficeSettings.objects.update_or_create(pk=1, defaults=RULES)
