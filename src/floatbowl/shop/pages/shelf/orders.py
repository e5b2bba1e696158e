"""Purchase orders: the list, one order, placing it, what comes of it, and giving up what does not."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.money.amount import currency
from floatbowl.shop.models import Holding, LedgerLine, PurchaseLine, PurchaseOrder
from floatbowl.shop.models.buying import CANCELLED, DONE, DRAFT, PLACED
from floatbowl.shop.pages.shelf.item import as_sentence
from floatbowl.shop.pages.shelf.sending import (
    UNPROCESSABLE,
    AtFieldError,
    day_of,
    pieces,
    place,
    sent_name,
    sum_of,
    text_of,
    with_names,
)
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf import buying, receiving
from floatbowl.shop.shelf.things import things_now

A_PAGE = 40


def find(number: int) -> PurchaseOrder:
    """The order of this number, or "not found"."""
    return get_object_or_404(PurchaseOrder.objects.select_related("supplier"), pk=number)


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """All orders, those under way first."""
    found = PurchaseOrder.objects.select_related("supplier").prefetch_related("lines")
    under_way = found.filter(state__in=(DRAFT, PLACED))
    rest = found.filter(state__in=(DONE, CANCELLED))
    sheet = Paginator(rest, A_PAGE).get_page(request.GET.get("page"))
    return render(request, "shelf/orders.html", with_names(door="orders", under_way=under_way, sheet=sheet))


@require_GET
def show(request: HttpRequest, number: int) -> HttpResponse:
    """One order."""
    return render(request, "shelf/order.html", whole(request, find(number)))


def whole(request: HttpRequest, order: PurchaseOrder, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """What an order's page shows."""
    things = things_now()
    lines = [
        (_with_boxes(line, request.POST), things.of(line.item.kind, line.item.key))
        for line in order.lines.select_related("item")
    ]
    goods = buying.goods(order)
    return with_names(
        door="orders",
        order=order,
        lines=lines,
        goods=buying.said(goods, order.currency),
        freight=buying.said(order.freight, order.currency),
        typed_freight=with_places(order.freight, order.currency),
        total=buying.said(goods + order.freight, order.currency),
        unpriced=any(line.price is None for line, _ in lines),
        too_little=buying.said(order.supplier.minimum - goods, order.currency)
        if goods < order.supplier.minimum
        else "",
        receipts=LedgerLine.objects.filter(document=str(order)).select_related("item")[:200],
        places=Holding.objects.exclude(place="").order_by("place").values_list("place", flat=True).distinct()[:500],
        is_draft=order.state == DRAFT,
        is_placed=order.state == PLACED,
        refused=refused or {},
        typed=request.POST,
    )


def with_places(sum_: Decimal, code: str) -> str:
    """A sum as it is typed, with at least its currency's places.

    >>> with_places(Decimal("3.2000"), "EUR"), with_places(Decimal("0.1250"), "EUR"), with_places(Decimal("15"), "JPY")
    ('3.20', '0.125', '15')
    """
    places = max(currency(code).places, -int(sum_.normalize().as_tuple().exponent))
    return f"{sum_:.{places}f}"


def _with_boxes(line: PurchaseLine, typed: Any) -> Any:
    """The line with the names of its boxes, and what was typed into them or stands there."""
    shown: Any = line
    names = {"pieces": f"pieces-{line.pk}", "price": f"price-{line.pk}"}
    price = "" if line.price is None else with_places(line.price, line.order.currency)
    stands = {"pieces": str(line.pieces), "price": price}
    shown.boxes = names | {f"typed_{box}": typed.get(name, stands[box]) for box, name in names.items()}
    shown.price_says = "" if line.price is None else buying.said(line.price, line.order.currency)
    return shown


@require_POST
def do(request: HttpRequest, number: int) -> HttpResponse:
    """Place or cancel an order."""
    order, deed = find(number), request.POST.get("do", "")
    if deed not in ("place", "cancel"):
        raise Http404
    try:
        if deed == "place":
            buying.place(order)
            messages.success(request, f"Order {number} is placed; its pieces are on order now.")
        else:
            buying.cancel(order)
            messages.success(request, f"Order {number} is cancelled; nothing of it is on order.")
    except ValueError as wrong:
        return render(request, "shelf/order.html", whole(request, order, {"wrong": str(wrong)}), status=UNPROCESSABLE)
    return redirect("shelf:order", number)


@require_POST
def change(request: HttpRequest, number: int) -> HttpResponse:
    """While it is being written: freight, the day it is wanted by, a note, and the lines' prices and pieces."""
    order = find(number)
    try:
        if order.state != DRAFT:
            raise AtFieldError("", "This order is placed; it is changed no more. Cancel it, or give lines up.")
        order.freight = sum_of(request, "freight", needed=False) or Decimal(0)
        order.wanted_by, order.note = day_of(request, "wanted_by"), text_of(request, "note", 1000)
        changed = [_changed(request, line) for line in order.lines.all()]
        if not any(line.pieces for line in changed):
            raise AtFieldError("", "Leave at least one line, or cancel the order.")
    except AtFieldError as wrong:
        refused = {"field": wrong.field, "wrong": str(wrong), "deed": "change"}
        return render(request, "shelf/order.html", whole(request, order, refused), status=UNPROCESSABLE)
    for line in changed:
        line.save() if line.pieces else line.delete()
    order.save()
    messages.success(request, "Kept.")
    return redirect("shelf:order", number)


def _changed(request: HttpRequest, line: PurchaseLine) -> PurchaseLine:
    line.pieces = pieces(request, f"pieces-{line.pk}")
    line.price = sum_of(request, f"price-{line.pk}", needed=False)
    if line.price is not None and line.price == 0:
        raise AtFieldError(f"price-{line.pk}", "A price is above nothing; leave it empty where it is not known.")
    return line


@require_POST
def receive(request: HttpRequest, number: int, line: int) -> HttpResponse:
    """Some of a line has come, or what is missing is given up."""
    order = find(number)
    found = get_object_or_404(PurchaseLine, pk=line, order=order)
    try:
        if request.POST.get("do") == "give-up":
            missing = receiving.give_up(found)
            messages.success(request, f"{missing} are waited for no longer.")
        else:
            came = pieces(request)
            more = request.POST.get("even_more") == "yes"
            receiving.receive(found, came, place(request), who_is(request), sent_name(request), even_more=more)
            messages.success(
                request, f"{came} of {things_now().of(found.item.kind, found.item.key).name} put on the shelf."
            )
    except ValueError as wrong:
        refused = {"line": line, "field": getattr(wrong, "field", ""), "wrong": as_sentence(str(wrong))}
        refused["tick"] = isinstance(wrong, receiving.MoreThanOrderedError)
        return render(request, "shelf/order.html", whole(request, order, refused), status=UNPROCESSABLE)
    return redirect("shelf:order", number)
