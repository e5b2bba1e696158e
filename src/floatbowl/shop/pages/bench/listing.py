"""Today's bench list: what to pick up next, and what waits for whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.core.paginator import Paginator
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from floatbowl.bench.bench_list import Waiting, in_order_of_work
from floatbowl.bench.steps import step_named
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.models import Job
from floatbowl.shop.models.enquiry import digits, plain
from floatbowl.shop.security import back_to
from floatbowl.shop.unit import choose_unit

A_PAGE = 40
FEWEST_SIGNS = 3
NEEDED = ("pk", "step", "promised", "held_until", "held_for")


@dataclass(frozen=True)
class ShownJob:
    """A job as the list shows it."""

    job: Job
    step: str
    carburettor: str

    @property
    def days_late(self) -> int:
        """How many days ago it was promised for."""
        return (timezone.localdate() - self.job.promised).days if self.job.is_late and self.job.promised else 0


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The list, or the jobs that fit what was typed."""
    words, which = request.GET.get("q", "")[:200], request.GET.get("which", "")
    if words or which == "closed":
        ordered, waiting = list(_found(words, which).values_list("pk", flat=True)), []
    else:
        ordered, waiting = _of_today()
    sheet = Paginator(ordered, A_PAGE).get_page(request.GET.get("page"))
    shown_with = {
        "place": "bench",
        "words": words,
        "which": which,
        "sheet": sheet,
        "at_hand": _shown(list(sheet)),
        "waiting": _shown(waiting[:A_PAGE]) if sheet.number == 1 else [],
        "more_waiting": max(0, len(waiting) - A_PAGE),
        "count": len(ordered),
        "count_waiting": len(waiting),
        "late": Job.objects.filter(closed_at=None, held_for="", promised__lt=timezone.localdate()).count(),
        "any": Job.objects.exists(),
    }
    return render(request, "bench/home.html", shown_with)


def _of_today() -> tuple[list[int], list[int]]:
    """The numbers of the open jobs, in the order of work, and of those that wait."""
    rows = Job.objects.filter(closed_at=None).order_by().values_list(*NEEDED)
    at_hand, waiting = in_order_of_work(_waiting(*row) for row in rows)
    return [job.number for job in at_hand], [job.number for job in waiting]


def _waiting(number: int, step: str, promised: date | None, until: date | None, held_for: str) -> Waiting:
    return Waiting(number=number, step=step, promised=promised, held_until=until, held_for=held_for)


def _found(words: str, which: str) -> QuerySet[Job]:
    """Jobs, open or closed, that the words fit, latest first."""
    found = Job.objects.order_by("-pk")
    if which == "closed":
        found = found.exclude(closed_at=None)
    if not words.strip():
        return found
    fits = Q(owner__icontains=words) | Q(machine_text__icontains=words)
    if words.strip().lstrip("#").isdecimal():
        fits |= Q(pk=int(words.strip().lstrip("#")[:18]))
    if len(digits(words)) >= FEWEST_SIGNS:
        fits |= Q(phone_digits__contains=digits(words))
    if len(plain(words)) >= FEWEST_SIGNS:
        fits |= Q(number_plain__contains=plain(words))
    return found.filter(fits)


def _shown(numbers: list[int]) -> list[ShownJob]:
    jobs = Job.objects.in_bulk(numbers)
    found = (jobs[number] for number in numbers if number in jobs)
    return [ShownJob(job, step_named(job.step).title, name_of(job.carburettor)) for job in found]


@require_POST
def unit(request: HttpRequest) -> HttpResponse:
    """Millimetres or inches on this browser."""
    return choose_unit(back_to(request, request.POST.get("next", "")), request.POST.get("unit", ""))
