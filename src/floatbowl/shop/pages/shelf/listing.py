"""The shelf's list: every kit and part with its numbers and its place, short ones first."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.shop.models.shelf import KIT, PART, Holding
from floatbowl.shop.pages.shelf.sending import with_names
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf.beginning import begin as begin_shelf
from floatbowl.shop.shelf.on_hand import Stand, all_stands
from floatbowl.shop.shelf.things import Named, Thing, Things, things_now
from floatbowl.shop.shelf.wanted import open_wants, served, short

A_PAGE = 50
WHICH = (("", "all"), ("short", "short"), (KIT, "kits"), (PART, "parts"), ("none", "none on hand"))


@dataclass(frozen=True, slots=True)
class Row:
    """One item as the list shows it."""

    thing: Thing
    stand: Stand
    short: float
    short_for: tuple[str, ...]
    places: tuple[tuple[str, int], ...]


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The list, or what of it fits the words."""
    words, which = request.GET.get("q", "")[:200], request.GET.get("which", "")
    things = things_now()
    stands = all_stands(things)
    missing = {(row.kind, row.key): row for row in short(served(open_wants(), stands, things))}
    named = _in_order(_found(things, stands, words, which, set(missing)), things, stands, set(missing))
    sheet = Paginator(named, A_PAGE).get_page(request.GET.get("page"))
    places = _places(list(sheet))
    rows = [
        Row(
            things.of(*name),
            stands.get(name, Stand(None)),
            missing[name].quantity if name in missing else 0,
            missing[name].for_ if name in missing else (),
            places.get(name, ()),
        )
        for name in sheet
    ]
    shown_with = with_names(
        door="list",
        words=words,
        which=which,
        kinds=WHICH,
        sheet=sheet,
        rows=rows,
        count=len(named),
        any=bool(stands),
        short=len(missing),
        not_begun=sum(1 for name, stand in stands.items() if not stand.counted and (stand.on_hand or 0) > 0),
    )
    piece = request.headers.get("HX-Target") == "found"
    return render(request, "shelf/_found.html" if piece else "shelf/home.html", shown_with)


def _found(things: Things, stands: dict[Named, Stand], words: str, which: str, missing: set[Named]) -> list[Named]:
    wanted = words.casefold().split()
    names = stands if which != "short" else missing
    found = []
    for named in names:
        if which in (KIT, PART) and named[0] != which:
            continue
        if which == "none" and (stands[named].on_hand or 0) >= 1:
            continue
        searched = things.all[named].searched if named in things.all else f"{named[0]} {named[1]}".casefold()
        if all(word in searched for word in wanted):
            found.append(named)
    return found


def _in_order(found: list[Named], things: Things, stands: dict[Named, Stand], missing: set[Named]) -> list[Named]:
    """Short ones first, then more promised than there are, then none on hand, then the rest; by name in each."""

    def order(named: Named) -> tuple[int, str, str]:
        stand = stands.get(named) or Stand(None)
        free = stand.free
        rank = 0 if named in missing else 1 if free is not None and free < 0 else 2 if not stand.on_hand else 3
        return rank, things.all[named].name if named in things.all else named[1], named[1]

    return sorted(found, key=order)


def _places(named: list[Named]) -> dict[Named, tuple[tuple[str, int], ...]]:
    found: dict[Named, tuple[tuple[str, int], ...]] = {}
    held = Holding.objects.filter(item__key__in=[key for _, key in named], quantity__gt=0).order_by("place")
    for kind, key, place, quantity in held.values_list("item__kind", "item__key", "place", "quantity"):
        found[kind, key] = (*found.get((kind, key), ()), (place, quantity))
    return found


@require_POST
def begin(request: HttpRequest) -> HttpResponse:
    """Take the records' numbers over as first counts."""
    begun = begin_shelf(who_is(request))
    items = f"{begun.items} item{'' if begun.items == 1 else 's'}"
    said = f"{items} begun with {begun.pieces} pieces, as the records had them."
    if begun.not_whole:
        names = ", ".join(thing.name for thing in begun.not_whole[:5])
        said += f" Left out, because their number is not whole: {names}. Count them."
    messages.success(request, said)
    return redirect("shelf:home")
