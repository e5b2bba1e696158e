"""One job, one step: showing it, writing down, going on, holding, closing, and its history."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_GET

from floatbowl.bench.steps import Step, entry_named, step_named
from floatbowl.shop.jobs import moving
from floatbowl.shop.jobs.booking import close_enquiry
from floatbowl.shop.jobs.entering import timer_name, write_down, write_named
from floatbowl.shop.jobs.errors import AskBackError, ConflictError
from floatbowl.shop.jobs.from_shelf import from_shelf
from floatbowl.shop.jobs.invoice_lines import invoice_lines
from floatbowl.shop.models import Job
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.pages.bench import measure, papers, parts
from floatbowl.shop.pages.bench.shown import context
from floatbowl.shop.pages.counter.page import CONFLICT, UNPROCESSABLE
from floatbowl.shop.security import who_is

LONGEST_NAME_SENT = 64
#: Steps on whose page stands what leaves the shelf for the job.
SHOWS_SHELF = ("parts-wanted", "close-and-send", "afterwards", "write-down")


def posted(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Only for what is sent; whoever opens or reloads such an address is shown the job instead."""

    @wraps(view)
    def guarded(request: HttpRequest, number: int, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method != "POST":
            return redirect("bench:job", number)
        return view(request, number, *args, **kwargs)

    return guarded


def find(number: int) -> Job:
    """The job of this number, or "not found"."""
    return get_object_or_404(Job.objects.select_related("in_hand__enquiry", "enquiry"), pk=number)


def _step(key: str) -> Step:
    try:
        return step_named(key)
    except KeyError:
        raise Http404 from None


@require_GET
def here(request: HttpRequest, number: int) -> HttpResponse:
    """To the step where the job stands."""
    return redirect("bench:step", number, find(number).step)


@require_GET
def show(request: HttpRequest, number: int, step: str) -> HttpResponse:
    """One step of a job."""
    return render(request, "bench/job.html", whole(request, find(number), _step(step)))


def whole(request: HttpRequest, job: Job, step: Step, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """What a step's whole page shows, the sheet and the list of parts where it has them."""
    shown_with = context(request, job, step, refused) | {"paper_links": papers.LINKS}
    if step.key in measure.STAGES or step.key == "verdict":
        shown_with |= measure.context(request, job, step.key, refused)
    if step.key == "close-and-send":
        shown_with["invoice_lines"] = invoice_lines(job)
    if step.key in SHOWS_SHELF:
        shown_with["shelf"] = from_shelf(job)
    if step.key == "parts-wanted":
        shown_with |= parts.context(job)
    return shown_with


@posted
def write(request: HttpRequest, number: int) -> HttpResponse:
    """Write one thing down."""
    job, name = find(number), request.POST.get("name", "")
    try:
        entry = entry_named(name)
    except KeyError:
        raise Http404 from None
    text = request.POST.get("value", "")
    refused: dict[str, Any] | None = None
    status = 200
    try:
        write_down(job, entry, text, sent=sent_name(request), seen=seen(request), who=who_is(request))
    except AskBackError as wrong:
        refused, status = {"wrong": str(wrong), "suggests": wrong.suggests}, UNPROCESSABLE
    except ConflictError as wrong:
        refused, status = {"wrong": str(wrong), "suggests": ""}, CONFLICT
    if refused is not None:
        refused |= {"name": name, "typed": text}
    return answered(request, job, step_named(entry.step), refused, status)


def seen(request: HttpRequest) -> int:
    """The row that the page showed when it was made; 0 for none."""
    told = request.POST.get("seen", "")
    return int(told[:18]) if told.isdecimal() else 0


def sent_name(request: HttpRequest) -> str:
    """The sender's own name for what was sent, so that it is kept once."""
    sent = request.POST.get("sent", "")
    return sent if sent.isascii() and sent.isalnum() and len(sent) <= LONGEST_NAME_SENT else new_key()


def answered(
    request: HttpRequest, job: Job, step: Step, refused: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    """The step's page anew: a piece for a page that asked for it, whole or a way back for one without scripts."""
    if request.headers.get("X-Piece"):
        piece = render_to_string("bench/_step.html", whole(request, job, step, refused), request=request)
        wrong = refused["wrong"] if refused else ""
        return JsonResponse({"page": piece, "wrong": wrong}, status=status)
    if status >= 400:
        return render(request, "bench/job.html", whole(request, job, step, refused), status=status)
    return redirect("bench:step", job.pk, step.key)


@posted
def timer(request: HttpRequest, number: int) -> HttpResponse:
    """Note that the timer of a test was started."""
    job, name = find(number), request.POST.get("name", "")
    try:
        entry = entry_named(name)
    except KeyError:
        raise Http404 from None
    write_named(job, timer_name(entry.name), "started", sent=sent_name(request), who=who_is(request))
    return answered(request, job, step_named(entry.step))


@posted
def go(request: HttpRequest, number: int) -> HttpResponse:
    """Go on to the next step, or back to an earlier one with a reason."""
    job, to = find(number), request.POST.get("to", "")
    before = _step(job.step)
    try:
        moving.move(job, _step(to).key, request.POST.get("reason", ""), who_is(request))
    except moving.MayNotError as wrong:
        return _held_back(request, job, before, wrong)
    return redirect("bench:step", number, to)


def _held_back(request: HttpRequest, job: Job, step: Step, wrong: moving.MayNotError) -> HttpResponse:
    shown_with = whole(request, job, step) | {"held_back": wrong.reasons, "typed": request.POST}
    return render(request, "bench/job.html", shown_with, status=UNPROCESSABLE)


@posted
def hold(request: HttpRequest, number: int) -> HttpResponse:
    """Put the job on hold."""
    job = find(number)
    try:
        until = _day(request.POST.get("until", ""))
        moving.hold(job, request.POST.get("why", ""), request.POST.get("acts", ""), until, who_is(request))
    except moving.MayNotError as wrong:
        return _held_back(request, job, step_named(job.step), wrong)
    messages.success(request, f"Job {number} waits for {job.held_for}; they are asked again on {until:%d.%m.%Y}.")
    return redirect("bench:home")


def _day(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text.strip()) if text.strip() else None
    except ValueError:
        raise moving.MayNotError([f"{text.strip()[:20]!r} is no day; write it as year-month-day"]) from None


@posted
def off_hold(request: HttpRequest, number: int) -> HttpResponse:
    """Take the job off hold."""
    moving.off_hold(find(number), who_is(request))
    return redirect("bench:job", number)


@posted
def close(request: HttpRequest, number: int) -> HttpResponse:
    """Close the job."""
    job = find(number)
    try:
        moving.close(job, who_is(request))
    except moving.MayNotError as wrong:
        return _held_back(request, job, step_named(job.step), wrong)
    close_enquiry(job, who_is(request))
    messages.success(request, f"Job {number} is closed. All it holds stays and can be looked up.")
    return redirect("bench:home")


@posted
def reopen(request: HttpRequest, number: int) -> HttpResponse:
    """Open a closed job again."""
    job = find(number)
    to = _step(request.POST.get("to", "") or "measure").key
    try:
        moving.reopen(job, to, request.POST.get("reason", ""), who_is(request))
    except moving.MayNotError as wrong:
        return _held_back(request, job, step_named(job.step), wrong)
    return redirect("bench:step", number, to)


@require_GET
def history(request: HttpRequest, number: int) -> HttpResponse:
    """All that happened to a job and all that was ever written, struck out or standing."""
    job = find(number)
    shown_with = {"place": "bench", "job": job, "lines": _lines(job)}
    return render(request, "bench/history.html", shown_with)


def _lines(job: Job) -> list[dict[str, Any]]:
    lines: list[dict[str, Any]] = []
    for event in job.events.all():
        where = " to ".join(step_named(key).title for key in (event.from_step, event.to_step) if key)
        lines.append({"at": event.at, "who": event.who, "what": event.says_what, "says": event.says, "where": where})
    for entry in job.entries.all():
        lines.append(_line(entry, _spoken(entry.name), entry.value))
    for reading in job.readings.all():
        lines.append(_line(reading, measure.row_name(job, reading.row), reading.typed or reading.why_not))
    for picture in job.photographs.all():
        lines.append(_line(picture, f"Photograph: {_spoken(picture.name)}", ""))
    for part in job.wanted.all():
        lines.append(_line(part, "Part wanted", f"{part.name} ({part.source_says})"))
    return sorted(lines, key=lambda line: line["at"])


def _line(row: Any, what: str, says: str) -> dict[str, Any]:
    return {"at": row.at, "who": row.who, "what": what, "says": says, "where": "", "struck": row.struck_at}


def _spoken(name: str) -> str:
    try:
        return entry_named(name).says
    except KeyError:
        return name.partition(".")[2]
