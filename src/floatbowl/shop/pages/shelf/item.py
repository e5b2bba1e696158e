"""One item: its numbers, counting it, what else can happen to it, its ledger and its drawings."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.shop.address import ONLY_HERE, for_a_phone
from floatbowl.shop.models import Counted, PurchaseLine
from floatbowl.shop.models.shelf import KIT, PART, Holding, Item, LedgerLine
from floatbowl.shop.office.floors import floor_currency
from floatbowl.shop.pages.counter.contents import sizes_of
from floatbowl.shop.pages.shelf import charts, last_order_shown
from floatbowl.shop.pages.shelf.deeds import DEEDS, even_promised
from floatbowl.shop.pages.shelf.replaced import replaced
from floatbowl.shop.pages.shelf.sending import (
    UNPROCESSABLE,
    AtFieldError,
    text_of,
    with_names,
)
from floatbowl.shop.security import back_to, who_is
from floatbowl.shop.shelf.buying import terms_now, terms_to_come
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.ledger import NotEnoughError
from floatbowl.shop.shelf.on_hand import stands_of
from floatbowl.shop.shelf.promised import PromisedError, whose
from floatbowl.shop.shelf.things import Thing, things_now
from floatbowl.shop.shelf.undoing import goes_with, own_pages, undo
from floatbowl.shop.shelf.wanted import wishes

A_PAGE = 30
MOST_ORDERS = 20


def thing_of(kind: str, key: str) -> Thing:
    """The kit or part at an address, or "not found"."""
    things = things_now()
    known = (kind, key) in things.all or Item.objects.filter(kind=kind, key=key).exists()
    if kind not in (KIT, PART) or not known:
        raise Http404
    return things.of(kind, key)


@require_GET
def show(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """An item's page."""
    return render(request, "shelf/item.html", whole(request, thing_of(kind, key)))


@require_GET
def short_address(request: HttpRequest, number: int) -> HttpResponse:
    """From a label whose item has too long a name for a square code."""
    item = get_object_or_404(Item, pk=number)
    return redirect("shelf:item", item.kind, item.key)


def whole(request: HttpRequest, thing: Thing, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """All that an item's page shows."""
    things = things_now()
    item = Item.objects.filter(kind=thing.kind, key=thing.key).first()
    stand = stands_of(thing.kind, {thing.key: thing.recorded})[thing.key]
    lines = LedgerLine.objects.filter(item=item).select_related("reverses", "reversed_by").order_by("-pk")
    sheet = Paginator(lines, A_PAGE).get_page(request.GET.get("page"))
    _tell_how_to_reverse(list(sheet))
    outlook, sold_by = expected(things), terms_now_of(thing)
    named = (thing.kind, thing.key)
    month, months = (outlook.span(named, 1), outlook.span(named, charts.MONTHS_AHEAD)) if outlook else (None, None)
    return with_names(
        door="list",
        thing=thing,
        item=item,
        stand=stand,
        floor=_floor_said(item),
        floor_currency=floor_currency(),
        holdings=list(Holding.objects.filter(item=item, quantity__gt=0)) if item else [],
        places=_places(),
        last_count=Counted.objects.filter(item=item).order_by("-at", "-pk").first() if item else None,
        sheet=sheet,
        promised_to=whose(item) if item else "",
        wished=[want for want in wishes() if named == ((KIT, want.kit) if want.kit else (PART, want.part))],
        coming=list(_coming(item)) if item else [],
        sold_by=sold_by,
        sold_later=terms_to_come(named=named),
        replaced=replaced(thing),
        recipe=_recipe(thing),
        in_kits=_in_kits(thing),
        sizes=sizes_of(thing.key, things.book) if thing.kind == PART else (),
        stock_chart=charts.stock_over_time(item) if item else None,
        demand_chart=charts.demand_by_month(named, month, months, things.recipes),
        span=months,
        counts=outlook.asked.counts.get(named, {}).items() if outlook else (),
        only_here="" if for_a_phone(request, "/") else ONLY_HERE,
        refused=refused or {},
        typed=request.POST,
    ) | last_order_shown.shown(thing, stand, outlook, sold_by)


def _tell_how_to_reverse(lines: list[LedgerLine]) -> None:
    """On every line: the page it goes back through, or what else goes back with it."""
    own, others = own_pages(lines), goes_with(lines)
    for line in lines:
        shown: Any = line
        shown.deed, shown.own_page = f"reverse {line.pk}", own.get(line.pk)
        shown.goes_with = [_said(each, line) for each in others.get(line.pk, ())]


def _said(line: LedgerLine, beside: LedgerLine) -> str:
    """A line that goes back with another: what it is of, unless it is the same, how many, and where."""
    what = "" if line.item_id == beside.item_id else f" {things_now().of(line.item.kind, line.item.key).name}"
    where = f" at {line.place}" if line.place else " without a place"
    return f"{line.quantity:+d}{what}{where}"


def _floor_said(item: Item | None) -> str:
    """The lowest price as it stands in its field; empty where none is kept, or in another currency than today's."""
    if item is None or item.floor is None or item.floor_currency != floor_currency():
        return ""
    return f"{item.floor:f}"


def _places() -> list[str]:
    """Places that are known, for the box to choose from."""
    return list(Holding.objects.exclude(place="").order_by("place").values_list("place", flat=True).distinct()[:500])


def _coming(item: Item) -> Any:
    rows = PurchaseLine.objects.filter(item=item, order__state="placed").select_related("order__supplier")
    return [row for row in rows[:MOST_ORDERS] if row.to_come]


def terms_now_of(thing: Thing) -> list[Any]:
    """Who sells it, and how."""
    return terms_now().get((thing.kind, thing.key), []) if Item.objects.filter(
        kind=thing.kind, key=thing.key, supplier_prices__isnull=False
    ).exists() else []  # fmt: skip


def _recipe(thing: Thing) -> list[tuple[Thing, float, Any]]:
    things = things_now()
    recipe = things.recipes.get(thing.key) if thing.kind == KIT else None
    if recipe is None:
        return []
    parts = [(things.of(PART, part), quantity) for part, quantity in recipe.parts]
    stands = stands_of(PART, {part.key: part.recorded for part, _ in parts})
    return [(part, quantity, stands[part.key]) for part, quantity in parts]


def _in_kits(thing: Thing) -> list[Thing]:
    """The kits that a part goes into: what cannot be built without it."""
    if thing.kind != PART:
        return []
    things = things_now()
    rows = things.book.reference.kit_parts
    return [things.of(KIT, kit) for kit in dict.fromkeys(row.kit for row in rows if row.part == thing.key)]


@require_POST
def do(request: HttpRequest, deed: str, kind: str, key: str) -> HttpResponse:
    """Count, receive, move, scrap, use, build or take apart; what is wrong stands beside its field."""
    thing = thing_of(kind, key)
    if deed not in DEEDS:
        raise Http404
    try:
        said, new = DEEDS[deed](request, thing)
    except (AtFieldError, NotEnoughError, ValueError) as wrong:
        refused = {"deed": deed, "field": getattr(wrong, "field", ""), "wrong": as_sentence(str(wrong))}
        refused["tick"] = isinstance(wrong, PromisedError)
        return render(request, "shelf/item.html", whole(request, thing, refused), status=UNPROCESSABLE)
    messages.success(request, said if new else "That was written already; it is kept once.")
    return back_to(request, thing.address)


def as_sentence(text: str) -> str:
    """With a capital and a full stop."""
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


@require_POST
def reverse_line(request: HttpRequest, line: int) -> HttpResponse:
    """Write the line that undoes another, with the reason."""
    found = get_object_or_404(LedgerLine.objects.select_related("item"), pk=line)
    thing = things_now().of(found.item.kind, found.item.key)
    try:
        back = undo(found, who_is(request), text_of(request, "says"), even_promised=even_promised(request))
    except (NotEnoughError, ValueError) as wrong:
        shown_at_line = not LedgerLine.objects.filter(reverses=found).exists() and not found.reverses_id
        deed = f"reverse {line}" if shown_at_line else "reverse"
        refused: dict[str, Any] = {"deed": deed, "field": "says", "wrong": as_sentence(str(wrong))}
        refused |= {"tick": isinstance(wrong, PromisedError), "page": getattr(wrong, "page", None)}
        return render(request, "shelf/item.html", whole(request, thing, refused), status=UNPROCESSABLE)
    with_it = f", and {len(back) - 1} more that {'was' if len(back) == 2 else 'were'} written with it"
    messages.success(
        request, f"Line {line} is reversed{with_it if len(back) > 1 else ''}; both lines stay in the ledger."
    )
    return redirect("shelf:item", thing.kind, thing.key)
