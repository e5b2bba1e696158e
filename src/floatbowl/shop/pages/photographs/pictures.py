"""The pictures themselves: found by what they are, never by a path, and always with their own content type."""

from __future__ import annotations

from pathlib import Path

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from floatbowl.shop.models import Photograph, PhotoSet
from floatbowl.shop.photographs import storage

#: A new picture has a new address, so a browser may keep what it has seen for the day.
FOR_THE_DAY = "private, max-age=86400"


@require_GET
def picture(request: HttpRequest, which: int, place: str) -> HttpResponseBase:
    """One photograph of a set, whole or as a smaller copy (``?copy=small``)."""
    photograph = get_object_or_404(Photograph.objects.select_related("photo_set"), photo_set=which, place=place)
    path = storage.path_of(photograph, request.GET.get("copy", ""))
    return _file(request, path, "image/jpeg", f"photograph-{which}-{place}.jpg")


@require_GET
def made(request: HttpRequest, which: int, name: str) -> HttpResponseBase:
    """One of the pictures made of a set."""
    photo_set = get_object_or_404(PhotoSet, pk=which)
    if name not in storage.MADE:
        raise Http404
    file, kind = storage.MADE[name]
    return _file(request, storage.made_path(photo_set, name), kind, f"photograph-{which}-{file}")


def _file(request: HttpRequest, path: Path, kind: str, name: str) -> FileResponse | HttpResponse:
    try:
        opened = path.open("rb")
    except FileNotFoundError as gone:
        raise Http404 from gone
    answer = FileResponse(opened, content_type=kind, as_attachment="download" in request.GET, filename=name)
    answer["Cache-Control"] = FOR_THE_DAY
    return answer
