"""Two years of invented sales and an invented supplier, so that the shelf of the demo has something to work out."""

from __future__ import annotations

import random
from datetime import date, timedelta
from decimal import Decimal

#: Everything here is made up for the demo: rates, prices, the supplier and its terms.
DAYS, SEED = 730, 8
SUPPLIER = {
    "name": "Osterby Gasket and Needle Works",
    "minimum": Decimal("120.00"),
    "freight": Decimal("9.50"),
    "freight_free_from": Decimal("250.00"),
    "lead_days": 60,
}


def sell_for_two_years(today: date, who: str) -> int:
    """Write the sales of before and the supplier's prices; returns how many sales."""
    from floatbowl.shop.models import Item, Supplier, SupplierPrice, ToldSale
    from floatbowl.shop.shelf.ledger import item_of
    from floatbowl.shop.standing import current_reference

    chance = random.Random(SEED)
    reference = current_reference()
    kits = [kit.kit for kit in reference.kits if kit.price]
    sales = []
    for kit in kits:
        a_year = chance.expovariate(1 / 5)
        item = item_of("kit", kit)
        day = chance.expovariate(a_year / 365) if a_year > 0.1 else DAYS
        while day < DAYS:
            sales.append(ToldSale(item=item, quantity=1, day=today - timedelta(DAYS - int(day)), who=who))
            day += chance.expovariate(a_year / 365)
    ToldSale.objects.bulk_create(sales)
    supplier = Supplier.objects.create(**SUPPLIER)
    costs = {part.part: part.cost for part in reference.parts if part.cost}
    SupplierPrice.objects.bulk_create(
        SupplierPrice(supplier=supplier, item=item, price=Decimal(f"{costs[item.key]:.2f}"), since=today, pack=5)
        for item in Item.objects.filter(kind="part", key__in=costs)
    )
    return len(sales)
