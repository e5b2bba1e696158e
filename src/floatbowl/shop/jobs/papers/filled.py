"""A job gathered once for its papers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.conf import settings

from floatbowl.bench.steps import entry_named
from floatbowl.papers.needles import Governs
from floatbowl.papers.paper import Page
from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.models import Job, JobEntry

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
        """A number as it was typed, with its unit where it has none."""
        value, entry = self.value(name), entry_named(name)
        bare = value.replace(".", "").replace("/", "").replace(" ", "").lstrip("-").isdigit()
        return f"{value} {entry.unit}".strip() if value and bare else value

    @property
    def shop(self) -> str:
        """The shop's name."""
        return getattr(settings, "SHOP_NAME", "") or "The carburettor shop"


def filled(job: Job, address: str, page: Page, unit: str) -> Filled:
    """A job gathered for a paper; ``address`` opens it on a phone."""
    return Filled(job, standing_entries(job), address, page, unit)


def governs(needle: str) -> Governs:
    """What a needle closes, as the papers name it; empty where it is not recorded."""
    return "fuel" if needle == "fuel" else "air" if needle == "air" else ""
