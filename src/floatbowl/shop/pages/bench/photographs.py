"""Photographs of a job: taking one, looking at one, taking one out."""

from __future__ import annotations

from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET, require_POST

from floatbowl.bench.steps import entry_named, step_named
from floatbowl.shop.jobs import photographs
from floatbowl.shop.models import JobPhotograph
from floatbowl.shop.pages.bench import steps
from floatbowl.shop.pages.counter.page import UNPROCESSABLE
from floatbowl.shop.photographs.errors import CannotLookError, KeepingError
from floatbowl.shop.security import who_is

FOR_THE_DAY = "private, max-age=86400"


@require_POST
def add(request: HttpRequest, number: int) -> HttpResponse:
    """Keep the photographs sent with a form."""
    job, name = steps.find(number), request.POST.get("name", "")
    try:
        entry = entry_named(name)
    except KeyError:
        raise Http404 from None
    if entry.kind != "photographs":
        raise Http404
    refused: dict[str, Any] | None = None
    files = request.FILES.getlist("photographs")
    sent = steps.sent_name(request)
    try:
        if not files:
            raise KeepingError("No photograph was chosen. Take one, or choose one that was taken before.")
        for place, file in enumerate(files):
            photographs.keep(job, entry, file.read(), sent=_sent(sent, place), who=who_is(request))
    except (KeepingError, CannotLookError) as wrong:
        refused = {"name": name, "typed": "", "wrong": str(wrong), "suggests": ""}
    return steps.answered(request, job, step_named(entry.step), refused, UNPROCESSABLE if refused else 200)


def _sent(sent: str, place: int) -> str:
    return f"{sent[:60]}p{place}" if place else sent


@require_GET
def show(request: HttpRequest, number: int, which: int) -> HttpResponseBase:
    """One photograph, whole or as a smaller copy (``?copy=small``)."""
    photograph = get_object_or_404(JobPhotograph.objects.select_related("job"), pk=which, job=number)
    try:
        opened = photographs.path_of(photograph, request.GET.get("copy", "")).open("rb")
    except FileNotFoundError as gone:
        raise Http404 from gone
    answer = FileResponse(opened, content_type="image/jpeg", filename=f"job-{number}-{which}.jpg")
    answer["Cache-Control"] = FOR_THE_DAY
    return answer


@require_POST
def remove(request: HttpRequest, number: int, which: int) -> HttpResponse:
    """Take a photograph out of what counts."""
    photograph = get_object_or_404(JobPhotograph.objects.select_related("job"), pk=which, job=number, struck_at=None)
    photographs.strike(photograph, who_is(request))
    return steps.answered(request, steps.find(number), step_named(entry_named(photograph.name).step))
