"""The strip and measuring sheet of a job."""

from __future__ import annotations

from django.utils import timezone

from floatbowl.bench.limit import shown
from floatbowl.bench.measurements import YES_NO
from floatbowl.bench.sheet import Row
from floatbowl.papers.paper import Caution
from floatbowl.papers.strip_sheet import MeasureRow, NeedleFound, Orientation, StripSheet, strip_sheet_pdf
from floatbowl.shop.jobs import measuring, verdicts
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.jobs.papers.filled import NEEDLES, Filled, governs
from floatbowl.shop.jobs.settings_of import settings_of
from floatbowl.shop.models import JobReading


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
    parts = {part.part: part for part in verdicts.judged_parts(told.job, told.entries)}
    first = {part: next(r.key for r in rows if r.measure.part == part) for part in {r.measure.part for r in rows}}
    return tuple(
        _row(row, readings, parts.get(row.measure.part) if first[row.measure.part] == row.key else None)
        for row in rows
        if row.measure.stage == "measure"
    )


def _row(row: Row, readings: list[JobReading], part: verdicts.JudgedPart | None) -> MeasureRow:
    mine = [reading for reading in readings if reading.row == row.key]
    word = part.in_force if part and mine else ""
    used = row.limits.used
    return MeasureRow(
        what=row.measure.name,
        how=row.measure.how,
        tool=", ".join(row.measure.tools),
        unit=row.measure.unit,
        limit=row.limit_says,
        limit_source=f"{used.rank}: {used.source}" if used else "",
        readings=tuple(_reading(reading, row) for reading in mine),
        verdict=word if word in ("leave", "repair", "replace", "refuse") else "",  # type: ignore[arg-type]
        reason=part.verdict.sentence if part and mine else "",
        cautions=tuple(Caution(caution.says, caution.rule) for caution in row.cautions),
    )


def _reading(reading: JobReading, row: Row) -> str:
    if reading.number is None:
        return f"not measured: {reading.why_not}"
    if row.measure.kind == YES_NO:
        return str(reading.typed)
    text = shown(reading.number, row.measure)
    return f"{reading.place}: {text}" if reading.place else text
