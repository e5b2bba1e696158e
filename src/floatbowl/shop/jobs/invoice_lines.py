"""What a job hands to the office: parts that went in with their prices, work that was done, and what is owed back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.jobs.verdicts import judged_parts
from floatbowl.shop.models import Job
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.standing import current_weigher

Kind = Literal["part", "work", "core"]
#: What is done that is work of its own, beside parts: the words of the verdicts.
WORK = ("repair", "replace", "refuse")


@dataclass(frozen=True)
class InvoiceLine:
    """One line for the office. ``price`` is for one, in the pack's currency; ``None`` where none is recorded."""

    kind: Kind
    says: str
    quantity: float = 1.0
    price: float | None = None


def invoice_lines(job: Job) -> tuple[InvoiceLine, ...]:
    """The lines of a job, parts first. Prices are the recorded ones; what has none is for the office to price."""
    book = book_of(current_weigher().reference)
    return (*_parts(job, book), *_work(job), *_core(job))


def _parts(job: Job, book: Book) -> list[InvoiceLine]:
    found = []
    for wanted in job.wanted.filter(struck_at=None):
        part = book.parts.get(wanted.part)
        says = wanted.name if wanted.source != "made here" else f"{wanted.name}, made here"
        found.append(InvoiceLine("part", says, wanted.quantity, part.price if part else None))
    return found


def _work(job: Job) -> list[InvoiceLine]:
    parts = judged_parts(job, standing_entries(job))
    done = [(part, dict(part.choices).get(part.in_force, "")) for part in parts if part.in_force in WORK]
    lines = [InvoiceLine("work", f"{part.name}: {said}") for part, said in done if said]
    other = standing_entries(job).get("build.gaskets made")
    if other and other.value.strip():
        lines.append(InvoiceLine("work", other.value.strip()))
    return [InvoiceLine("work", "Strip, wash, measure, build and wet bench"), *lines]


def _core(job: Job) -> list[InvoiceLine]:
    core = standing_entries(job).get("close-and-send.core due")
    return [InvoiceLine("core", "Exchange core still owed")] if core and core.value == "core owed" else []
