"""The plate's four corners on the plain picture, and then the line of characters on the straightened plate."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from floatbowl.shop.models import Photograph, PhotoSet
from floatbowl.shop.models.photograph import EYE
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.photographs.shown import frame, work_shown
from floatbowl.shop.pages.photographs.take import find
from floatbowl.shop.photographs import looking, plane, storage, work
from floatbowl.shop.photographs.errors import CannotLookError, KeepingError

CORNER_NAMES = ("Top left", "Top right", "Bottom right", "Bottom left")
PICTURES = {
    "corners": {"group": "The plain picture with the plate's four corners", "go": "Straighten the plate"},
    "line": {"group": "The straightened plate with the corners of one line", "go": "Read this line"},
}


@require_http_methods(["GET", "POST"])
def plate(request: HttpRequest, which: int) -> HttpResponse:
    """The plate's corners: proposed, dragged, kept; then the plate is straightened."""
    photo_set = find(which)
    plain = photo_set.photographs.filter(place=Photograph.PLAIN).first()
    if plain is None:
        return redirect("photographs:take", which, Photograph.PLAIN)
    size = (plain.width, plain.height)
    if request.method == "GET":
        quad, found = _corners(photo_set, plain)
        return _page(request, photo_set, "corners", quad, size, found=found)
    try:
        quad = plane.read_quad(_sent(request), *size)
        straight = looking.straightened(photo_set, quad)
    except (plane.CornersError, KeepingError, CannotLookError) as wrong:
        return _page(request, photo_set, "corners", _sent(request), size, wrong=str(wrong))
    with transaction.atomic():
        photo_set.corners, photo_set.corners_by, photo_set.line, photo_set.line_by = quad, EYE, None, ""
        photo_set.save()
        storage.changed(photo_set)
    storage.write_whole(storage.made_path(photo_set, "straight"), straight)
    work.begin(photo_set)
    return redirect("photographs:line", which)


def _corners(photo_set: PhotoSet, plain: Photograph) -> tuple[plane.Quad, bool]:
    """The corners kept, or proposed, or a little inside the picture; and whether somebody or something found them."""
    if photo_set.corners:
        return photo_set.corners, True
    quad = None
    with suppress(KeepingError, CannotLookError):  # Whoever looks at the page can still put them.
        quad = looking.proposed_corners(plain)
    if quad is None:
        return plane.whole(plain.width, plain.height), False
    PhotoSet.objects.filter(pk=photo_set.pk, corners__isnull=True).update(corners=quad, corners_by="")
    return quad, True


@require_http_methods(["GET", "POST"])
def line(request: HttpRequest, which: int) -> HttpResponse:
    """The line of characters on the straightened plate; once it is kept, reading begins."""
    photo_set = find(which)
    if not photo_set.corners_by:
        return redirect("photographs:corners", which)
    size = plane.straight_size(photo_set.corners)
    if request.method == "GET":
        if photo_set.pictures_version != photo_set.version and photo_set.state != PhotoSet.FAILED:
            work.begin(photo_set)
        if work.going_on(photo_set):
            return render(request, "photographs/wait.html", frame(photo_set, "line") | work_shown(photo_set))
        quad, found = _line(photo_set, size)
        return _page(request, photo_set, "line", quad, size, found=found)
    try:
        quad = plane.read_quad(_sent(request), *size)
    except plane.CornersError as wrong:
        return _page(request, photo_set, "line", _sent(request), size, wrong=str(wrong))
    with transaction.atomic():
        storage.keep_line(photo_set, plane.carried(quad, plane.corners_of(size), photo_set.corners), EYE)
        work.begin(photo_set)
    return redirect("photographs:read", which)


def _line(photo_set: PhotoSet, size: tuple[int, int]) -> tuple[plane.Quad, bool]:
    """The line kept or proposed, on the straightened plate."""
    if photo_set.line:
        return plane.carried(photo_set.line, photo_set.corners, plane.corners_of(size)), True
    return plane.whole(*size), False


def _picture(photo_set: PhotoSet, stage: str, plain: Photograph | None) -> str:
    if stage == "corners":
        return f"/photographs/{photo_set.pk}/picture/plain/?copy=screen&v={plain.pk if plain else 0}"
    name = "plain" if storage.made_path(photo_set, "plain").exists() else "straight"
    return f"/photographs/{photo_set.pk}/made/{name}/?v={photo_set.version}"


def _views(photo_set: PhotoSet, stage: str) -> list[tuple[str, str]]:
    """Pictures of the plate to look at while the line is marked: what each is called, and its address."""
    called = (("plain", "Plain"), ("cleaned", "Cleaned"), ("relief", "Relief"))
    address = f"/photographs/{photo_set.pk}/made"
    there = [(name, says) for name, says in called if storage.made_path(photo_set, name).exists()]
    return [(says, f"{address}/{name}/?v={photo_set.version}") for name, says in there] if stage == "line" else []


def _sent(request: HttpRequest) -> Any:
    try:
        return json.loads(request.POST.get("quad", ""))
    except (ValueError, RecursionError):
        return None


def _page(
    request: HttpRequest,
    photo_set: PhotoSet,
    stage: str,
    quad: Any,
    size: tuple[int, int],
    found: bool = True,
    wrong: str = "",
) -> HttpResponse:
    plain = photo_set.photographs.filter(place=Photograph.PLAIN).first()
    shown_with = frame(photo_set, stage) | PICTURES[stage] | {
        "picture": _picture(photo_set, stage, plain),
        "views": _views(photo_set, stage),
        "said": photo_set.said if photo_set.state == PhotoSet.FAILED else "",
        "quad": json.dumps(quad or plane.whole(*size)),
        "corner_names": CORNER_NAMES,
        "width": size[0],
        "height": size[1],
        "found": found,
        "wrong": wrong,
        "proposed": (photo_set.corners_by if stage == "corners" else photo_set.line_by) != EYE,
    }  # fmt: skip
    status = page.UNPROCESSABLE if wrong else 200
    return render(request, f"photographs/{stage}.html", shown_with, status=status)
