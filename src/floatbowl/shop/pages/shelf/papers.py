"""The shelf's papers: a label for an item, and an order as PDF and CSV."""

from __future__ import annotations

import csv
from decimal import Decimal
from typing import cast

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from floatbowl.money.amount import Amount
from floatbowl.papers import purchase_order as paper
from floatbowl.papers.paper import LONGEST_CODE, PAGES, Page
from floatbowl.papers.shelf_label import ShelfLabel, shelf_label_pdf
from floatbowl.shop.address import for_a_phone
from floatbowl.shop.models import Holding, PurchaseLine, PurchaseOrder
from floatbowl.shop.models.shelf import PART
from floatbowl.shop.office.letterhead import letterhead
from floatbowl.shop.pages.counter.contents import sizes_of
from floatbowl.shop.pages.shelf.item import thing_of
from floatbowl.shop.pages.shelf.orders import find
from floatbowl.shop.shelf.ledger import item_of
from floatbowl.shop.shelf.things import Thing, things_now

MOST_SIZES = 4


@require_GET
def label(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """A label whose square code opens the item's page on a phone."""
    thing = thing_of(kind, key)
    held = (
        Holding.objects.filter(item__kind=kind, item__key=key, quantity__gt=0)
        .exclude(place="")
        .order_by("-quantity")
        .first()
    )
    address = for_a_phone(request, thing.address)
    if len(address) > LONGEST_CODE:
        # Too long for the code: a short way to the same page.
        address = for_a_phone(request, reverse("shelf:short", args=[item_of(kind, key).pk]))
    made = ShelfLabel(
        place=request.GET.get("place", "")[:80] or (held.place if held else thing.place) or "no place yet",
        item=thing.name,
        number=thing.key,
        sizes=sizes_of(key, things_now().book)[:MOST_SIZES] if kind == PART else (),
        address=address,
    )
    return _pdf(shelf_label_pdf(made), "shelf-label")


def _pdf(pdf: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)


@require_GET
def order_pdf(request: HttpRequest, number: int) -> HttpResponse:
    """The order as PDF; ``?page=Letter`` prints it on Letter."""
    page = request.GET.get("page", "A4")
    if page not in PAGES:
        raise Http404
    return _pdf(paper.purchase_order_pdf(_paper(find(number), cast(Page, page))), f"order-{number}")


def _paper(order: PurchaseOrder, page: Page) -> paper.PurchaseOrder:
    things = things_now()
    lines = order.lines.select_related("item")
    return paper.PurchaseOrder(
        **letterhead().on_paper,
        number=str(order.pk),
        date=order.placed_on or timezone.localdate(order.at),
        supplier="\n".join(filter(None, (order.supplier.name, order.supplier.address))),
        account=order.supplier.our_number,
        wanted_by=order.wanted_by,
        lines=tuple(_line(line, things.of(line.item.kind, line.item.key), order.currency) for line in lines),
        freight=Amount(order.freight, order.currency),
        note=order.note,
        placed=order.placed_on is not None,
        page=page,
    )


def _line(line: PurchaseLine, thing: Thing, currency: str) -> paper.OrderLine:
    """By the pack where the pieces are whole packs, else by the piece."""
    packed = line.pack > 1 and line.pieces % line.pack == 0
    size = line.pack if packed else 1
    return paper.OrderLine(
        item=thing.name,
        packs=line.pieces // size,
        pack_size=size,
        supplier_number=line.number,
        our_number=thing.key,
        pack_price=None if line.price is None else Amount(line.price * size, currency),
        note="" if packed or line.pack == 1 else f"sold in packs of {line.pack}",
    )


@require_GET
def order_csv(request: HttpRequest, number: int) -> HttpResponse:
    """The order as CSV (RFC 4180): their number, our number, what, pieces, pack, price of one, total, currency."""
    order, things = find(number), things_now()
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="order-{number}.csv"'
    table = csv.writer(answer)
    table.writerow(["their number", "our number", "what", "pieces", "pack", "price of one", "total", "currency"])
    for line in order.lines.select_related("item"):
        thing = things.of(line.item.kind, line.item.key)
        table.writerow(
            [
                no_formula(line.number),
                no_formula(thing.key),
                no_formula(thing.name),
                line.pieces,
                line.pack,
                _plain(line.price),
                _plain(line.total),
                order.currency,
            ]
        )
    return answer


def _plain(sum_: Decimal | None) -> str:
    return "" if sum_ is None else f"{sum_.normalize():f}"


def no_formula(text: str) -> str:
    """A cell that a spreadsheet does not take for a formula."""
    return f"'{text}" if text[:1] in "=+-@\t\r" else text
