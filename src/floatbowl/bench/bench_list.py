"""Today's bench list: what to pick up next, what waits for whom, what was promised."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from floatbowl.bench.steps import place_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """One open job as the list needs it; a lower number was booked in earlier."""

    number: int
    step: str
    promised: date | None = None
    held_until: date | None = None
    held_for: str = ""

    @property
    def on_hold(self) -> bool:
        """Whether somebody else must act first."""
        return bool(self.held_for)


def in_order_of_work(jobs: Iterable[Waiting]) -> tuple[tuple[Waiting, ...], tuple[Waiting, ...]]:
    """The jobs to pick up, first one first, and those that wait, the longest overdue first.

    To pick up: what is late or due soonest; with no promise after those with one; of equals the one furthest on, so
    that what is begun is finished; then the one booked first. A hold whose date has come stands at the head of those
    that wait: somebody must be asked.

    >>> first = Waiting(number=1, step="wash", promised=date(2026, 2, 1))
    >>> second = Waiting(number=2, step="build", promised=date(2026, 2, 1))
    >>> held = Waiting(number=3, step="wash", held_for="Priya")
    >>> [[job.number for job in part] for part in in_order_of_work([first, second, held])]
    [[2, 1], [3]]
    """
    jobs = tuple(jobs)
    at_hand = sorted((job for job in jobs if not job.on_hold), key=_urgency)
    waiting = sorted((job for job in jobs if job.on_hold), key=lambda job: (job.held_until or date.max, job.number))
    return tuple(at_hand), tuple(waiting)


def _urgency(job: Waiting) -> tuple[date, int, int]:
    return job.promised or date.max, -place_of(job.step), job.number
