"""What is promised and what open jobs wait for, and what of it is short: packed kits go first, then kits to build.

An offer that nobody has accepted yet is a wish: nothing is kept back for it, and nothing is short for it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import F
from django.utils import timezone

from floatbowl.shelf.short_of import Served, Want, serve
from floatbowl.shop.models import Job, OfficePaper, Promise, WantedPart
from floatbowl.shop.models.office import OFFER, OPEN
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Named, Things


@dataclass(frozen=True, slots=True)
class ShortThing:
    """So many of a kit or part are short, and for what."""

    kind: str
    key: str
    quantity: float
    for_: tuple[str, ...]


def open_wants() -> list[Want]:
    """Everything waited for: what is promised, then open jobs by the day they were promised for."""
    return [*_promised(), *_jobs()]


def _promised() -> list[Want]:
    rows = Promise.objects.filter(ended_at=None, quantity__gt=0).select_related("item")
    return [_want(row.document, row.quantity, row.item.kind, row.item.key) for row in rows]


def _jobs() -> list[Want]:
    parts = WantedPart.objects.filter(struck_at=None, here=False, quantity__gt=0, job__closed_at=None)
    parts = parts.exclude(part="").exclude(source="made here").select_related("job")
    parts = parts.order_by(F("job__promised").asc(nulls_last=True), "job_id", "pk")
    return [_want(_job_says(part.job), part.quantity, PART, part.part) for part in parts]


def _job_says(job: Job) -> str:
    return f"job {job.pk}, {job.owner}"


def wishes() -> list[Want]:
    """What is on offers that nobody has answered yet and that have not run out: nothing is promised for them."""
    found = OfficePaper.objects.filter(kind=OFFER, state=OPEN).order_by("pk")
    return [
        _want(f"offer {paper.number}, {paper.to_name}", pieces, kind, key)
        for paper in found
        if date.fromisoformat(paper.facts["valid_until"]) >= timezone.localdate()
        for _, kind, key, pieces in paper.goods
    ]


def _want(for_: str, quantity: float, kind: str, key: str) -> Want:
    return Want(for_=for_, quantity=quantity, **{"kit" if kind == KIT else "part": key})


def served(wants: list[Want], stands: dict[Named, Stand], things: Things) -> tuple[Served, ...]:
    """How each want is met by what is on hand."""
    packed = {key: stand.on_hand or 0.0 for (kind, key), stand in stands.items() if kind == KIT}
    loose = {key: stand.on_hand or 0.0 for (kind, key), stand in stands.items() if kind == PART}
    return serve(wants, packed, loose, things.recipes.values())


def short(of: Iterable[Served]) -> list[ShortThing]:
    """What is short in all, by kit or part, with what waits for each; most first."""
    totals: dict[Named, float] = {}
    waits: dict[Named, dict[str, None]] = {}
    for each in of:
        for one in each.short:
            named = (PART, one.part) if one.part else (KIT, one.kit)
            totals[named] = totals.get(named, 0.0) + one.quantity
            waits.setdefault(named, {})[one.for_] = None
    rows = [ShortThing(*named, quantity, tuple(waits[named])) for named, quantity in totals.items()]
    return sorted(rows, key=lambda row: (-row.quantity, row.key))
