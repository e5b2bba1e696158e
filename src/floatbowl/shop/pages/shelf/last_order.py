"""A supplier stops a line: written down on the item's page, how many to take at the last order, and why so many."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from floatbowl.shop.models import StoppedLine, Supplier
from floatbowl.shop.pages.shelf import item
from floatbowl.shop.pages.shelf.sending import (
    UNPROCESSABLE,
    AtFieldError,
    day_of,
    pieces,
    sent_name,
    share_of,
    sum_of,
)
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf import last_orders
from floatbowl.shop.shelf.buying import Wish, put_on_order, said, terms_now, write_price
from floatbowl.shop.shelf.things import Thing, things_now


@require_POST
def stop(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Write down that a supplier stops this line."""
    thing = item.thing_of(kind, key)
    try:
        kept = _stopped(request, thing)
    except ValueError as wrong:
        refused = {"deed": "stop", "field": getattr(wrong, "field", ""), "wrong": item.as_sentence(str(wrong))}
        return render(request, "shelf/item.html", item.whole(request, thing, refused), status=UNPROCESSABLE)
    messages.success(request, f"{kept.supplier} stops it; the last order is by {kept.order_by:%d.%m.%Y}.")
    return redirect(f"{thing.address}#last-order")


def _stopped(request: HttpRequest, thing: Thing) -> StoppedLine:
    named = (thing.kind, thing.key)
    number = request.POST.get("supplier", "")
    supplier = Supplier.objects.filter(pk=int(number[:9])).first() if number.isdecimal() else None
    if supplier is None:
        raise AtFieldError("supplier", "Choose who stops it; suppliers are written down on their own page.")
    order_by, until = day_of(request, "order_by"), day_of(request, "needed_until")
    if order_by is None:
        raise AtFieldError("order_by", "Write the last day on which they take an order.")
    if order_by < timezone.localdate():
        raise AtFieldError("order_by", "That day is over: nothing can be ordered from them any more.")
    if until is None:
        raise AtFieldError("needed_until", "Write until when it is still needed; nobody else will say.")
    if until <= order_by:
        raise AtFieldError("needed_until", "It is needed for a time after the last order: write a later day.")
    price = sum_of(request, "price", needed=False)
    known = bool(terms_now(supplier).get(named))
    if not known and not price:
        raise AtFieldError("price", f"No price of {supplier} is known for it: write what one costs.")
    notice = last_orders.Notice(
        order_by=order_by,
        needed_until=until,
        falls_percent=share_of(request, "falls"),
        short_costs=_loss(request, "short_costs"),
        left_costs=_loss(request, "left_costs"),
    )
    if price and not known:
        write_price(supplier, named, price, since=timezone.localdate(), who=who_is(request))
    return last_orders.stop(supplier, named, notice, who_is(request))


def _loss(request: HttpRequest, field: str) -> Decimal:
    loss = sum_of(request, field)
    if not loss:
        raise AtFieldError(field, "Write a sum above nothing.")
    return loss


@require_POST
def withdraw(request: HttpRequest, number: int) -> HttpResponse:
    """They sell it after all."""
    stopped = get_object_or_404(StoppedLine.objects.select_related("item", "supplier"), pk=number)
    last_orders.withdraw(stopped)
    messages.success(request, f"Taken back: {stopped.supplier} goes on selling it.")
    return redirect("shelf:item", stopped.item.kind, stopped.item.key)


@require_POST
def put(request: HttpRequest, number: int) -> HttpResponse:
    """Put so many on the order that is being written to that supplier, or on a new one."""
    stopped = get_object_or_404(StoppedLine.objects.select_related("item", "supplier"), pk=number)
    thing = things_now().of(stopped.item.kind, stopped.item.key)
    try:
        if stopped.ended_at is not None:
            raise ValueError("that notice was taken back meanwhile; nothing was put on an order")
        wish = Wish(named=(thing.kind, thing.key), pieces=pieces(request))
        order = put_on_order(stopped.supplier, wish, who_is(request), sent_name(request))
    except ValueError as wrong:
        refused = {"deed": f"put {number}", "field": "pieces", "wrong": item.as_sentence(str(wrong))}
        return render(request, "shelf/item.html", item.whole(request, thing, refused), status=UNPROCESSABLE)
    line = order.lines.get(item=stopped.item)
    total = f", {said(line.total, order.currency)}" if line.total is not None else ""
    messages.success(
        request, f"{line.pieces} of {thing.name} stand on order {order.pk}{total}. Look it over, then place it."
    )
    return redirect("shelf:order", order.pk)
