"""What the object on the bench is, weighed from what is seen on it, beside what it was booked as."""

from __future__ import annotations

from dataclasses import dataclass

from floatbowl.shop.models import Job
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.standing import current_weigher


@dataclass(frozen=True)
class Identity:
    """What the object seems to be: the likeliest carburettor and how sure, and whether the booking said another."""

    key: str
    name: str
    chance: str
    headline: str
    differs: bool
    items: int

    @property
    def is_weighed(self) -> bool:
        """Whether anything was seen on the object yet."""
        return self.items > 0


def weighed_from_the_object(job: Job) -> Identity | None:
    """The job's carburettor weighed again from the object; none without anything to weigh."""
    in_hand = job.in_hand
    if in_hand is None:
        return None
    items = in_hand.evidence.filter(struck_at=None).count()
    if not items:
        return Identity("", "", "", "", False, 0)
    standing = page.weigh(in_hand).standing
    first = standing.carburettors[0] if standing.carburettors else None
    if first is None:
        return Identity("", "", "", standing.headline, bool(job.carburettor), items)
    return Identity(first.key, first.name, first.chance, standing.headline, first.key != job.carburettor, items)


def name_of(carburettor: str) -> str:
    """A carburettor's name as the counter shows it; empty for none, its key for one no longer in the records."""
    if not carburettor:
        return ""
    return book_of(current_weigher().reference).name(carburettor)
