"""A job gathered once for its papers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from floatbowl.bench.steps import entry_named
from floatbowl.papers.needles import Governs
from floatbowl.papers.paper import Page
from floatbowl.quantities import show_quantity
from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.models import Job, JobEntry
from floatbowl.shop.office.letterhead import shop_name
from floatbowl.units import show_length

NEEDLES = (("Idle needle", "idle turns", "idle needle"), ("Main needle", "main turns", "main needle"))


@dataclass(frozen=True)
class Filled:
    """A job gathered once for a paper."""

    job: Job
    entries: Mapping[str, JobEntry]
    address: str
    page: Page
    unit: str

    def value(self, name: str) -> str:
        """What stands under a name; empty while nothing does."""
        entry = self.entries.get(name)
        return entry.value if entry else ""

    def with_unit(self, name: str) -> str:
        """A number with its unit; a short length in millimetres and inches."""
        kept, entry = self.entries.get(name), entry_named(name)
        if kept is None or kept.number is None:
            return kept.value if kept else ""
        if entry.quantity == "length" and entry.unit == "mm":
            return f"{show_length(1000 * kept.number)} ({show_length(1000 * kept.number, 'inch')})"
        return show_quantity(kept.number, entry.quantity, entry.unit, digits=4)

    @property
    def shop(self) -> str:
        """The shop's name."""
        return shop_name()


def filled(job: Job, address: str, page: Page, unit: str) -> Filled:
    """A job gathered for a paper; ``address`` opens it on a phone."""
    return Filled(job, standing_entries(job), address, page, unit)


def governs(needle: str) -> Governs:
    """What a needle closes, as the papers name it; empty where it is not recorded."""
    return "fuel" if needle == "fuel" else "air" if needle == "air" else ""
