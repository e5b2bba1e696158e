"""The measuring sheet on the page: one row after another, each reading kept, and the verdict on each part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from floatbowl.bench.limit import Limit, says, shown
from floatbowl.bench.measurements import YES_NO, Measurement
from floatbowl.bench.readings import unread_places
from floatbowl.bench.sheet import Row
from floatbowl.bench.steps import step_named
from floatbowl.bench.taking import Taken
from floatbowl.shop.jobs import measuring, verdicts
from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.jobs.errors import AskBackError, ConflictError
from floatbowl.shop.jobs.measuring import row_name
from floatbowl.shop.models import Job, JobReading
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.pages.bench import steps
from floatbowl.shop.pages.counter.page import UNPROCESSABLE
from floatbowl.shop.security import who_is
from floatbowl.shop.unit import shown_unit

__all__ = ["context", "decide", "row_name", "take"]

#: Which rows of the sheet stand at which step.
STAGES = {"measure": ("measure",), "build": ("after repair", "build"), "wet-bench": ("wet bench",)}
#: On the wet bench a test of its own asks for these.
ASKED_ELSEWHERE = ("level_creeps",)
LONGEST = 400


@dataclass(frozen=True)
class ShownLimit:
    """One limit in words with where it comes from."""

    says: str
    rank: str
    source: str
    page: str
    doubt: str


@dataclass(frozen=True)
class ShownRow:
    """One row of the sheet as the page shows it."""

    row: Row
    limit: ShownLimit | None
    others: list[ShownLimit]
    readings: list[JobReading]
    spoken: list[str]
    places_to_read: tuple[str, ...]
    why_not: str
    sent: str
    book: str = ""
    typed: str = ""
    wrong: str = ""
    suggests: str = ""

    @property
    def pairs(self) -> list[tuple[JobReading, str]]:
        """The readings, each with how it was understood."""
        return list(zip(self.readings, self.spoken, strict=True))

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to read here."""
        return not self.places_to_read or bool(self.why_not)

    @property
    def yes_no(self) -> bool:
        """Whether it is answered rather than measured."""
        return self.row.measure.kind == YES_NO

    @property
    def next_place(self) -> str:
        """The place to read next."""
        return self.places_to_read[0] if self.places_to_read else self.row.measure.places[0]

    @property
    def tool(self) -> str:
        """The tool that stands chosen: the one used last here, else the finest."""
        last = next((reading.tool for reading in reversed(self.readings) if reading.tool), "")
        return last or (min(self.row.tools, key=lambda each: each.spread).tool if self.row.tools else "")

    @property
    def wanted(self) -> str:
        """How many readings are wanted and where, while some are."""
        repeats = self.row.measure.repeats
        if not self.places_to_read or self.why_not or (repeats == 1 and len(self.row.measure.places) == 1):
            return ""
        where = f" at {', '.join(self.places_to_read)}" if self.places_to_read[0] else ""
        return f"Still wanted{where}" + (f": {repeats} readings, each taken anew" if repeats > 1 else "")


def context(request: HttpRequest, job: Job, step: str, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """The sheet's rows of a step; at the verdict the parts with their verdicts."""
    entries, unit = standing_entries(job), shown_unit(request)
    if step == "verdict":
        parts = verdicts.judged_parts(job, entries)
        unread = [one for one in parts if one.worked_out == "not measured yet" and not one.decided]
        return {
            "parts": [one for one in parts if one not in unread],
            "unread": unread,
            "any_open": any(one.is_open and one.proposed for one in parts),
            "refused_part": refused or {},
        }
    rows = measuring.rows_of(job, entries)
    readings = measuring.readings_of(job)
    taken = measuring.taken_of(rows, readings)
    here = [row for row in rows if row.measure.stage in STAGES[step] and row.key not in ASKED_ELSEWHERE]
    shown = [_shown(row, readings, taken, entries, unit, refused or {}) for row in here]
    return {"rows": shown, "rows_done": sum(row.is_done for row in shown), "bare": "inches" if unit == "inch" else "mm"}


def _shown(
    row: Row,
    readings: list[JobReading],
    taken: tuple[Taken, ...],
    entries: dict[str, Any],
    unit: str,
    refused: dict[str, Any],
) -> ShownRow:
    mine = [reading for reading in readings if reading.row == row.key]
    wrong = refused if refused.get("row") == row.key else {}
    book = entries.get(f"{measuring.BOOK}{row.key}")
    used = row.limits.used
    return ShownRow(
        row,
        _limit(used, row.measure) if used else None,
        [_limit(other, row.measure) for other in row.limits.others],
        [reading for reading in mine if not reading.why_not],
        [_spoken(reading, row) for reading in mine if not reading.why_not],
        unread_places(row.measure, taken),
        next((reading.why_not for reading in mine if reading.why_not), ""),
        new_key(),
        book.value if book else "",
        wrong.get("typed", ""),
        wrong.get("wrong", ""),
        wrong.get("suggests", ""),
    )


def _limit(limit: Limit, measure: Measurement) -> ShownLimit:
    return ShownLimit(says(limit.working, measure), limit.rank, limit.source, limit.page, limit.doubt)


def bare_unit(row: Row, unit: str) -> str:
    """What a bare number is taken in: inches where this browser shows inches and the row is a length."""
    return "in" if unit == "inch" and row.measure.kind == "length" else ""


@require_POST
def take(request: HttpRequest, number: int) -> HttpResponse:
    """Keep one reading, strike one out, or keep what the machine's book says."""
    job = steps.find(number)
    if request.POST.get("strike"):
        reading = get_object_or_404(JobReading, pk=request.POST["strike"], job=job, struck_at=None)
        measuring.strike_reading(reading, who_is(request))
        return _answered(request, job, None)
    row = _row(job, request.POST.get("row", ""))
    text = request.POST.get("value", "")[:LONGEST]
    try:
        if "low" in request.POST:
            _keep_book(request, job, row)
        else:
            _keep_reading(request, job, row, text)
    except AskBackError as wrong:
        refused = {"row": row.key, "typed": text, "wrong": str(wrong), "suggests": wrong.suggests}
        return _answered(request, job, refused)
    return _answered(request, job, None)


def _keep_reading(request: HttpRequest, job: Job, row: Row, text: str) -> None:
    measuring.take_reading(
        job,
        row,
        text,
        place=request.POST.get("place", ""),
        tool=request.POST.get("tool", ""),
        unit=bare_unit(row, shown_unit(request)),
        why_not=request.POST.get("why_not", "")[:LONGEST],
        sent=steps.sent_name(request),
        who=who_is(request),
    )


def _keep_book(request: HttpRequest, job: Job, row: Row) -> None:
    told = {name: request.POST.get(name, "")[:LONGEST] for name in measuring.BOOK_PARTS}
    measuring.keep_book_figure(job, row, told, sent=steps.sent_name(request), who=who_is(request))


def _row(job: Job, key: str) -> Row:
    row = next((row for row in measuring.rows_of(job) if row.key == key), None)
    if row is None:
        raise Http404
    return row


def _answered(request: HttpRequest, job: Job, refused: dict[str, Any] | None) -> HttpResponse:
    at = request.POST.get("at", "measure")
    step = step_named(at if at in STAGES else "measure")
    return steps.answered(request, job, step, refused, UNPROCESSABLE if refused else 200)


@require_POST
def decide(request: HttpRequest, number: int) -> HttpResponse:
    """Keep what somebody decided about a part, or that every open part is done as it was worked out."""
    job = steps.find(number)
    part, word, reason = (request.POST.get(name, "")[:LONGEST] for name in ("part", "value", "reason"))
    parts = verdicts.judged_parts(job, standing_entries(job))
    sent, who = steps.sent_name(request), who_is(request)
    refused = None
    if part:
        one = next((one for one in parts if one.part == part), None)
        if one is None or word not in verdicts.DECISIONS:
            raise Http404
        try:
            verdicts.decide(job, one, word, reason, sent=sent, seen=steps.seen(request), who=who)
        except (AskBackError, ConflictError) as wrong:
            refused = {"part": part, "typed": reason, "wrong": str(wrong)}
    else:
        for place, one in enumerate(one for one in parts if one.is_open and one.proposed):
            verdicts.decide(job, one, one.proposed, "", sent=f"{sent[:58]}d{place}", seen=0, who=who)
    return steps.answered(request, job, step_named("verdict"), refused, UNPROCESSABLE if refused else 200)


def _spoken(reading: JobReading, row: Row) -> str:
    """A reading as it was understood, in both units where it is a length: so that a slip of unit is seen at once."""
    if reading.number is None or row.measure.kind == YES_NO:
        return str(reading.typed)
    return shown(reading.number, row.measure)
