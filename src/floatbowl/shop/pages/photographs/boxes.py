"""What the photographs say: the pictures side by side, and the number as boxes that a person may change and use."""

from __future__ import annotations

import json

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from floatbowl.identify.numbers import ReadingError
from floatbowl.reference.facts import FORMS
from floatbowl.shop.models import PhotoSet
from floatbowl.shop.models.enquiry import Evidence
from floatbowl.shop.pages.counter import choices, page, words
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.pages.counter.evidence import add_item, group_said_again
from floatbowl.shop.pages.photographs.shown import frame, work_shown
from floatbowl.shop.pages.photographs.take import find
from floatbowl.shop.photographs import boxes, checking, guide, storage, work
from floatbowl.shop.photographs.boxes import BoxesError
from floatbowl.shop.standing import current_reference

CONFIRMED, AS_READ = "confirmed", "as read"


@require_http_methods(["GET", "POST"])
def show(request: HttpRequest, which: int) -> HttpResponse:
    """The pictures and the boxes; POST has the set read again."""
    photo_set = find(which)
    if not photo_set.line_by:
        return redirect("photographs:set" if not photo_set.corners_by else "photographs:line", which)
    if request.method == "POST":
        work.begin(photo_set)
        return redirect("photographs:read", which)
    return _page(request, photo_set)


def _page(request: HttpRequest, photo_set: PhotoSet, errors: dict[str, list[str]] | None = None) -> HttpResponse:
    kept = list(photo_set.photographs.all())
    torches = checking.good_torches(kept)
    again = checking.take_again(kept)
    reading = photo_set.reading or {}
    shown_with = frame(photo_set, "read") | work_shown(photo_set) | {
        "pictures": _pictures(photo_set),
        "fresh": photo_set.read_version == photo_set.version,
        "boxes": photo_set.boxes,
        "boxes_text": boxes.text_of(boxes.read_boxes(photo_set.boxes)),
        "reading": reading,
        "confidence": words.times_in_100(reading["confidence"]) if reading else "",
        "form": photo_set.form or reading.get("form", ""),
        "forms": [(key, name) for key, name in choices.FORMS if key in ("stamped", "cast", "")],
        "part": photo_set.part,
        "places": book_of(current_reference()).places,
        "torches": torches,
        "again": again,
        "again_name": guide.name_of(again) if again else "",
        "few": torches < guide.FEWEST_FOR_RELIEF,
        "in_enquiry": photo_set.evidence.filter(struck_at=None).last(),
        "errors": errors or {},
    }  # fmt: skip
    return render(request, "photographs/read.html", shown_with, status=page.UNPROCESSABLE if errors else 200)


def _pictures(photo_set: PhotoSet) -> set[str]:
    """Which of the pictures are there."""
    if not photo_set.pictures_version:
        return set()
    return {name for name in storage.MADE if storage.made_path(photo_set, name).exists()}


@require_GET
def work_state(request: HttpRequest, which: int) -> HttpResponse:
    """How far reading has come; once it is over, the page is asked to load anew."""
    photo_set = find(which)
    answer = render(request, "photographs/_work.html", frame(photo_set, "read") | work_shown(photo_set))
    if not work.going_on(photo_set):
        answer["HX-Refresh"] = "true"
    return answer


@require_POST
def keep(request: HttpRequest, which: int) -> HttpResponse:
    """Keep the boxes as they stand now, so that nothing changed is lost."""
    photo_set = find(which)
    try:
        changed = _sent_boxes(request, photo_set)
    except BoxesError as wrong:
        return JsonResponse({"wrong": str(wrong)}, status=page.UNPROCESSABLE)
    _keep(request, photo_set, changed)
    return JsonResponse({"text": boxes.text_of(changed)})


def _keep(request: HttpRequest, photo_set: PhotoSet, changed: list[boxes.Box]) -> None:
    photo_set.boxes = [box.as_json() for box in changed]
    photo_set.part = request.POST.get("part", photo_set.part)[:120]
    photo_set.form = _form(request.POST.get("made", photo_set.form))
    photo_set.save(update_fields=["boxes", "part", "form"])


def _form(told: str) -> str:
    return told if told in FORMS else ""


def _sent_boxes(request: HttpRequest, photo_set: PhotoSet) -> list[boxes.Box]:
    """The boxes a browser sent; or, from one without scripts, what was typed over those kept."""
    if "boxes" not in request.POST or not request.POST["boxes"]:
        typed = boxes.after_typing(boxes.read_boxes(photo_set.boxes), request.POST.get("text", "").strip())
        if typed is None:
            raise BoxesError("A * (some are lost here) cannot stand in boxes. Type that number on the Counter page.")
        return typed
    try:
        return boxes.read_boxes(json.loads(request.POST["boxes"]))
    except (ValueError, RecursionError) as wrong:
        raise wrong if isinstance(wrong, BoxesError) else BoxesError("The boxes did not arrive whole.") from wrong


@require_POST
def use(request: HttpRequest, which: int) -> HttpResponse:
    """Put the number into the enquiry, with its odds and its photographs."""
    photo_set = find(which)
    try:
        found = _sent_boxes(request, photo_set)
        if not any(box.cell and box.best for box in found):
            raise BoxesError("No character stands in the boxes. Add what you see, or take the photographs again.")
        _keep(request, photo_set, found)
        _put_in(request, photo_set, found)
    except (BoxesError, ReadingError) as wrong:
        return _page(request, photo_set, {"boxes": [str(wrong)]})
    in_hand = photo_set.in_hand
    messages.success(request, f"{boxes.text_of(found)} is among the numbers read, with its photographs.")
    return redirect("counter:page", in_hand.enquiry_id, in_hand.place)


@transaction.atomic
def _put_in(request: HttpRequest, photo_set: PhotoSet, found: list[boxes.Box]) -> None:
    """A reading with cells; the one that these photographs gave before makes way. Raises ReadingError."""
    text, in_hand = boxes.text_of(found), photo_set.in_hand
    old = photo_set.evidence.filter(struck_at=None).last()
    add_item(
        request, in_hand, old, kind=Evidence.READING, text=text[:200],
        cells=[[list(pair) for pair in box.cell] for box in found], part=photo_set.part, form=photo_set.form,
        via="photo", group=group_said_again(in_hand, old, text) or f"photographs {photo_set.pk}", photo_set=photo_set,
        read_by=boxes.by_whom(found, request.POST.get("as") == CONFIRMED),
    )  # fmt: skip
    weighed = page.weigh(in_hand)
    if weighed.refused:
        raise ReadingError(weighed.refused)
