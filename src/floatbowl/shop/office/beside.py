"""What a paper says beside its money: the head it was sent with, what each line is and its sizes, the carburettor.

It is kept among the paper's facts when it is issued, so that a reprint after the shop has moved, or after a kit's list
was changed, is the paper as it was sent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final

from floatbowl.shop.models.office import INVOICE, OfficePaper
from floatbowl.shop.office.letterhead import Letterhead, letterhead
from floatbowl.shop.office.rules import office_settings

#: Under this name among a paper's facts.
KEPT_AS: Final = "beside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What stands beside the money. ``sizes`` and ``kinds`` (kit, part, work, ...) have one entry a line, or none."""

    head: Letterhead
    kinds: tuple[str, ...] = ()
    sizes: tuple[tuple[str, ...], ...] = ()
    carburettor: str = ""
    #: For the office alone: why a line went out below its lowest price, by its place.
    reasons: Mapping[int, str] = field(default_factory=dict)
    #: For the office alone: the key of the kit that a line sells, by its place.
    kits: Mapping[int, str] = field(default_factory=dict)
    #: For the office alone: why it comes to more than was agreed for its job.
    why_over: str = ""
    #: On an invoice: how to pay, and by when.
    how_to_pay: str = ""
    pay_by: date | None = None


def keep_beside(
    paper: OfficePaper,
    kinds: Sequence[str] = (),
    sizes: Sequence[Sequence[str]] = (),
    carburettor: str = "",
    reasons: Mapping[int, str] | None = None,
    kits: Mapping[int, str] | None = None,
    why_over: str = "",
) -> None:
    """Keep it with a paper, once; a paper that follows another takes all but its head from that one.

    Call it in the transaction that issues the paper.
    """
    if KEPT_AS in paper.facts:
        return
    before = beside_of(paper.follows) if paper.follows is not None else None
    head = letterhead()
    kept = {
        "head": [head.name, head.address, head.tax_number],
        "kinds": list(before.kinds if before else kinds),
        "sizes": [list(each) for each in (before.sizes if before else sizes)],
        "carburettor": before.carburettor if before else carburettor,
        "reasons": [[place, why] for place, why in (before.reasons if before else reasons or {}).items()],
        "kits": [[place, key] for place, key in (before.kits if before else kits or {}).items()],
        "why_over": before.why_over if before else why_over,
        **(_payment(paper) if paper.kind == INVOICE else {}),
    }
    paper.facts = {**paper.facts, KEPT_AS: kept}
    OfficePaper.objects.filter(pk=paper.pk).update(facts=paper.facts)


def _payment(paper: OfficePaper) -> dict[str, str]:
    """How and by when an invoice is paid, by the rules of the day it is issued."""
    settings = office_settings()
    days = settings.pay_within_days
    return {
        "how_to_pay": settings.how_to_pay,
        "pay_by": "" if days is None else (paper.dated + timedelta(days)).isoformat(),
    }


def counted_in(beside: Beside) -> tuple[str, ...]:
    """What each line is counted in: hours for work, pieces (said by nothing) for the rest; none where none is work."""
    return tuple("h" if kind == "work" else "" for kind in beside.kinds) if "work" in beside.kinds else ()


def beside_of(paper: OfficePaper) -> Beside:
    """What a paper was sent with; today's head where none was kept."""
    kept = paper.facts.get(KEPT_AS)
    if not kept:
        return Beside(head=letterhead())
    name, address, tax_number = kept["head"]
    return Beside(
        head=Letterhead(name=name, address=address, tax_number=tax_number),
        kinds=tuple(kept["kinds"]),
        sizes=tuple(tuple(each) for each in kept["sizes"]),
        carburettor=kept["carburettor"],
        reasons={int(place): why for place, why in kept.get("reasons", ())},
        kits={int(place): key for place, key in kept.get("kits", ())},
        why_over=kept.get("why_over", ""),
        how_to_pay=kept.get("how_to_pay", ""),
        pay_by=date.fromisoformat(kept["pay_by"]) if kept.get("pay_by") else None,
    )
