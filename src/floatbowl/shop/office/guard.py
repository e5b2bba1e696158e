"""No kit goes out by a paper before it was read back, or somebody wrote why it goes out all the same.

The counter's read-back stands for two independent kinds of evidence, or for a reason written there. A paper of a kit
that has none needs a reason of its own; it is kept beside the paper for the office and never printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.shop.models import OfficePaper, ReadBack
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.office.beside import beside_of

#: Under this name among a paper's facts.
KEPT_AS: Final = "let out"
#: A reason of fewer letters says nothing.
LEAST_REASON: Final = 8
NAMED_BY_CUSTOMER: Final = "The customer named the kit himself"
ON_OUR_BENCH: Final = "The carburettor lies on our bench and was held against the kit's parts"


class KitNotReadBackError(Refused):
    """A kit would go out on nobody's word."""


@dataclass(frozen=True, slots=True)
class LetOut:
    """Why kits go out without a read-back, who said so, and when."""

    why: str
    who: str
    at: datetime


def kits_of(paper: OfficePaper) -> dict[str, str]:
    """The kits on a paper by their key, with what their line says."""
    beside, lines = beside_of(paper), paper.facts["lines"]
    places = dict(beside.kits) | {place: key for place, kind, key, _ in paper.goods if kind == KIT}
    return {key: str(lines[place][0]) for place, key in sorted(places.items()) if place < len(lines)}


def read_back_of(paper: OfficePaper, kit: str) -> ReadBack | None:
    """The read-back of a kit that stands in the paper's own call."""
    if paper.enquiry_id is None:
        return None
    return ReadBack.objects.filter(in_hand__enquiry=paper.enquiry_id, kit=kit, withdrawn_at=None).last()


def not_read_back(paper: OfficePaper) -> dict[str, str]:
    """The kits of a paper that nobody read back, by key, with what their line says."""
    return {kit: says for kit, says in kits_of(paper).items() if read_back_of(paper, kit) is None}


def reasons_to_choose(paper: OfficePaper) -> tuple[str, ...]:
    """Reasons that need not be written out: for a job, and for a paper that belongs to no call."""
    if paper.job_id is not None:
        return (ON_OUR_BENCH,)
    return (NAMED_BY_CUSTOMER,) if paper.enquiry_id is None else ()


def let_out_of(paper: OfficePaper) -> LetOut | None:
    """Why the kits of an offer, or of what followed it, go out without a read-back; None where nobody wrote it."""
    kept = paper.facts.get(KEPT_AS)
    if kept:
        return LetOut(kept["why"], kept["who"], datetime.fromisoformat(kept["at"]))
    return let_out_of(paper.follows) if paper.follows is not None else None


def must_be_read_back(offer: OfficePaper, why: str, who: str) -> None:
    """Keep ``why`` where a kit of the offer was not read back; nothing is asked where all were, or it is kept already.

    Call it in the transaction that lets the kit out. Raises KitNotReadBackError without a reason or without a name.
    """
    unread = not_read_back(offer)
    if not unread or let_out_of(offer) is not None:
        return
    why = " ".join(why.split())
    if len(why) < LEAST_REASON:
        raise KitNotReadBackError(
            f"{', '.join(unread.values())}: not read back with two kinds of evidence. Read it back first, or write "
            "why it goes out all the same"
        )
    if not who:
        raise KitNotReadBackError("choose at the head of the page who you are: the reason is kept with a name")
    kept = {"why": why, "who": who, "at": timezone.now().isoformat()}
    offer.facts = {**offer.facts, KEPT_AS: kept}
    OfficePaper.objects.filter(pk=offer.pk).update(facts=offer.facts)
