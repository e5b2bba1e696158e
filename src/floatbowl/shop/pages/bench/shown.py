"""What one step's page shows: entries with what stands in them, photographs, cautions, and what is still missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from floatbowl.bench.guards import is_asked, still_missing, why_not
from floatbowl.bench.steps import Entry, Step, after, place_of, step_named, steps
from floatbowl.shop.address import ONLY_HERE, for_a_phone
from floatbowl.shop.jobs.entering import spoken, standing_entries
from floatbowl.shop.jobs.identity import name_of, weighed_from_the_object
from floatbowl.shop.jobs.moving import came_back
from floatbowl.shop.jobs.record import record_of
from floatbowl.shop.jobs.settings_of import remark, spoken_setting
from floatbowl.shop.models import Job, JobEntry, JobPhotograph, OfficePaper
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.office.rules import office_settings
from floatbowl.shop.pages.office.listing import shown as papers_shown
from floatbowl.shop.people import names_here
from floatbowl.shop.unit import shown_unit


@dataclass(frozen=True)
class ShownEntry:
    """One entry of a step with what stands in it. ``sent`` is the name the next thing sent from it will bear."""

    entry: Entry
    standing: JobEntry | None
    photographs: list[JobPhotograph]
    asked: bool
    sent: str
    typed: str = ""
    wrong: str = ""
    suggests: str = ""
    hint: str = ""
    unit: str = "mm"
    remark: str = ""

    @property
    def value(self) -> str:
        """What stands, or what was typed and not taken."""
        return self.typed or (self.standing.value if self.standing else "")

    @property
    def spoken(self) -> str:
        """What stands, as people read it."""
        return spoken(self.entry, self.standing, self.unit) if self.standing else ""

    @property
    def ident(self) -> str:
        """The entry as an element's name on the page."""
        return "entry-" + self.entry.name.replace(".", "-").replace(" ", "-")


@dataclass(frozen=True)
class StepLink:
    """One step in the row of steps."""

    step: Step
    is_here: bool
    is_done: bool


def shown_entries(job: Job, step: Step, unit: str = "mm", refused: dict[str, Any] | None = None) -> list[ShownEntry]:
    """The step's entries in order; ``refused`` is one that was not taken: its name, what was typed, what is wrong."""
    standing = standing_entries(job)
    values = {name: entry.value for name, entry in standing.items()}
    pictures: dict[str, list[JobPhotograph]] = {}
    for picture in job.photographs.filter(struck_at=None):
        pictures.setdefault(picture.name, []).append(picture)
    found = []
    for entry in step.entries:
        wrong = refused if refused and refused.get("name") == entry.name else {}
        found.append(
            ShownEntry(
                entry,
                standing.get(entry.name),
                pictures.get(entry.name, []),
                is_asked(entry, values) or bool(wrong),
                new_key(),
                wrong.get("typed", ""),
                wrong.get("wrong", ""),
                wrong.get("suggests", ""),
                spoken_setting(job, entry.name, unit),
                unit,
                remark(job, standing.get(entry.name)),
            )
        )
    return found


def guard(job: Job) -> dict[str, Any]:
    """What is still missing at the job's own step, and where it may go."""
    record, step = record_of(job), step_named(job.step)
    onward = after(job.step)
    missing = still_missing(step, record)
    if onward and not record.on_hold:
        missing = why_not(record, onward.key)
    earlier = steps()[: place_of(job.step)]
    failed = [entry.says for entry in step.entries if record.entries.get(entry.name) == "failed"]
    return {"onward": onward, "missing": missing, "earlier": earlier, "failed": "; ".join(failed)}


#: Steps on whose page an offer is made: the price is known at the verdict, and again when the parts are.
MAKES_OFFER = ("verdict", "parts-wanted")
#: What was written at booking or strip and stands over every later step.
FLAGS = {
    "booked-in.hazards": {
        "grey fibre gasket or packing": "Grey fibre was seen at booking: treat it as asbestos; no scraping, no air.",
        "old paint that may hold lead": "Old paint was seen at booking: it may hold lead; no dry sanding or brushing.",
        "both": "Grey fibre and old paint were seen at booking: treat them as asbestos and lead.",
    },
    "booked-in.fuel inside": {"not drained yet": "Not drained yet: no flame, no spark; drain it outdoors first."},
}


def flags(job: Job) -> list[str]:
    """What is to be minded on this very unit at every step."""
    kept = standing_entries(job)
    return [says[kept[name].value] for name, says in FLAGS.items() if name in kept and kept[name].value in says]


def context(request: HttpRequest, job: Job, step: Step, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """What the templates of a step's page are given."""
    here = place_of(job.step)
    links = [StepLink(one, one.key == step.key, place < here) for place, one in enumerate(steps())]
    shown_with: dict[str, Any] = {
        "place": "bench",
        "job": job,
        "step": step,
        "links": links,
        "is_now": step.key == job.step and job.is_open,
        "carburettor": name_of(job.carburettor),
        "booked_as": name_of(job.booked_as),
        "entries": shown_entries(job, step, shown_unit(request), refused),
        "guard": guard(job),
        "names": names_here(),
        "unit": shown_unit(request),
        "came_back": came_back(job),
        "flags": flags(job),
        "code": office_settings().currency,
        "papers_made": lambda: papers_shown(list(OfficePaper.objects.filter(job=job).order_by("pk"))),
        "may_offer": step.key in MAKES_OFFER,
        "only_here": "" if for_a_phone(request, "/") else ONLY_HERE,
    }
    if step.key == "booked-in":
        shown_with["identity"] = weighed_from_the_object(job)
    return shown_with
