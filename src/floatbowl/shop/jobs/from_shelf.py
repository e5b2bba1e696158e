"""What a job takes off the shelf: its kits and loose parts, drawn once, when it is invoiced or closed.

What has left for the job already is looked up in the ledger, under the job's own name and under its invoices, so that
nothing is taken twice whichever comes first. What is kept back for an offer of the job leaves with its invoice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Sum

from floatbowl.shop.jobs.entering import count_up
from floatbowl.shop.models import Job, LedgerLine, OfficePaper, Promise, WantedPart
from floatbowl.shop.models.office import INVOICE, OFFER
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.shelf.beginning import first_count
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, reverse, take
from floatbowl.shop.shelf.on_hand import Stand, stands_of
from floatbowl.shop.shelf.things import Thing, things_now

FROM_SHELF = ("kit", "loose")


class ShortForJobError(NotEnoughError):
    """The shelf has less free than went into a job; ``reasons`` has one line for each kit or part."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = tuple(reasons)


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """One kit or part: so many went into the job, so many of them left the shelf or are kept back for it already."""

    thing: Thing
    wanted: int
    gone: int
    kept_back: int
    free: int
    counted: bool

    @property
    def to_take(self) -> int:
        """How many are still to leave the shelf; none of what it does not count."""
        return max(0, self.wanted - self.gone - self.kept_back) if self.counted else 0

    @property
    def short(self) -> int:
        """How many fewer are free than are to leave."""
        return max(0, self.to_take - max(0, self.free))


@dataclass(frozen=True, slots=True)
class FromShelf:
    """What leaves the shelf for a job, what of its list cannot be counted there, and what has left."""

    takes: tuple[Take, ...]
    not_counted: tuple[str, ...]
    left: tuple[LedgerLine, ...]


def from_shelf(job: Job) -> FromShelf:
    """What is on the job's list and here, beside what the shelf holds of it and what has left."""
    wanted, not_counted = _wanted(job)
    things, documents = things_now(), _documents(job)
    found = [things.of(*named) for named in wanted]
    stands = {
        kind: stands_of(kind, {thing.key: thing.recorded for thing in found if thing.kind == kind})
        for kind in (KIT, PART)
    }
    takes = [
        _take(thing, wanted[thing.kind, thing.key], stands[thing.kind][thing.key], job, documents) for thing in found
    ]
    not_counted += [f"{one.thing.name}: the shelf does not count it yet" for one in takes if not one.counted]
    return FromShelf(tuple(one for one in takes if one.counted), tuple(not_counted), tuple(_left(job)))


def _take(thing: Thing, wanted: int, stand: Stand, job: Job, documents: list[str]) -> Take:
    lines = LedgerLine.objects.filter(item__kind=thing.kind, item__key=thing.key, document__in=documents)
    promised = Promise.objects.filter(
        item__kind=thing.kind, item__key=thing.key, ended_at=None, document__in=_offers(job)
    )
    return Take(
        thing=thing,
        wanted=wanted,
        gone=max(0, -(lines.aggregate(Sum("quantity"))["quantity__sum"] or 0)),
        kept_back=promised.aggregate(Sum("quantity"))["quantity__sum"] or 0,
        free=int(stand.free or 0),
        counted=stand.counted or bool(stand.on_hand and stand.on_hand == int(stand.on_hand)),
    )


def _wanted(job: Job) -> tuple[Counter[tuple[str, str]], list[str]]:
    """Whole pieces by kit or part, each kit once; and what cannot be counted on the shelf, with the reason."""
    pieces: dict[tuple[str, str], float] = {}
    kits: dict[tuple[str, str], int] = {}
    not_counted = []
    for row in job.wanted.filter(struck_at=None, here=True, source__in=FROM_SHELF):
        if row.source == "kit" and row.kit:
            kits[KIT, row.kit] = 1
        elif row.source == "kit":
            not_counted.append(f"{row.name}: out of a kit, but it is not written out of which")
        elif not row.part:
            not_counted.append(f"{row.name}: written by hand, under no number of ours")
        else:
            pieces[PART, row.part] = pieces.get((PART, row.part), 0) + row.quantity
    things = things_now()
    broken = {named: quantity for named, quantity in pieces.items() if quantity != int(quantity)}
    not_counted += [
        f"{things.of(*named).name}: {quantity:g} went in, and the shelf counts whole pieces"
        for named, quantity in broken.items()
    ]
    whole = {named: int(quantity) for named, quantity in pieces.items() if named not in broken}
    return Counter(kits | whole), not_counted


def _documents(job: Job) -> list[str]:
    """The names in the ledger under which something leaves for a job, or comes back from it."""
    invoices = list(OfficePaper.objects.filter(job=job, kind=INVOICE))
    credits = OfficePaper.objects.filter(follows__in=invoices).values_list("kind", "number")
    return [
        _name(job),
        *(f"{INVOICE} {paper.number}" for paper in invoices),
        *(f"{kind} {number}" for kind, number in credits),
    ]


def _offers(job: Job) -> list[str]:
    numbers = OfficePaper.objects.filter(job=job, kind=OFFER).values_list("number", flat=True)
    return [f"{OFFER} {number}" for number in numbers]


def _name(job: Job) -> str:
    return f"job {job.pk}"


def _left(job: Job) -> list[LedgerLine]:
    lines = LedgerLine.objects.filter(document=_name(job), why="job", quantity__lt=0, reversed_by=None)
    return list(lines.select_related("item").order_by("pk"))


def draw(job: Job, who: str) -> int:
    """Take what is still to leave the shelf for a job; returns how many pieces. Done again, it takes nothing.

    Raises ShortForJobError with a reason for each that is short; then nothing is taken.
    """
    with transaction.atomic():
        job = Job.objects.select_for_update().get(pk=job.pk)
        for one in from_shelf(job).takes:
            first_count(one.thing, who)
        takes = [one for one in from_shelf(job).takes if one.to_take]
        if short := [_short(one) for one in takes if one.short]:
            raise ShortForJobError(short)
        for one in takes:
            about = About(why="job", who=who, document=_name(job), says=f"used on it, {job.owner}")
            take(item_of(one.thing.kind, one.thing.key), one.to_take, about)
    return sum(one.to_take for one in takes)


def _short(one: Take) -> str:
    remedy = "build it on its page" if one.thing.kind == KIT else "count it there"
    return (
        f"{one.thing.name}: {one.to_take} went in, but {max(0, one.free)} are free on the shelf; {remedy}, or take it "
        "off the job's list"
    )


def put_back(job: Job, who: str, says: str = "") -> int:
    """What left for an open job lies on the shelf again: its lines are reversed; returns how many pieces.

    Its parts are then no longer here, until somebody ticks them off again. Raises ValueError for a closed job.
    """
    with transaction.atomic():
        job = Job.objects.select_for_update().get(pk=job.pk)
        if not job.is_open:
            raise ValueError("the job is closed; open it again first")
        lines = _left(job)
        for line in lines:
            if LedgerLine.objects.filter(reverses=line).exists():
                continue  # It went back with one that was written together with it.
            reverse(line, who, says or f"put back from {_name(job)}")
        back = {(line.item.kind, line.item.key) for line in lines}
        for row in WantedPart.objects.filter(job=job, struck_at=None, here=True, source__in=FROM_SHELF):
            if {(KIT, row.kit), (PART, row.part)} & back:
                row.here = False
                row.save(update_fields=["here"])
        if lines:
            count_up(job)
    return sum(-line.quantity for line in lines)
