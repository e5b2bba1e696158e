"""What a paper's page says of its kits: which were not read back, why they go out all the same, and who said so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from floatbowl.shop.models import InHand, OfficePaper
from floatbowl.shop.office.guard import kits_of, let_out_of, not_read_back, read_back_of, reasons_to_choose
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.counter.read_back import reasons_wanted


@dataclass(frozen=True)
class Unread:
    """A kit that nobody read back: what its line says, where it can be, and what speaks against sending it."""

    says: str
    address: str = ""
    reasons: tuple[str, ...] = ()


def guard_shown(paper: OfficePaper) -> dict[str, Any]:
    """What the pages of an offer and of its invoice are given."""
    unread = not_read_back(paper)
    return {
        "unread": [_unread(paper, kit, says) for kit, says in unread.items()],
        "let_out": let_out_of(paper),
        "overridden": [
            done for kit in kits_of(paper) if (done := read_back_of(paper, kit)) is not None and done.override
        ],
        "why_out_choices": reasons_to_choose(paper),
    }


def why_typed(typed: Mapping[str, str]) -> str:
    """The reason chosen and the one written, together."""
    both = (typed.get("why_chosen", ""), typed.get("why_out", ""))
    return ": ".join(text for each in both if (text := " ".join(each.split())))[:300]


def _unread(paper: OfficePaper, kit: str, says: str) -> Unread:
    in_hand = _in_hand(paper)
    if in_hand is None:
        return Unread(says)
    address = reverse("counter:read_back", args=[in_hand.enquiry_id, in_hand.place])
    return Unread(says, f"{address}?kit={kit}", tuple(reasons_wanted(page.weigh(in_hand).standing, kit)))


def _in_hand(paper: OfficePaper) -> InHand | None:
    """The carburettor that a paper is about: the one on the bench for a job, else the first of the call."""
    on_bench: InHand | None = paper.job.in_hand if paper.job is not None else None
    if on_bench is not None:
        return on_bench
    return paper.enquiry.in_hand.order_by("place").first() if paper.enquiry is not None else None
