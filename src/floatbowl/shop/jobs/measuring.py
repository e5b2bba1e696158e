"""The measuring sheet of a job: its rows, its readings as they were taken, and what is still to be measured."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping

from django.db import transaction

from floatbowl.bench.judging import Word, judge
from floatbowl.bench.limit import Figure, limit_of
from floatbowl.bench.measurements import Stage, measurement
from floatbowl.bench.on_record import OnRecord, on_record
from floatbowl.bench.readings import unread_places
from floatbowl.bench.sheet import Row, sheet, usual_parts
from floatbowl.bench.taking import AskBack, Taken, take
from floatbowl.reference.facts import Reference
from floatbowl.shop.jobs.entering import count_up, standing_entries, write_named
from floatbowl.shop.jobs.errors import AskBackError
from floatbowl.shop.models import Job, JobEntry, JobReading
from floatbowl.shop.standing import current_weigher

#: What the bench sees, from the entries where it was written down.
SEEN = {
    "body metal": "strip-sheet.body metal",
    "float material": "strip-sheet.float material",
    "float shape": "strip-sheet.float shape",
    "venturi": "strip-sheet.venturi",
    "idle": "booked-in.idle",
}
NOT_FITTED = "not fitted"
#: Parts that are not there when an entry says so.
MISSING_PARTS = {"idle needle": "strip-sheet.idle needle", "main needle": "strip-sheet.main needle"}
NOTHING_RECORDED = OnRecord(carburettor="", name="")
MEASURING: tuple[Stage, ...] = ("measure",)
#: Decisions on the shaft bores after which there are new bushes.
BUSHED = ("repair", "replace", "refuse")
#: Kept apart from the other decisions on a part: its name among the entries.
DECISION = "verdict.part "
BOOK = "measure.book "
BOOK_PARTS = ("low", "high", "source", "datum")


_held: tuple[Reference, dict[str, OnRecord]] | None = None


def _known(reference: Reference, carburettor: str) -> OnRecord:
    """What the records hold, gathered once for each version of them."""
    global _held
    if _held is None or _held[0] is not reference:
        _held = (reference, {})
    known = _held[1]
    if carburettor not in known:
        known[carburettor] = on_record(reference, carburettor)
    return known[carburettor]


def known_of(job: Job) -> OnRecord:
    """What the records hold of the job's carburettor; nothing where it is not settled or not recorded."""
    reference = current_weigher().reference
    try:
        return _known(reference, job.carburettor) if job.carburettor else NOTHING_RECORDED
    except KeyError:
        return NOTHING_RECORDED


def seen_at_the_bench(entries: Mapping[str, JobEntry]) -> dict[str, str]:
    """What was seen at the bench, in the sheet's words."""
    told = {fact: entries[name].value for fact, name in SEEN.items() if name in entries and entries[name].value}
    return {fact: value for fact, value in told.items() if value != "not known"}


def rows_of(job: Job, entries: Mapping[str, JobEntry] | None = None) -> tuple[Row, ...]:
    """The rows that apply to this job, in bench order."""
    entries = standing_entries(job) if entries is None else entries
    gone = {part for part, name in MISSING_PARTS.items() if name in entries and entries[name].value == NOT_FITTED}
    parts = set(usual_parts()) - gone
    bores = entries.get(f"{DECISION}shaft bores")
    if bores is not None and bores.value.startswith(BUSHED):
        parts.add("new bushes")
    return sheet(known_of(job), parts, seen=seen_at_the_bench(entries), figures=figures_of(entries))


def figures_of(entries: Mapping[str, JobEntry]) -> tuple[Figure, ...]:
    """Figures of the machine's own book that were written down for this job."""
    return tuple(
        _book_figure(name.removeprefix(BOOK), json.loads(entry.value))
        for name, entry in entries.items()
        if name.startswith(BOOK) and entry.value
    )


def _book_figure(row: str, told: Mapping[str, str]) -> Figure:
    source = told["source"] or "machine's own book"
    return Figure(measurement=row, low=told["low"], high=told["high"], source=source, datum=told["datum"])


def keep_book_figure(job: Job, row: Row, told: Mapping[str, str], *, sent: str, who: str) -> None:
    """Keep what the machine's own book says of one row; empty figures take it back. Raises AskBackError."""
    name, value = f"{BOOK}{row.key}", ""
    told = {part: told.get(part, "").strip() for part in BOOK_PARTS}
    if told["low"] or told["high"]:
        try:
            limit_of(_book_figure(row.key, told), row.measure)
        except ValueError as wrong:
            raise AskBackError(f"{wrong}.") from None
        value = json.dumps(told)
    write_named(job, name, value, sent=sent, who=who)


def row_name(job: Job, key: str) -> str:
    """A row's plain name; its key for one that is no longer on the sheet."""
    try:
        return measurement(key).name
    except KeyError:
        return key


def readings_of(job: Job) -> list[JobReading]:
    """The readings that stand."""
    return list(job.readings.filter(struck_at=None))


def taken_of(rows: Iterable[Row], readings: Iterable[JobReading]) -> tuple[Taken, ...]:
    """The readings as the sheet takes them; one whose row no longer applies is left out."""
    by_key = {row.key: row for row in rows}
    found = []
    for reading in readings:
        row = by_key.get(reading.row)
        if row is None or reading.number is None or reading.place not in row.measure.places:
            continue
        spread = next((tool.spread for tool in row.tools if tool.tool == reading.tool), None)
        sd = spread if spread is not None else max((tool.spread for tool in row.tools), default=0.0)
        found.append(
            Taken(
                measure=row.key,
                place=reading.place,
                value=reading.number,
                sd=sd,
                tool=reading.tool,
                text=reading.typed,
            )
        )
    return tuple(found)


def take_reading(
    job: Job, row: Row, text: str, *, place: str, tool: str, unit: str, why_not: str, sent: str, who: str
) -> JobReading:
    """Keep one reading, or why it could not be taken; the same ``sent`` again changes nothing. Raises AskBackError."""
    if known := JobReading.objects.filter(sent=sent).first():
        return known
    number: float | None = None
    if why_not.strip() and not text.strip():
        place, tool = "", ""
    else:
        try:
            taken = take(text, row, tool=tool, unit=unit, place=place)
        except ValueError as wrong:
            raise AskBackError(f"{wrong}.") from None
        if isinstance(taken, AskBack):
            raise AskBackError(taken.reason, " or ".join(taken.did_you_mean))
        number, place, tool = taken.value, taken.place, taken.tool
    with transaction.atomic():
        reading = JobReading.objects.create(
            job=job,
            row=row.key,
            place=place,
            number=number,
            typed=text.strip(),
            tool=tool,
            why_not=why_not.strip(),
            sent=sent,
            who=who,
        )
        count_up(job)
    return reading


def strike_reading(reading: JobReading, who: str) -> None:
    """Strike a reading out; it stays in the history."""
    reading.strike(who)
    count_up(reading.job)


def unmeasured(job: Job, stages: Collection[Stage] = MEASURING) -> tuple[str, ...]:
    """Rows of the sheet that hold the job back: no reading at some place, and no reason written why not."""
    rows, readings = rows_of(job), readings_of(job)
    taken = taken_of(rows, readings)
    excused = {reading.row for reading in readings if reading.why_not}
    needed = (row for row in rows if row.measure.stage in stages and not row.measure.optional)
    return tuple(_lacking(row, taken) for row in needed if row.key not in excused and _lacking(row, taken))


def not_right(job: Job, stages: Collection[Stage]) -> tuple[str, ...]:
    """Rows measured after the work that are outside their limits still, or must be measured again."""
    rows = [row for row in rows_of(job) if row.measure.stage in stages]
    taken = taken_of(rows, readings_of(job))
    judged = (judge(row, taken) for row in rows)
    return tuple(each.row.measure.name for each in judged if each.places and each.word.severity >= Word.AGAIN.severity)


def _lacking(row: Row, taken: tuple[Taken, ...]) -> str:
    places = unread_places(row.measure, taken)
    if not places:
        return ""
    where = ", ".join(filter(None, places))
    again = f"{row.measure.repeats} readings" if row.measure.repeats > 1 else ""
    told = "; ".join(filter(None, (where, again)))
    return f"{row.measure.name} ({told})" if told else row.measure.name
