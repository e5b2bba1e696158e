"""Taking the photographs: one step at a time, each picture kept as it arrives and looked at at once."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_http_methods, require_POST

from floatbowl.shop.models import Photograph, PhotoSet
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.photographs.shown import shown_step
from floatbowl.shop.photographs import arriving, checking, guide, looking, storage, work
from floatbowl.shop.photographs.errors import CannotLookError, KeepingError
from floatbowl.shop.security import who_is


@require_POST
def begin(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Begin photographs of a mark of this carburettor."""
    in_hand = page.find(number, place)
    if missing := looking.missing():
        messages.error(request, missing)
        return redirect("counter:page", number, place)
    part = request.POST.get("part", "")[:120]
    empty = in_hand.photo_sets.filter(photographs=None, part=part).first()
    photo_set = empty or PhotoSet.objects.create(in_hand=in_hand, part=part, opened_by=who_is(request))
    return redirect("photographs:take", photo_set.pk, guide.steps()[0].key)


def find(which: int) -> PhotoSet:
    """The set of this number, or "not found"."""
    return get_object_or_404(PhotoSet.objects.select_related("in_hand__enquiry"), pk=which)


def go_on(request: HttpRequest, which: int) -> HttpResponse:
    """To where this set was left."""
    photo_set = find(which)
    taken = _taken(photo_set)
    if not taken:
        return redirect("photographs:take", which, guide.steps()[0].key)
    if Photograph.PLAIN not in taken:
        return redirect("photographs:take", which, Photograph.PLAIN)
    if photo_set.line_by:
        return redirect("photographs:read", which)
    if photo_set.corners_by:
        return redirect("photographs:line", which)
    missing = guide.first_missing(taken)
    return redirect("photographs:take", which, missing.key) if missing else redirect("photographs:corners", which)


def _taken(photo_set: PhotoSet) -> set[str]:
    return set(photo_set.photographs.values_list("place", flat=True))


@require_http_methods(["GET", "POST"])
def take(request: HttpRequest, which: int, step: str) -> HttpResponse:
    """One step; POST takes its picture, and those chosen together with it, from a form without scripts."""
    photo_set, now = find(which), guide.step_of(step)
    if now is None:
        raise Http404
    errors: list[str] = []
    if request.method == "POST" and now.place:
        errors = _keep_files(photo_set, now.place, request.FILES.getlist("photographs"), who_is(request))
    shown_with = shown_step(photo_set, now, errors)
    return render(request, "photographs/take.html", shown_with, status=page.UNPROCESSABLE if errors else 200)


def _keep_files(photo_set: PhotoSet, place: str, files: Iterable[UploadedFile[Any]], who: str) -> list[str]:
    """Keep each file that is a picture; says what is wrong with the others."""
    errors: list[str] = []
    files = list(files)
    if not files:
        return ["No photograph was chosen. Take one, or choose one that was taken before."]
    for free, file in zip(guide.free_places(_taken(photo_set), place), files, strict=False):
        try:
            if (file.size or 0) > storage.MOST_BYTES:
                raise KeepingError(f"A photograph may have {storage.MOST_BYTES // 2**20} MB at most.")
            work.look_at(storage.keep(photo_set, free, file.read(), "", who))
        except (KeepingError, CannotLookError) as wrong:
            errors.append(str(wrong))
    return errors


@require_http_methods(["GET", "POST"])
def upload(request: HttpRequest, which: int, upload: str) -> HttpResponse:
    """A photograph coming in pieces. GET says how much of it is here; POST brings the piece that begins at ``at``.

    The answer to the last piece holds the step's page anew, with what is wrong with the picture.
    """
    photo_set = find(which)
    if not arriving.is_upload(upload):
        raise Http404
    kept = photo_set.photographs.filter(upload=upload).first()
    if request.method == "GET":
        return JsonResponse({"here": arriving.arrived(photo_set, upload), "kept": kept.place if kept else None})
    told = {name: request.GET.get(name, "") for name in ("at", "of")}
    place = request.GET.get("place", "")
    if place not in guide.places() or not all(value.isdigit() and len(value) < 12 for value in told.values()):
        return JsonResponse({"wrong": "This piece says not where it belongs. Load the page again."}, status=400)
    try:
        if kept is None:
            piece = request.read(arriving.MOST_PIECE_BYTES + 1)
            here = arriving.take_piece(photo_set, upload, int(told["at"]), int(told["of"]), piece)
            if here < int(told["of"]):
                return JsonResponse({"here": here})
            kept = _keep_whole(photo_set, place, upload, who_is(request))
    except (KeepingError, CannotLookError) as wrong:
        return JsonResponse({"wrong": str(wrong)}, status=page.UNPROCESSABLE)
    return JsonResponse({"kept": kept.place, "again": checking.wants_again(kept), "page": _piece(request, kept)})


def _keep_whole(photo_set: PhotoSet, place: str, upload: str, who: str) -> Photograph:
    """Keep what has arrived whole; what is no picture is thrown away."""
    try:
        kept = storage.keep(photo_set, place, arriving.whole(photo_set, upload), upload, who)
    finally:
        arriving.drop(photo_set, upload)
    work.look_at(kept)
    return kept


def _piece(request: HttpRequest, kept: Photograph) -> str:
    step = guide.step_of(request.GET.get("step", "")) or guide.step_of(kept.place) or guide.steps()[-1]
    return render_to_string("photographs/_step.html", shown_step(find(kept.photo_set_id), step), request=request)


@require_POST
def accept(request: HttpRequest, which: int, place: str) -> HttpResponse:
    """Keep a picture although something is wrong with it."""
    photograph = get_object_or_404(Photograph, photo_set=which, place=place)
    photograph.accepted = True
    photograph.save(update_fields=["accepted"])
    return redirect(_next_address(find(which), place))


def _next_address(photo_set: PhotoSet, place: str) -> Any:
    step = guide.step_of(place)
    following = guide.after(step) if step else None
    return f"/photographs/{photo_set.pk}/" + (f"take/{following.key}/" if following else "corners/")


@require_POST
def remove(request: HttpRequest, which: int, place: str) -> HttpResponse:
    """Take one picture out."""
    photograph = get_object_or_404(Photograph, photo_set=which, place=place)
    with transaction.atomic():
        storage.forget(photograph)
        storage.changed(photograph.photo_set)
    step = guide.step_of(place)
    return redirect("photographs:take", which, step.key if step else Photograph.PLAIN)


@require_POST
def delete(request: HttpRequest, which: int) -> HttpResponse:
    """Delete a set and its pictures."""
    photo_set = find(which)
    in_hand = photo_set.in_hand
    storage.delete_set(photo_set)
    messages.success(request, "The photographs are deleted. A number that was read from them stays.")
    return redirect("counter:page", in_hand.enquiry_id, in_hand.place)
