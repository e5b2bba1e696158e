"""Numbers and looks as they are told: add, change, strike out; and the standing while a number is being typed."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from floatbowl.identify.numbers import ReadingError
from floatbowl.reference import observed
from floatbowl.shop.models.enquiry import Evidence, InHand, plain
from floatbowl.shop.models.photograph import EYE
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.counter.ask import Question, question_of, question_of_mark
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.pages.counter.forms import LookForm, ReadingForm
from floatbowl.shop.photographs.boxes import Box, after_typing
from floatbowl.shop.security import who_is
from floatbowl.shop.standing import current_reference

AFTER_CHANGE = ["readings", "answers", "ask", "standing"]
#: What a copied item takes from the old one.
TOLD = [
    "kind",
    "text",
    "cells",
    "photo_set",
    "read_by",
    "form",
    "feature",
    "value",
    "number",
    "typed",
    "tool",
    "coached",
    "part",
    "via",
    "group",
]


@require_http_methods(["GET", "POST"])
def reading(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Add a number, or put a better one in the place of ``replaces``; GET opens one to be changed."""
    in_hand = page.find(number, place)
    old = _item(in_hand, request.POST.get("replaces") or request.GET.get("replaces"))
    if request.method == "GET":
        filled = (
            {"text": old.text, "part": old.part, "made": old.form, "via": old.via, "group": old.group} if old else {}
        )
        shown_with = page.context(page.weigh(in_hand), reading=filled, changing=old)
        return page.answer_with(request, ["readings"], shown_with)
    form = ReadingForm(request.POST)
    if not form.is_valid():
        return _reading_refused(request, in_hand, old, form)
    told = form.cleaned_data
    try:
        with transaction.atomic():
            add_item(
                request, in_hand, old, kind=Evidence.READING, text=told["text"], part=told["part"], form=told["made"],
                via=told["via"] or "seen", group=told["group"] or group_said_again(in_hand, old, told["text"]),
                **_photographed(old, told["text"]),
            )  # fmt: skip
            weighed = page.weigh(in_hand)
            if weighed.refused:
                raise ReadingError(weighed.refused)
    except ReadingError as wrong:
        form.add_error("text", str(wrong))
        return _reading_refused(request, in_hand, old, form)
    return page.answer_with(request, ["readings", "ask", "standing"], page.context(weighed))


def _photographed(old: Evidence | None, text: str) -> dict[str, Any]:
    """What a reading from photographs keeps when it is changed: its pictures, and the odds of places not touched."""
    if old is None or not old.read_by:
        return {}
    if text == old.text:
        return {"photo_set": old.photo_set, "read_by": old.read_by, "cells": old.cells}
    before = [Box(tuple((str(sign), float(chance)) for sign, chance in cell)) for cell in old.cells]
    after = after_typing(before, text)
    cells = [box.as_json()["cell"] for box in after] if after and before else []
    return {"photo_set": old.photo_set, "read_by": EYE, "cells": cells}


def group_said_again(in_hand: InHand, old: Evidence | None, text: str) -> str:
    """A group for a number that was told before: the same words twice are not two independent readings."""
    before = in_hand.evidence.filter(kind=Evidence.READING, text_plain=plain(text), struck_at=None)
    if old is not None:
        before = before.exclude(pk=old.pk)
    first = before.first()
    if first is None:
        return ""
    group = first.group or f"{text}, told more than once"
    before.filter(group="").update(group=group)
    return group


def _reading_refused(request: HttpRequest, in_hand: InHand, old: Evidence | None, form: ReadingForm) -> HttpResponse:
    shown_with = page.context(page.weigh(in_hand), reading=request.POST, errors=form.errors, changing=old)
    return page.answer_with(request, ["readings"], shown_with, page.UNPROCESSABLE)


@require_POST
def look(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Add an answer to a look, or put another in the place of ``replaces``."""
    in_hand = page.find(number, place)
    old = _item(in_hand, request.POST.get("replaces"))
    if request.POST.get("mark"):
        return _unreadable(request, in_hand, request.POST["mark"][:120])
    book = book_of(current_reference())
    kind = book.kinds.get(request.POST.get("feature", ""))
    if kind is None:
        shown_with = page.context(page.weigh(in_hand), errors={"feature": ["This look is no longer in our records."]})
        return page.answer_with(request, ["ask"], shown_with, page.UNPROCESSABLE)
    form = LookForm(kind, request.POST)
    if not form.is_valid():
        again = question_of(kind, book, changes=old)
        shown_with = page.context(page.weigh(in_hand), again, errors=form.errors, typed=request.POST)
        return page.answer_with(request, ["ask"], shown_with, page.UNPROCESSABLE)
    told = form.cleaned_data
    with transaction.atomic():
        measured = told["number"] is not None
        add_item(
            request, in_hand, old, kind=Evidence.LOOK, feature=kind.feature, value=told["value"],
            number=told["number"], typed=told["value"] if measured else "", tool=told["tool"] if measured else "",
            coached=told["coached"], via=told["via"] or "seen", group=told["group"], part="",
        )  # fmt: skip
    return page.answer_with(request, ["answers", "ask", "standing"], page.context(page.weigh(in_hand)))


def _unreadable(request: HttpRequest, in_hand: InHand, mark: str) -> HttpResponse:
    """Nobody can read a number at this place: kept, so that it is not asked for again."""
    via = request.POST.get("via", "seen")
    add_item(request, in_hand, None, kind=Evidence.LOOK, value="cannot see", part=mark, via=via)
    return page.answer_with(request, ["answers", "ask", "standing"], page.context(page.weigh(in_hand)))


@require_POST
def strike(request: HttpRequest, number: int, place: int, item: int) -> HttpResponse:
    """Strike an item out; it stays in the history."""
    in_hand = page.find(number, place)
    found = get_object_or_404(Evidence, pk=item, in_hand=in_hand)
    _strike(found, who_is(request))
    return page.answer_with(request, AFTER_CHANGE, page.context(page.weigh(in_hand)))


@require_POST
def restore(request: HttpRequest, number: int, place: int, item: int) -> HttpResponse:
    """Take a struck-out item back in, as a new one that names the old."""
    in_hand = page.find(number, place)
    found = get_object_or_404(Evidence, pk=item, in_hand=in_hand)
    with transaction.atomic():
        add_item(request, in_hand, None, replaces=found, **{name: getattr(found, name) for name in TOLD})
    return page.answer_with(request, AFTER_CHANGE, page.context(page.weigh(in_hand)))


@require_GET
def standing(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """The standing with a number that is still being typed."""
    in_hand = page.find(number, place)
    form = ReadingForm(request.GET)
    draft = None
    if form.is_valid():
        typed = form.cleaned_data
        # The rest of the number may still come, so its end is left open.
        draft = observed.Reading(
            text=f"{typed['text']}*", part=typed["part"], form=typed["made"], via=typed["via"] or "seen"
        )
    return page.pieces(request, ["standing"], page.context(page.weigh(in_hand, draft)))


@require_GET
def ask(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Another question than the proposed one: a look, a number's place, or an answer to be changed."""
    in_hand = page.find(number, place)
    book = book_of(current_reference())
    old = _item(in_hand, request.GET.get("replaces"))
    chosen: Question | None = None
    if mark := request.GET.get("mark", ""):
        chosen = question_of_mark(mark[:120])
    elif kind := book.kinds.get(old.feature if old else request.GET.get("feature", "")):
        chosen = question_of(kind, book, changes=old)
    return page.answer_with(request, ["ask"], page.context(page.weigh(in_hand), chosen, asked=chosen is not None))


def _item(in_hand: InHand, number: str | None) -> Evidence | None:
    """The item a form speaks of, when it names one of this carburettor's that still stands."""
    if not number or not number.isdigit():
        return None
    return Evidence.objects.filter(pk=int(number), in_hand=in_hand, struck_at=None).first()


def _strike(item: Evidence, who: str) -> None:
    if item.struck_at is None:
        item.struck_at, item.struck_by = timezone.now(), who
        item.save()


def add_item(request: HttpRequest, in_hand: InHand, old: Evidence | None, **told: object) -> Evidence:
    """Keep one item; the one it replaces is struck out."""
    if old is not None:
        _strike(old, who_is(request))
        told["replaces"] = old
    return Evidence.objects.create(in_hand=in_hand, who=who_is(request), **told)
