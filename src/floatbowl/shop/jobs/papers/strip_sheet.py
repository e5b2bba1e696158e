"""The strip and measuring sheet of a job."""

from __future__ import annotations

from django.utils import timezone

from floatbowl.bench.limit import shown
from floatbowl.bench.measurements import YES_NO
from floatbowl.bench.sheet import Row
from floatbowl.papers.paper import Caution
from floatbowl.papers.strip_sheet import MeasureRow, NeedleFound, Orientation, StripSheet, strip_sheet_pdf
from floatbowl.papers.strip_sheet import Verdict as PaperVerdict
from floatbowl.shop.jobs import measuring, verdicts
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.jobs.papers.filled import NEEDLES, Filled, governs
from floatbowl.shop.jobs.settings_of import settings_of
from floatbowl.shop.models import JobReading

#: The verdict's word to the box that is ticked on paper.
PRINTED: dict[str, PaperVerdict] = {
    "leave": "leave",
    "leave, with a note": "leave",
    "repair": "repair",
    "replace": "replace",
    "refuse": "refuse",
    "measure again": "measure again",
}


def strip_sheet(told: Filled) -> bytes:
    """The strip and measuring sheet, as far as it is filled in."""
    job, rows = told.job, measuring.rows_of(told.job, told.entries)
    needle_of = {row.quantity: row.needle for row in settings_of(job)}
    sheet = StripSheet(
        shop_name=told.shop,
        job_number=str(job.pk),
        job_address=told.address,
        date=timezone.localdate(job.booked_at),
        owner_name=job.owner,
        machine=job.machine_text,
        carburettor=name_of(job.carburettor),
        needles=tuple(
            NeedleFound(name, told.value(f"strip-sheet.{entry}"), governs(needle_of.get(quantity, "")))
            for name, quantity, entry in NEEDLES
        ),
        orientations=_orientations(told),
        rows=_measured(told, rows),
        page=told.page,
    )
    return strip_sheet_pdf(sheet)


def _orientations(told: Filled) -> tuple[Orientation, ...]:
    order = told.value("strip-sheet.order of parts")
    return (Orientation("Order and what was left", order),) if order else ()


def _measured(told: Filled, rows: tuple[Row, ...]) -> tuple[MeasureRow, ...]:
    readings = measuring.readings_of(told.job)
    parts = verdicts.judged_parts(told.job, told.entries)
    return tuple(_row(row, readings, _part_of(row, parts)) for row in rows if row.measure.stage == "measure")


def _part_of(row: Row, parts: list[verdicts.JudgedPart]) -> verdicts.JudgedPart | None:
    return next((part for part in parts if part.part == row.measure.part), None)


def _row(row: Row, readings: list[JobReading], part: verdicts.JudgedPart | None) -> MeasureRow:
    mine = [reading for reading in readings if reading.row == row.key]
    decides = bool(part and part.verdict.decided_by and part.verdict.decided_by.row.key == row.key)
    used = row.limits.used
    return MeasureRow(
        what=row.measure.name,
        how=row.measure.how,
        tool=", ".join(row.measure.tools),
        unit=row.measure.unit,
        limit=row.limit_says,
        limit_source=f"{used.rank}: {used.source}" if used else "",
        readings=tuple(_reading(reading, row) for reading in mine),
        verdict=_word(row, part, decides) if mine else "",
        reason=part.verdict.sentence if part and mine and decides else "",
        cautions=tuple(Caution(caution.says, caution.rule) for caution in row.cautions),
    )


def _word(row: Row, part: verdicts.JudgedPart | None, decides: bool) -> PaperVerdict:
    """The row's own verdict; the decision where this row is the one that decides its part."""
    judged = next((each for each in part.verdict.judged if each.row.key == row.key), None) if part else None
    word = part.in_force if part and decides and part.in_force else (judged.word.value if judged else "")
    return PRINTED.get(word, "")


def _reading(reading: JobReading, row: Row) -> str:
    if reading.number is None:
        return f"not measured: {reading.why_not}"
    if row.measure.kind == YES_NO:
        return str(reading.typed)
    text = shown(reading.number, row.measure)
    return f"{reading.place}: {text}" if reading.place else text
