"""The wet bench record of a job."""

from __future__ import annotations

from django.utils import timezone

from floatbowl.bench.guards import is_asked
from floatbowl.bench.limit import shown
from floatbowl.bench.steps import Entry, step_named
from floatbowl.papers.test_record import BenchTest, Refusal, ReplacedPart, WetBenchRecord, wet_bench_record_pdf
from floatbowl.shop.jobs import measuring
from floatbowl.shop.jobs.entering import timer_name
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.jobs.papers.filled import Filled

OUTCOME = {"passed": "pass", "failed": "fail", "refused in writing": "not done"}
#: Figures of the record: name, the row that tells it before, the row or entry that tells it after.
BEFORE_AND_AFTER = (
    ("Float level", "float_level", "build.level"),
    ("Play of the throttle shaft", "shaft_play", "bush_clearance"),
    ("Gap at the plate's rim", "plate_gap", ""),
    ("Fuel level below the lip", "", "wet_level"),
    ("Needle and seat under head", "", "head_hold"),
)


def test_record(told: Filled) -> bytes:
    """The wet bench's record."""
    job, entries = told.job, {name: entry.value for name, entry in told.entries.items()}
    asked = [entry for entry in step_named("wet-bench").entries if is_asked(entry, entries)]
    tests = [entry for entry in asked if "passed" in entry.choices]
    done = [told.entries[entry.name] for entry in asked if entry.name in told.entries]
    refused = told.value("wet-bench.refused")
    names = sorted({entry.who for entry in done if entry.who})
    wanted = job.wanted.filter(struck_at=None)
    record = WetBenchRecord(
        shop_name=told.shop,
        job_number=str(job.pk),
        job_address=told.address,
        date=max((timezone.localdate(entry.at) for entry in done), default=None),
        owner_name=job.owner,
        machine=job.machine_text,
        carburettor=name_of(job.carburettor),
        head=told.with_unit("wet-bench.head"),
        fluid=told.value("wet-bench.fluid"),
        tested_by=", ".join(names),
        on_an_engine=told.value("on-the-engine.who") == "we do",
        tests=(*_before_and_after(told), *(_test(entry, told) for entry in tests)),
        refusals=(Refusal(what=refused, refused_by=told.value("wet-bench.refused by"), written="as named"),)
        if refused
        else (),
        parts=tuple(ReplacedPart(part.name, part.sizes, part.source_says) for part in wanted) or None,
        result=_result([told.value(entry.name) for entry in tests]),
        page=told.page,
    )
    return wet_bench_record_pdf(record)


def _before_and_after(told: Filled) -> list[BenchTest]:
    """Figures measured before the work beside those after it; only what was measured."""
    rows = {row.key: row for row in measuring.rows_of(told.job, told.entries)}
    readings = measuring.readings_of(told.job)

    def measured(key: str) -> str:
        mine: list[float] = [
            reading.number for reading in readings if reading.row == key and reading.number is not None
        ]
        return shown(max(mine), rows[key].measure) if mine and key in rows else ""

    found = []
    for name, before, after in BEFORE_AND_AFTER:
        was = measured(before)
        now = told.with_unit(after) if "." in after else measured(after)
        limit = next((rows[key].limit_says for key in (before, after) if key in rows), "")
        if was or now:
            found.append(BenchTest(name=name, limit=limit, before=was, after=now))
    return found


def _test(entry: Entry, told: Filled) -> BenchTest:
    name, _, limit = entry.says.partition(": ")
    return BenchTest(
        name=name,
        limit=limit,
        limit_source="common practice, from memory",
        time=_watched(entry, told),
        outcome=OUTCOME.get(told.value(entry.name), ""),  # type: ignore[arg-type]
        note=_note(entry, told),
    )


def _note(entry: Entry, told: Filled) -> str:
    """What was refused, and earlier failures of the same test."""
    failed = told.job.entries.filter(name=entry.name, value="failed").exclude(struck_at=None)
    notes = [f"failed on {timezone.localdate(each.at):%d.%m.%Y}, tested again after the work" for each in failed]
    if told.value(entry.name) == "refused in writing":
        notes.append("refused in writing, see below")
    return "; ".join(notes)


def _watched(entry: Entry, told: Filled) -> str:
    """How long it was watched by the timer; said to be not timed where no timer ran long enough."""
    result, started = told.entries.get(entry.name), told.entries.get(timer_name(entry.name))
    if not entry.timer_min or result is None or result.value != "passed":
        return ""
    minutes = (result.at - started.at).total_seconds() / 60 if started else 0
    return f"{minutes:.0f} min" if minutes >= entry.timer_min else "not timed"


def _result(values: list[str]) -> str:
    if any(value == "failed" for value in values):
        return "Not passed: it goes back to the bench."
    if "" in values:
        return "Not complete."
    if all(value == "passed" for value in values):
        return "Passed."
    return "Not tested in full: what was refused in writing was not shown to hold."
