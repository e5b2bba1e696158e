"""What lies still: dead stock by the shop's own rules."""

from __future__ import annotations

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from floatbowl.shelf.dead_stock import Rules
from floatbowl.shop.models import Item
from floatbowl.shop.pages.shelf.sending import chosen_number, with_names
from floatbowl.shop.shelf.dead import lying_still
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.things import things_now

MOST_SHOWN = 200


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """What nobody has asked for for long, or lies there for too many years."""
    months, wrong_months = chosen_number(request, "months", 24, 1, 240)
    years, wrong_years = chosen_number(request, "years", 5, 0.5, 50)
    things = things_now()
    outlook = expected(things)
    found = lying_still(things, outlook, Rules(no_sale_months=months, most_years=years))
    shown_with = with_names(
        door="still",
        months=months,
        years=years,
        typed=request.GET,
        wrong={"months": wrong_months, "years": wrong_years},
        rows=found[:MOST_SHOWN],
        count=len(found),
        tied_up=f"{sum((dead.tied_up for _, dead in found), Decimal(0)):,.2f}",
        currency=things.book.reference.currency,
        record=outlook.asked.first if outlook else None,
        any=Item.objects.filter(on_hand__gt=0).exists(),
    )
    return render(request, "shelf/still.html", shown_with)
