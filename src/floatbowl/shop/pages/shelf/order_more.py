"""One line more on an order that is being written."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from floatbowl.shop.pages.shelf.item import as_sentence
from floatbowl.shop.pages.shelf.orders import find, whole
from floatbowl.shop.pages.shelf.sending import UNPROCESSABLE, AtFieldError, pieces, text_of
from floatbowl.shop.pages.shelf.suppliers import item_named
from floatbowl.shop.shelf.buying import Wish, put_on
from floatbowl.shop.shelf.things import things_now


@require_POST
def more(request: HttpRequest, number: int) -> HttpResponse:
    """Put a kit or part on the order, at the supplier's price of today."""
    order = find(number)
    try:
        named = item_named(text_of(request, "item", 200))
        put_on(order, Wish(named=named, pieces=pieces(request)))
    except ValueError as wrong:
        field = wrong.field if isinstance(wrong, AtFieldError) else "pieces"
        refused = {"field": field, "wrong": as_sentence(str(wrong)), "deed": "more"}
        return render(request, "shelf/order.html", whole(request, order, refused), status=UNPROCESSABLE)
    messages.success(request, f"{things_now().of(*named).name} is on the order.")
    return redirect("shelf:order", number)
