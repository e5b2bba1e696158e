"""What to buy: suggestions grouped by supplier with why, and an order written from them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from floatbowl.engine.refusal import Refused
from floatbowl.shop.models import Supplier
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.pages.shelf.charts import fill_against_money_drawn
from floatbowl.shop.pages.shelf.sending import UNPROCESSABLE, chosen_number, sent_name, with_names
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf.asked import unsettled_lost
from floatbowl.shop.shelf.buying import Wish, new_order, said, terms_now
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.levels_kept import Rule, fill_against_money
from floatbowl.shop.shelf.on_hand import all_stands
from floatbowl.shop.shelf.suggesting import Group, money_says, what_to_buy
from floatbowl.shop.shelf.things import things_now

MOST_LINES = 200


@dataclass(frozen=True, slots=True)
class ShownGroup:
    """A supplier's lines as the page shows them."""

    group: Group
    says: str
    goods: str
    freight: str
    more: int


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """Suggestions by supplier."""
    return render(request, "shelf/buy.html", _context(request))


def _context(request: HttpRequest) -> dict[str, Any]:
    filled, wrong_filled = chosen_number(request, "filled", 90, 50, 99)
    review, wrong_review = chosen_number(request, "review", 1, 0.25, 12)
    things = things_now()
    outlook = expected(things)
    terms = terms_now()
    refused, groups = "", []
    try:
        rule = Rule(filled=filled / 100, review_months=review)
        groups = what_to_buy(things, all_stands(things), outlook, terms, rule)
    except Refused as wrong:
        refused = str(wrong)
    return with_names(
        door="buy",
        filled=filled,
        review=review,
        typed=request.GET,
        wrong={"filled": wrong_filled, "review": wrong_review},
        groups=[_shown(group) for group in groups],
        refused=refused,
        chart=fill_against_money_drawn(
            fill_against_money(outlook, terms, things, review) if outlook and not refused else (),
            things.book.reference.currency,
        ),
        record=outlook.asked if outlook else None,
        today=timezone.localdate(),
        chosen=outlook.choice_says if outlook else "",
        unsettled=unsettled_lost(),
        suppliers=Supplier.objects.exists(),
    )


def _shown(group: Group) -> ShownGroup:
    order, currency = group.order, group.supplier.currency if group.supplier else ""
    return ShownGroup(
        group=Group(group.supplier, group.lines[:MOST_LINES], order),
        says=money_says(order, group.supplier) if order and group.supplier else "",
        goods=said(order.best.goods, currency) if order else "",
        freight=said(order.best.freight, currency) if order else "",
        more=max(0, len(group.lines) - MOST_LINES),
    )


@require_POST
def order(request: HttpRequest) -> HttpResponse:
    """Write an order to one supplier from the boxes."""
    number = request.POST.get("supplier", "")
    if not number.isdecimal():
        raise Http404
    supplier = get_object_or_404(Supplier, pk=int(number[:9]))
    try:
        made = new_order(supplier, _wishes(request), who_is(request), sent_name(request))
    except ValueError as wrong:
        shown_with = _context(request) | {"wrong_supplier": supplier.pk, "wrong_order": str(wrong)}
        return render(request, "shelf/buy.html", shown_with, status=UNPROCESSABLE)
    messages.success(request, f"Order {made.pk} to {supplier} is written. Look it over, then place it.")
    return redirect("shelf:order", made.pk)


def _wishes(request: HttpRequest) -> list[Wish]:
    """Lines from the boxes. Raises ValueError for what is no number of pieces."""
    wishes = []
    rows = zip(*(request.POST.getlist(name) for name in ("kind", "key", "count")), strict=False)
    for kind, key, text in rows:
        plain = text.strip() or "0"
        if kind not in (KIT, PART) or not plain.isdecimal() or int(plain[:7]) > 100_000:
            raise ValueError(f"{text[:20]!r} is no number of pieces")
        wishes.append(Wish(named=(kind, key), pieces=int(plain)))
    return wishes
