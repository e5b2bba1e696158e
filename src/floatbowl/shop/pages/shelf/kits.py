"""Kits: how many lie packed, how many could be built now, what is short, and what to build."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.build_kits import Aim
from floatbowl.shelf.recipes import could_build
from floatbowl.shop.models.shelf import KIT, PART, LedgerLine
from floatbowl.shop.pages.counter import words as said
from floatbowl.shop.pages.shelf.sending import UNPROCESSABLE, chosen_number, sent_name, with_names
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf.building import CannotBuildError, build
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.ledger import NotEnoughError
from floatbowl.shop.shelf.on_hand import Stand, all_stands
from floatbowl.shop.shelf.planning import USUAL_MINUTES, Asking, Planned, plan
from floatbowl.shop.shelf.things import Named, Thing, Things, things_now
from floatbowl.shop.shelf.wanted import open_wants, served, short, wishes

A_PAGE = 50
MOST_SHORT = 100
MOST_NAMED = 3
MOST_LINES = 300


@dataclass(frozen=True, slots=True)
class KitRow:
    """A kit as packed and as it could be built."""

    thing: Thing
    stand: Stand
    buildable: int | None
    held_by: str

    @property
    def could_go_out(self) -> int:
        """Packed and free, and built from what lies loose, if nothing else were."""
        return max(0, int(self.stand.free or 0)) + (self.buildable or 0)


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """Every kit, and what is short for open jobs and for what is promised."""
    words = request.GET.get("q", "")[:200]
    things = things_now()
    stands = all_stands(things)
    loose = _loose(stands)
    wants = open_wants()
    how = served(wants, stands, things)
    missing = short(how)
    wanted = words.casefold().split()
    kits = [
        thing for (kind, _), thing in things.all.items() if kind == KIT and all(w in thing.searched for w in wanted)
    ]
    rows = sorted(
        (_row(thing, stands, loose, things) for thing in kits), key=lambda row: (row.could_go_out, row.thing.name)
    )
    sheet = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    shown_with = with_names(
        door="kits",
        words=words,
        sheet=sheet,
        count=len(rows),
        short=[(things.of(row.kind, row.key), row) for row in missing[:MOST_SHORT]],
        more_short=max(0, len(missing) - MOST_SHORT),
        to_build=[(things.of(KIT, each.want.kit), each) for each in how if each.build],
        wants=len(wants),
        wishes=[(things.of(KIT if each.kit else PART, each.kit or each.part), each) for each in wishes()[:MOST_SHORT]],
        any=bool(things.recipes) or bool(kits),
    )
    return render(request, "shelf/kits.html", shown_with)


def _loose(stands: dict[Named, Stand]) -> dict[str, float]:
    return {key: max(0.0, stand.free or 0.0) for (kind, key), stand in stands.items() if kind == PART}


def _row(thing: Thing, stands: dict[Named, Stand], loose: dict[str, float], things: Things) -> KitRow:
    recipe = things.recipes.get(thing.key)
    if recipe is None:
        return KitRow(thing, stands[KIT, thing.key], None, "")
    found = could_build(recipe, loose)
    return KitRow(thing, stands[KIT, thing.key], found.count, _names(found.held_by, things))


def _names(parts: tuple[str, ...], things: Things) -> str:
    names = [things.of(PART, part).name for part in parts]
    more = len(names) - MOST_NAMED
    return said.listed(names) if more <= 0 else f"{', '.join(names[:MOST_NAMED])} and {more} more"


@require_GET
def to_build(request: HttpRequest) -> HttpResponse:
    """What to build now: the plan, the simple rule's beside it, and what stands in the way of more."""
    return render(request, "shelf/build.html", _plan(request))


def _plan(request: HttpRequest) -> dict[str, Any]:
    hours, wrong_hours = chosen_number(request, "hours", 2.0, 0.0, 1000.0)
    minutes, wrong_minutes = chosen_number(request, "minutes", USUAL_MINUTES, 0.1, 600.0)
    months, wrong_months = chosen_number(request, "months", 1.0, 0.1, 24.0)
    aim: Aim = "fill" if request.GET.get("aim") == "fill" else "earn"
    asking = Asking(hours=hours, minutes=minutes, months=months, aim=aim)
    things = things_now()
    found: Planned | None = None
    refused = ""
    try:
        found = plan(asking, things, all_stands(things), expected(things))
    except Refused as wrong:
        refused = str(wrong)
    shown_with = with_names(
        door="build",
        asking=asking,
        typed=request.GET,
        wrong={"hours": wrong_hours, "minutes": wrong_minutes, "months": wrong_months},
        found=found,
        refused=refused,
        currency=things.book.reference.currency,
    )
    return shown_with | (_shown_plan(found, things) if found else {})


def _shown_plan(found: Planned, things: Things) -> dict[str, Any]:
    best, simple = found.plan.best, found.plan.simple
    simple_counts = dict(simple.build)
    best_counts = dict(best.build)
    lines = [
        (things.of(KIT, kit), best_counts.get(kit, 0), simple_counts.get(kit, 0))
        for kit in dict.fromkeys([*best_counts, *simple_counts])
    ]
    held = [(things.of(KIT, one.kit), one, _names(one.parts, things)) for one in found.held if one.parts or one.time]
    return {
        "lines": lines,
        "best": best,
        "simple": simple,
        "kits_best": sum(best_counts.values()),
        "kits_simple": sum(simple_counts.values()),
        "gap_in_100": 100 * found.plan.gap,
        "held": held[:MOST_LINES],
        "no_price": found.no_price[:MOST_LINES],
        "not_whole": found.not_whole[:MOST_LINES],
    }


@require_POST
def build_now(request: HttpRequest) -> HttpResponse:
    """Build what stands in the plan's boxes: all of it, or nothing."""
    from django.db import transaction

    sent = sent_name(request)
    things = things_now()
    try:
        asked = _asked(request)
        known = LedgerLine.objects.filter(sent__startswith=f"{sent}-", sent__endswith="/kit").exists()
        with transaction.atomic():
            for number, (kit, count) in enumerate(asked):
                build(kit, count, "", who_is(request), f"{sent}-{number}")
    except (NotEnoughError, CannotBuildError) as wrong:
        shown_with = _plan(request) | {"wrong_build": str(wrong)}
        typed = dict(zip(request.POST.getlist("kit"), request.POST.getlist("count"), strict=False))
        planned = {kit.key: (kit, count, simply) for kit, count, simply in shown_with.get("lines", ())}
        rest = [line for key, line in planned.items() if key not in typed]
        kept = [(things.of(KIT, key), count, planned[key][2] if key in planned else 0) for key, count in typed.items()]
        shown_with["lines"] = [*kept, *rest]
        return render(request, "shelf/build.html", shown_with, status=UNPROCESSABLE)
    total = sum(count for _, count in asked)
    names = said.listed([f"{count} of {things.of(KIT, kit).name}" for kit, count in asked[:4]])
    messages.success(request, "That was built already; it is kept once." if known else f"{total} built: {names}.")
    return redirect("shelf:kits")


def _asked(request: HttpRequest) -> list[tuple[str, int]]:
    """Kits and numbers from the boxes. Raises CannotBuildError for what is no number, or for none at all."""
    kits, counts = request.POST.getlist("kit"), request.POST.getlist("count")
    found = []
    for kit, text in zip(kits, counts, strict=False):
        if not (text.strip() or "0").isdecimal() or int((text.strip() or "0")[:7]) > 100_000:
            raise CannotBuildError(f"{text[:20]!r} is no number of kits")
        if number := int(text.strip() or 0):
            found.append((kit, number))
    if not found:
        raise CannotBuildError("Nothing to build: write how many of at least one kit.")
    return found
