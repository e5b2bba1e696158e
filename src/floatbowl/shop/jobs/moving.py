"""Moving a job from step to step, putting it on hold, closing it and opening it again; each kept as an event."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from floatbowl.bench.guards import PASSED, still_missing, why_not
from floatbowl.bench.steps import place_of, step_named, steps
from floatbowl.shop.jobs.entering import count_up
from floatbowl.shop.jobs.from_shelf import ShortForJobError, draw
from floatbowl.shop.jobs.record import record_of
from floatbowl.shop.models import Job, JobEvent

WET_BENCH = "wet-bench"


class MayNotError(ValueError):
    """A move that a guard holds back; ``reasons`` say what is missing."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = tuple(reasons)


def move(job: Job, to: str, reason: str, who: str) -> None:
    """Move the job to another step; raises MayNotError with what is still missing."""
    with transaction.atomic():
        job = Job.objects.select_for_update().get(pk=job.pk)
        _must_be_open(job)
        if reasons := why_not(record_of(job), to, reason):
            raise MayNotError(reasons)
        JobEvent.objects.create(job=job, kind="moved", from_step=job.step, to_step=to, says=reason.strip(), who=who)
        if place_of(to) < place_of(WET_BENCH) <= place_of(job.step):
            _clean_sheet(job, who)
        job.step = to
        job.save(update_fields=["step"])
        count_up(job)


def _clean_sheet(job: Job, who: str) -> None:
    """What goes back behind the wet bench is tested anew: the old results are struck out and stay in the history."""
    tests = [entry.name for entry in step_named(WET_BENCH).entries if PASSED in entry.choices]
    for kept in job.entries.filter(name__in=tests, struck_at=None):
        kept.strike(who)


def came_back(job: Job) -> JobEvent | None:
    """The move that brought the job back to the step where it stands, if the last move did."""
    last = job.events.filter(kind__in=("moved", "reopened")).last()
    if last is None or last.to_step != job.step:
        return None
    is_back = last.kind == "reopened" or (last.from_step and place_of(last.to_step) < place_of(last.from_step))
    return last if is_back else None


def hold(job: Job, why: str, acts: str, until: datetime.date | None, who: str) -> None:
    """Put it on hold: why, who must act, and when they are asked again. Raises MayNotError when one is missing."""
    missing = []
    if not why.strip():
        missing.append("write why it is on hold")
    if not acts.strip():
        missing.append("write who must act")
    if until is None:
        missing.append("give the day on which they are asked again")
    elif until < timezone.localdate():
        missing.append(f"{until:%d.%m.%Y} is over; give a day to come on which they are asked again")
    if missing:
        raise MayNotError(missing)
    with transaction.atomic():
        _must_be_open(job)
        job.held_why, job.held_for, job.held_until = why.strip(), acts.strip(), until
        job.save(update_fields=["held_why", "held_for", "held_until"])
        says = f"{why.strip()}; waits for {acts.strip()}"
        JobEvent.objects.create(job=job, kind="hold", from_step=job.step, says=says, until=until, who=who)
        count_up(job)


def off_hold(job: Job, who: str) -> None:
    """Take it off hold."""
    with transaction.atomic():
        says = f"was: {job.held_why}"
        job.held_why, job.held_for, job.held_until = "", "", None
        job.save(update_fields=["held_why", "held_for", "held_until"])
        JobEvent.objects.create(job=job, kind="off hold", from_step=job.step, says=says, who=who)
        count_up(job)


def close(job: Job, who: str) -> None:
    """Close a job at its last step: what went into it leaves the shelf, unless its invoice took it already.

    Raises MayNotError with what is still missing, also on the shelf; then nothing is changed.
    """
    with transaction.atomic():
        last = steps()[-1]
        if job.held_for:
            raise MayNotError([f"it is on hold: {job.held_why}. Take it off hold first"])
        if job.step != last.key:
            raise MayNotError([f"it is at {step_named(job.step).title}; it is closed after {last.title}"])
        if reasons := still_missing(last, record_of(job)):
            raise MayNotError(reasons)
        try:
            draw(job, who)
        except ShortForJobError as short:
            raise MayNotError(short.reasons) from short
        job.closed_at, job.closed_by = timezone.now(), who
        job.save(update_fields=["closed_at", "closed_by"])
        JobEvent.objects.create(job=job, kind="closed", from_step=job.step, who=who)
        count_up(job)


def reopen(job: Job, to: str, reason: str, who: str) -> None:
    """Open a closed job again at a step, with a reason; all that it held stays. Raises MayNotError, KeyError."""
    step = step_named(to)
    if not reason.strip():
        raise MayNotError(["write why it is opened again"])
    with transaction.atomic():
        job.closed_at, job.closed_by, job.step = None, "", step.key
        job.save(update_fields=["closed_at", "closed_by", "step"])
        JobEvent.objects.create(job=job, kind="reopened", to_step=to, says=reason.strip(), who=who)
        count_up(job)


def _must_be_open(job: Job) -> None:
    if not job.is_open:
        raise MayNotError(["it is closed; open it again first"])
