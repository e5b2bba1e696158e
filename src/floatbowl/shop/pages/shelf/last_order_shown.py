"""What an item's page shows of its last order: what stands, how many to take, and what the form begins with."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.shop.models import StoppedLine, Supplier
from floatbowl.shop.shelf import last_orders
from floatbowl.shop.shelf.buying import Terms
from floatbowl.shop.shelf.expected import Expected
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Thing, things_now

#: Demand of a line that its maker gives up falls; by how much is for the shop to say.
USUAL_FALL = "0"


def shown(thing: Thing, stand: Stand, outlook: Expected | None, sold_by: list[Terms]) -> dict[str, Any]:
    """What an item's page shows of its last order: what stands, what to take, and what its form begins with."""
    rows = StoppedLine.objects.filter(item__kind=thing.kind, item__key=thing.key, ended_at=None)
    stopped = list(rows.select_related("supplier", "item").order_by("order_by"))
    today = timezone.localdate()
    orders: list[Any] = []
    wrong = ""
    for row in stopped:
        marked: Any = row
        marked.deed = f"put {row.pk}"
    recipes = things_now().recipes
    open_ones = [one for one in stopped if one.order_by >= today]
    try:
        orders = [(one, last_orders.worked_out(one, stand, outlook, sold_by, recipes)) for one in open_ones]
    except Refused as refused:
        wrong = str(refused)
    first = stopped[0] if stopped else None
    price = sold_by[0] if sold_by else None
    usual: tuple[Any, Any] = (None, None)
    if first is not None:
        usual = (_sum(first.short_costs), _sum(first.left_costs))
    elif price is not None:
        recorded_in = things_now().book.reference.currency
        losses = last_orders.usual_losses(thing, price.price(1), recorded_in, price.supplier.currency)
        usual = (_sum(losses[0]), _sum(losses[1]))
    return {
        "last_orders": orders,
        "last_wrong": wrong,
        "gone": [one for one in stopped if one.order_by < today],
        "stopped": first,
        "sellers": _sellers(sold_by),
        "usual_short": usual[0],
        "usual_left": usual[1],
        "usual_currency": sold_by[0].supplier.currency if len({one.supplier.currency for one in sold_by}) == 1 else "",
        "usual_fall": _plain(first.falls_percent) if first else USUAL_FALL,
    }


def _sellers(sold_by: list[Terms]) -> list[Supplier]:
    """Those who sell it first, then everybody else."""
    first = [one.supplier for one in sold_by]
    return [*first, *(one for one in Supplier.objects.all() if one not in first)]


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _sum(value: Decimal) -> str:
    """A sum with two places at least."""
    return f"{value:.2f}" if value == round(value, 2) else _plain(value)
