"""One item: its numbers, counting it, what else can happen to it, its ledger and its drawings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supersede import Substitute, supersession
from floatbowl.shop.address import ONLY_HERE, for_a_phone
from floatbowl.shop.models import Counted, Job, Promise, PurchaseLine
from floatbowl.shop.models.shelf import KIT, PART, Holding, Item, LedgerLine
from floatbowl.shop.pages.counter.contents import sizes_of
from floatbowl.shop.pages.shelf import charts
from floatbowl.shop.pages.shelf.sending import (
    UNPROCESSABLE,
    AtFieldError,
    pieces,
    place,
    sent_name,
    text_of,
    with_names,
)
from floatbowl.shop.security import back_to, who_is
from floatbowl.shop.shelf import building, changing
from floatbowl.shop.shelf.buying import terms_now
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.ledger import About, NotEnoughError
from floatbowl.shop.shelf.on_hand import stands_of
from floatbowl.shop.shelf.things import Thing, things_now

A_PAGE = 30
MOST_ORDERS = 20
Done = tuple[str, bool]


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
    for line in sheet:
        shown: Any = line
        shown.deed = f"reverse {line.pk}"
    outlook = expected(things)
    named = (thing.kind, thing.key)
    month, months = (outlook.span(named, 1), outlook.span(named, charts.MONTHS_AHEAD)) if outlook else (None, None)
    return with_names(
        door="list",
        thing=thing,
        item=item,
        stand=stand,
        holdings=list(Holding.objects.filter(item=item, quantity__gt=0)) if item else [],
        places=_places(),
        last_count=Counted.objects.filter(item=item).first() if item else None,
        sheet=sheet,
        promises=list(Promise.objects.filter(item=item, ended_at=None)) if item else [],
        coming=list(_coming(item)) if item else [],
        sold_by=terms_now_of(thing),
        instead=_instead(thing),
        recipe=_recipe(thing),
        in_kits=_in_kits(thing),
        sizes=sizes_of(thing.key, things.book) if thing.kind == PART else (),
        stock_chart=charts.stock_over_time(item) if item else None,
        demand_chart=charts.demand_by_month(named, month, months),
        span=months,
        counts=outlook.asked.counts.get(named, {}).items() if outlook else (),
        only_here="" if for_a_phone(request, "/") else ONLY_HERE,
        refused=refused or {},
        typed=request.POST,
    )


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


def _instead(thing: Thing) -> list[tuple[Thing, Substitute, Any]]:
    """Newer and exchangeable numbers, nearest first, with what must be minded; none where the records go round."""
    things = things_now()
    rows = [row for row in things.book.reference.replacements if thing.key in (row.old, row.new)]
    if not rows:
        return []
    try:
        found = supersession(things.book.reference.replacements).substitutes(thing.key)
    except Refused:
        return []
    others = [(things.of(thing.kind, one.part), one) for one in found]
    stands = stands_of(thing.kind, {other.key: other.recorded for other, _ in others})
    return [(other, one, stands[other.key]) for other, one in others]


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
        refused = {"deed": deed, "field": getattr(wrong, "field", ""), "wrong": _sentence(str(wrong))}
        return render(request, "shelf/item.html", whole(request, thing, refused), status=UNPROCESSABLE)
    messages.success(request, said if new else "That was written already; it is kept once.")
    return back_to(request, thing.address)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


def _about(request: HttpRequest, why: str, document: str = "") -> About:
    says = text_of(request, "says")
    return About(why=why, who=who_is(request), says=says, document=document, sent=sent_name(request))


def _at(where: str) -> str:
    return f"at {where}" if where else "without a place"


def _count(request: HttpRequest, thing: Thing) -> Done:
    counted, where = pieces(request), place(request)
    known = Counted.objects.filter(sent=sent_name(request)).exists()
    kept = count_at(thing.kind, thing.key, counted, where, _about(request, "count"))
    if not kept.changed:
        return f"Counted {counted} {_at(where)}: it agrees.", not known
    more = "more" if kept.changed > 0 else "fewer"
    return f"Counted {counted} {_at(where)}: {abs(kept.changed)} {more} than was thought.", not known


def _receive(request: HttpRequest, thing: Thing) -> Done:
    number, where = pieces(request), place(request)
    return f"{number} put {_at(where)}.", changing.receive(thing, number, where, _about(request, "receipt"))


def _move(request: HttpRequest, thing: Thing) -> Done:
    number, source, target = pieces(request), place(request, "source"), place(request, "place")
    new = changing.move(thing, number, source, target, _about(request, "move"))
    return f"{number} moved; they lie {_at(target)} now.", new


def _scrap(request: HttpRequest, thing: Thing) -> Done:
    number, where = pieces(request), place(request)
    if not text_of(request, "says"):
        raise AtFieldError("says", "Write why it is scrapped: it is looked at when buying again.")
    return f"{number} scrapped.", changing.scrap(thing, number, where, _about(request, "scrap"))


def _use(request: HttpRequest, thing: Thing) -> Done:
    number, where = pieces(request), place(request)
    job = text_of(request, "job").lstrip("#")
    if not job.isdecimal() or not Job.objects.filter(pk=int(job[:9])).exists():
        raise AtFieldError("job", "Write the number of the job; it stands on the tag.")
    new = changing.use(thing, number, where, _about(request, "job", f"job {int(job)}"))
    return f"{number} used on job {int(job)}.", new


def _build(request: HttpRequest, thing: Thing) -> Done:
    number, where, sent = pieces(request), place(request), sent_name(request)
    known = LedgerLine.objects.filter(sent=f"{sent}/kit").exists()
    building.build(thing.key, number, where, who_is(request), sent)
    return f"{number} built; their parts are taken off the shelf.", not known


def _take_apart(request: HttpRequest, thing: Thing) -> Done:
    number, where, sent = pieces(request), place(request), sent_name(request)
    known = LedgerLine.objects.filter(sent=f"{sent}/0").exists()
    building.take_apart(thing.key, number, where, who_is(request), sent)
    return f"{number} taken apart; the parts lie {_at(where)}.", not known


DEEDS: dict[str, Callable[[HttpRequest, Thing], Done]] = {
    "count": _count,
    "receive": _receive,
    "move": _move,
    "scrap": _scrap,
    "use": _use,
    "build": _build,
    "take-apart": _take_apart,
}


@require_POST
def reverse_line(request: HttpRequest, line: int) -> HttpResponse:
    """Write the line that undoes another, with the reason."""
    found = get_object_or_404(LedgerLine.objects.select_related("item"), pk=line)
    thing = things_now().of(found.item.kind, found.item.key)
    try:
        changing.undo(found, who_is(request), text_of(request, "says"))
    except (NotEnoughError, ValueError) as wrong:
        shown_at_line = not LedgerLine.objects.filter(reverses=found).exists() and not found.reverses_id
        deed = f"reverse {line}" if shown_at_line else "reverse"
        refused = {"deed": deed, "field": "says", "wrong": _sentence(str(wrong))}
        return render(request, "shelf/item.html", whole(request, thing, refused), status=UNPROCESSABLE)
    messages.success(request, f"Line {line} is reversed; both lines stay in the ledger.")
    return redirect("shelf:item", thing.kind, thing.key)
