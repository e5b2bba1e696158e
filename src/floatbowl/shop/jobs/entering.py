"""Writing things down at a step: understood, held against what can be, kept once, and never over somebody else's."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from floatbowl.bench.steps import TICKED, Entry
from floatbowl.quantities import from_si, parse_quantity, rounded, show_quantity, to_si
from floatbowl.shop.jobs.errors import AskBackError, ConflictError
from floatbowl.shop.models import Job, JobEntry
from floatbowl.units import show_length

LONGEST_TEXT = 4000
#: Slips that are looked for when a number cannot be: the point a place off, hundredths, inches.
SLIPS = (10.0, 0.1, 0.01, 25.4)


def standing_entries(job: Job) -> dict[str, JobEntry]:
    """The entries that stand, by name."""
    return {entry.name: entry for entry in job.entries.filter(struck_at=None)}


@dataclass(frozen=True)
class Understood:
    """What was entered, as it is kept."""

    value: str
    number: float | None = None


def understood(entry: Entry, text: str) -> Understood:
    """What was typed or chosen, understood; raises AskBackError with the question to ask back."""
    text = text.strip()
    if len(text) > LONGEST_TEXT:
        raise AskBackError(f"That is longer than {LONGEST_TEXT} signs; write it shorter or as a photograph.")
    if entry.kind == "choice":
        return Understood(_chosen(entry, text))
    if entry.kind == "tick":
        return Understood(TICKED if text in ("on", TICKED) else "")
    if entry.kind == "number":
        return _number(entry, text)
    if entry.least and text and len(text) < entry.least:
        raise AskBackError(f"{entry.says}: that says too little; write it so that a stranger understands it.")
    return Understood(text)


def _chosen(entry: Entry, text: str) -> str:
    if text and text not in entry.choices:
        raise AskBackError(f"{entry.says}: choose one of {', '.join(entry.choices)}.")
    return text


def _number(entry: Entry, text: str) -> Understood:
    words = {word.casefold(): word for word in entry.words}
    if " ".join(text.split()).casefold() in words:
        return Understood(words[" ".join(text.split()).casefold()])
    if not text:
        raise AskBackError(f"{entry.says}: no figure was written; what stands here stays.")
    try:
        value = parse_quantity(text, entry.quantity, entry.unit)
    except ValueError as wrong:
        alternatives = f" Or say: {', '.join(entry.words)}." if entry.words else ""
        raise AskBackError(f"{wrong}.{alternatives}") from None
    low, high = bounds(entry)
    if not low <= value <= high:
        raise AskBackError(_cannot_be(entry, text, value), _meant(entry, value))
    return Understood(text, value)


def bounds(entry: Entry) -> tuple[float, float]:
    """What a number of this entry can be, in SI."""
    if entry.quantity == "temperature":
        return entry.low, entry.high
    return to_si(entry.low, entry.quantity, entry.unit), to_si(entry.high, entry.quantity, entry.unit)


def _cannot_be(entry: Entry, text: str, value: float) -> str:
    low, high = (show_quantity(bound, entry.quantity, entry.unit) for bound in bounds(entry))
    shown = show_quantity(value, entry.quantity, entry.unit)
    read = text if shown.split()[0] == text.split()[0] else f"{text} is {shown}"
    return f"{entry.says}: {read}, which cannot be; it lies between {low} and {high}. Look again."


def _meant(entry: Entry, value: float) -> str:
    low, high = bounds(entry)
    for factor in SLIPS:
        if low <= value * factor <= high and value * factor > 0:
            return f"{rounded(from_si(value * factor, entry.quantity, entry.unit))} {entry.unit}"
    return ""


def spoken(entry: Entry, kept: JobEntry, unit: str = "mm") -> str:
    """What stands in an entry as people read it: a number with its unit, beside what was typed where that differs."""
    if kept.number is None:
        return str(kept.value)
    if entry.quantity == "length" and entry.unit == "mm":
        told = show_length(1000 * kept.number, unit)
    else:
        told = show_quantity(kept.number, entry.quantity, entry.unit, digits=4)
    plain = kept.value.strip()
    return told if plain in (told, told.removesuffix(f" {entry.unit}")) else f"{told} (written {plain})"


def write_down(job: Job, entry: Entry, text: str, *, sent: str, seen: int, who: str) -> JobEntry:
    """Keep one entry; the same ``sent`` again changes nothing. ``seen`` is the entry the page showed, 0 for none.

    Raises AskBackError where it cannot be, ConflictError where somebody else wrote it since.
    """
    if known := JobEntry.objects.filter(sent=sent).first():
        return known
    told = understood(entry, text)
    with transaction.atomic():
        standing = JobEntry.objects.filter(job=job, name=entry.name, struck_at=None).first()
        if standing and standing.value == told.value:
            return standing
        if standing and standing.pk != seen and standing.who != who:
            raise ConflictError(
                f"{standing.who or 'Somebody'} wrote “{standing.value}” here meanwhile. Yours is not kept yet: "
                f"send it again to put it in its place, or leave theirs."
            )
        if standing:
            standing.strike(who)
        kept = JobEntry.objects.create(
            job=job, name=entry.name, value=told.value, number=told.number, sent=sent, who=who
        )
        count_up(job)
    return kept


def write_named(job: Job, name: str, value: str, *, sent: str, who: str) -> None:
    """Keep an entry that no step lists, in place of the one of its name; the same ``sent`` again changes nothing."""
    if JobEntry.objects.filter(sent=sent).exists():
        return
    with transaction.atomic():
        JobEntry.objects.filter(job=job, name=name, struck_at=None).update(struck_at=timezone.now(), struck_by=who)
        JobEntry.objects.create(job=job, name=name, value=value, sent=sent, who=who)
        count_up(job)


def timer_name(entry: str) -> str:
    """Under which name the start of an entry's timer is kept."""
    return f"timer {entry}"


def count_up(job: Job) -> None:
    """Count a change of the job."""
    Job.objects.filter(pk=job.pk).update(version=F("version") + 1)
    job.refresh_from_db(fields=["version"])
