"""What to carry: the enquiries that named a carburettor, each with every kit that would have answered it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone

from floatbowl.shelf.carry import SHARES, Carried, Enquiry, OneMore, kits_to_carry, lost_but_fillable, one_more
from floatbowl.shop.models import ReadBack
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Named, Things


@dataclass(frozen=True, slots=True)
class Carry:
    """The smallest sets for 80, 90 and 95 %, what one more kit would add to those on hand, and what was lost."""

    enquiries: int
    sets: tuple[Carried, ...]
    more: tuple[OneMore, ...]
    lost: tuple[tuple[Enquiry, tuple[str, ...]], ...]
    lost_in_all: int


def answerable(things: Things, months: int) -> list[Enquiry]:
    """Enquiries of the last months in which a carburettor was read back; the kits that fit it in the version asked."""
    since = timezone.now() - timedelta(days=months * 365.25 / 12)
    rows = ReadBack.objects.filter(withdrawn_at=None, at__gte=since).exclude(kit="")
    told = rows.values_list("in_hand_id", "in_hand__enquiry_id", "carburettor", "kit", "in_hand__enquiry__outcome")
    latest = {row[0]: row for row in told.order_by("pk")}
    return [
        Enquiry(str(enquiry), _kits(carburettor, kit, things.book), outcome == "lost")
        for _, enquiry, carburettor, kit, outcome in latest.values()
    ]


def _kits(carburettor: str, kit: str, book: Book) -> frozenset[str]:
    asked = book.kits.get(kit)
    if asked is None:
        return frozenset()
    fits = {row.kit for row in book.kits_of.get(carburettor, ()) if row.kit in book.kits}
    same = {key for key in fits if (book.kits[key].level, book.kits[key].fuel) == (asked.level, asked.fuel)}
    return frozenset(same | {kit})


def what_to_carry(things: Things, stands: dict[Named, Stand], months: int) -> Carry | None:
    """The sets and what would add to them; None while no enquiry named a carburettor."""
    enquiries = answerable(things, months)
    if not enquiries:
        return None
    have = {key for (kind, key), stand in stands.items() if kind == KIT and (stand.on_hand or 0) >= 1}
    sets = tuple(kits_to_carry(enquiries, share) for share in SHARES)
    lost = lost_but_fillable(enquiries, sets[1].kits)
    return Carry(len(enquiries), sets, one_more(enquiries, have), lost, sum(each.lost for each in enquiries))
