"""What a paper says beside its money: the head it was sent with, what each line is and its sizes, the carburettor.

It is kept among the paper's facts when it is issued, so that a reprint after the shop has moved, or after a kit's list
was changed, is the paper as it was sent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from floatbowl.shop.models.office import OfficePaper
from floatbowl.shop.office.letterhead import Letterhead, letterhead

#: Under this name among a paper's facts.
KEPT_AS: Final = "beside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What stands beside the money. ``sizes`` and ``kinds`` (kit, part, work, ...) have one entry a line, or none."""

    head: Letterhead
    kinds: tuple[str, ...] = ()
    sizes: tuple[tuple[str, ...], ...] = ()
    carburettor: str = ""


def keep_beside(
    paper: OfficePaper, kinds: Sequence[str] = (), sizes: Sequence[Sequence[str]] = (), carburettor: str = ""
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
    }
    paper.facts = {**paper.facts, KEPT_AS: kept}
    OfficePaper.objects.filter(pk=paper.pk).update(facts=paper.facts)


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
    )
