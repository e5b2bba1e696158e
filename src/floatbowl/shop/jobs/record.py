"""What a job holds now, as the guards of the bench want it."""

from __future__ import annotations

from collections import Counter

from floatbowl.bench.guards import JobRecord
from floatbowl.bench.measurements import Stage
from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.jobs.measuring import not_right, unmeasured
from floatbowl.shop.jobs.verdicts import undecided
from floatbowl.shop.models import Job

#: Rows of the sheet that must be read at a step, and those that must be within their limits there.
STAGES_READ: dict[str, tuple[Stage, ...]] = {"measure": ("measure",), "build": ("after repair", "build")}
STAGES_HELD: dict[str, tuple[Stage, ...]] = {"build": ("after repair", "build"), "wet-bench": ("wet bench",)}


def record_of(job: Job) -> JobRecord:
    """The job as the guards judge it."""
    entries = standing_entries(job)
    wanted = list(job.wanted.filter(struck_at=None))
    return JobRecord(
        step=job.step,
        entries={name: entry.value for name, entry in entries.items()},
        photographs=Counter(job.photographs.filter(struck_at=None).values_list("name", flat=True)),
        wrote={name: entry.who for name, entry in entries.items()},
        unmeasured=unmeasured(job, STAGES_READ[job.step]) if job.step in STAGES_READ else (),
        not_right=not_right(job, STAGES_HELD[job.step]) if job.step in STAGES_HELD else (),
        undecided=undecided(job, entries) if job.step == "verdict" else (),
        unready=[part.name for part in wanted if not part.here],
        unchecked=[part.joint or part.name for part in wanted if part.joint and not part.holes_checked_by],
        nothing_listed=not wanted,
        on_hold=job.held_why if job.held_for else "",
    )
