"""The parts list of a job: proposed from verdicts, decisions and a kit's contents, then ticked off part by part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from floatbowl.bench.joints import joints
from floatbowl.bench.judging import Word
from floatbowl.bench.kit_contents import to_match
from floatbowl.bench.on_record import PartOnRecord
from floatbowl.bench.parts_wanted import PartsWanted, Wanted, parts_wanted
from floatbowl.shop.jobs.entering import count_up, standing_entries
from floatbowl.shop.jobs.measuring import known_of, readings_of, rows_of, taken_of
from floatbowl.shop.jobs.verdicts import judged_parts
from floatbowl.shop.models import Job, WantedPart
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.shelf.on_hand import with_the_shelf
from floatbowl.shop.standing import current_weigher


@dataclass(frozen=True)
class Line:
    """One proposed part as the page shows it."""

    name: str
    quantity: float
    source: str
    source_says: str
    sizes: str
    joint: str
    part: str


def proposal(job: Job, kit: str = "") -> dict[str, Any]:
    """What the verdicts and a kit call for: the lines, what is left in the kit, and which kits there are."""
    book = book_of(current_weigher().reference)
    kits = _kits(job, book)
    kit = kit if kit in dict(kits) else (kits[0][0] if kits else "")
    found = _worked_out(job, book, kit)
    said = f"From the verdicts and {book.kit_name(kit)}:" if kit else "From the verdicts; no kit is recorded for it:"
    return {
        "proposed": [_line(each) for each in found.wanted],
        "proposed_says": said,
        "left_over": [f"{each.name or each.part}: {each.why}" for each in found.left_over],
        "kits": kits,
        "kit": kit,
    }


def _kits(job: Job, book: Book) -> list[tuple[str, str]]:
    """The kits that fit, the fullest first."""
    keys = dict.fromkeys(row.kit for row in book.kits_of.get(job.carburettor, ()))
    return sorted(((key, book.kit_name(key)) for key in keys), key=lambda row: -len(book.kit_parts.get(row[0], ())))


def _worked_out(job: Job, book: Book, kit: str) -> PartsWanted:
    entries = standing_entries(job)
    parts = judged_parts(job, entries)
    decided = [replace(one.verdict, word=Word(one.decided)) if one.decided else one.verdict for one in parts]
    contents = [
        PartOnRecord(book.parts[row.part], row.position, row.quantity, tuple(book.sizes.get(row.part, ())))
        for row in book.kit_parts.get(kit, ())
        if row.part in book.parts
    ]
    rows = rows_of(job, entries)
    measured = to_match(taken_of(rows, readings_of(job)))
    return parts_wanted(decided, with_the_shelf(known_of(job)), contents, measured=measured)


def _line(wanted: Wanted) -> Line:
    said = {joint.says for joint in joints()}
    name = wanted.name or f"{wanted.kind.capitalize()} for {wanted.what_for[:1].lower()}{wanted.what_for[1:]}"
    joint = wanted.what_for if wanted.what_for in said else ""
    sources = dict(WantedPart.SOURCES)
    return Line(
        name, wanted.quantity, wanted.whence, sources[wanted.whence], ", ".join(wanted.sizes), joint, wanted.part
    )


def put_on_the_list(job: Job, kit: str, who: str) -> int:
    """Put what is proposed on an empty list; returns how many parts. A list with parts on it stays as it is."""
    with transaction.atomic():
        if job.wanted.filter(struck_at=None).exists():
            return 0
        proposed = proposal(job, kit)
        lines = proposed["proposed"]
        for line in lines:
            WantedPart.objects.create(
                job=job,
                name=line.name[:200],
                part=line.part,
                sizes=line.sizes[:300],
                quantity=line.quantity,
                source=line.source,
                kit=proposed["kit"] if line.source == "kit" else "",
                joint=line.joint[:120],
                here=line.source in ("kit", "loose"),
                who=who,
            )
        count_up(job)
    return len(lines)


def _here(part: WantedPart, who: str) -> None:
    part.here = not part.here
    part.save(update_fields=["here"])
    count_up(part.job)


def _holes(part: WantedPart, who: str) -> None:
    part.holes_checked_by = "" if part.holes_checked_by else (who or "somebody")
    part.save(update_fields=["holes_checked_by"])
    count_up(part.job)


def _strike(part: WantedPart, who: str) -> None:
    part.strike(who)
    count_up(part.job)


#: What may be done with a part on the list.
DOES: dict[str, Callable[[WantedPart, str], None]] = {"here": _here, "holes": _holes, "strike": _strike}
