"""The parts a job wants: proposed from its verdicts and the kit, added by hand, ticked off as they come."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from floatbowl.bench.steps import step_named
from floatbowl.shop.jobs import wanting
from floatbowl.shop.models import Job, WantedPart
from floatbowl.shop.pages.bench import steps
from floatbowl.shop.security import who_is

LONGEST = {"name": 200, "sizes": 300, "joint": 120}


def context(job: Job) -> dict[str, Any]:
    """The list, and what is proposed for it while it is empty."""
    wanted = list(job.wanted.filter(struck_at=None))
    shown_with: dict[str, Any] = {"wanted": wanted, "sources": WantedPart.SOURCES}
    return shown_with | ({} if wanted else wanting.proposal(job))


@require_POST
def propose(request: HttpRequest, number: int) -> HttpResponse:
    """Put what is proposed on the list."""
    job = steps.find(number)
    kept = wanting.put_on_the_list(job, request.POST.get("kit", ""), who_is(request))
    messages.success(request, f"{kept} part{'' if kept == 1 else 's'} put on the list.")
    return redirect("bench:step", number, "parts-wanted")


@require_POST
def add(request: HttpRequest, number: int) -> HttpResponse:
    """Put one more part on the list."""
    job = steps.find(number)
    told = {name: request.POST.get(name, "").strip()[:most] for name, most in LONGEST.items()}
    source = request.POST.get("source", "loose")
    if source not in dict(WantedPart.SOURCES):
        raise Http404
    sent = steps.sent_name(request)
    if told["name"] and not WantedPart.objects.filter(sent=sent).exists():
        WantedPart.objects.create(job=job, source=source, sent=sent, who=who_is(request), **told)
    return steps.answered(request, job, step_named("parts-wanted"))


@require_POST
def change(request: HttpRequest, number: int, which: int) -> HttpResponse:
    """Tick a part off: it is here, its holes fit, or it is not wanted after all."""
    part = get_object_or_404(WantedPart.objects.select_related("job"), pk=which, job=number, struck_at=None)
    do = request.POST.get("do", "")
    if do not in wanting.DOES:
        raise Http404
    wanting.DOES[do](part, who_is(request))
    return steps.answered(request, steps.find(number), step_named("parts-wanted"))
