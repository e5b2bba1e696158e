"""An offer for a job held against the sum agreed with the owner: above it, somebody says why and that he was asked."""

from __future__ import annotations

from dataclasses import replace

from floatbowl.money.amount import Amount
from floatbowl.money.lines import Totals
from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.models import Job

CONSENT = "verdict.consent"
FETCHED = ("close-and-send.way", "fetched")


def above_agreed(job: Job | None, totals: Totals | None) -> str:
    """What is to be said when the offer comes to more than was agreed, tax and all; else nothing.

    The agreed sum bears no currency of its own: it is taken to be in the shop's, as the job's pages show it.
    """
    if job is None or job.agreed_sum is None or totals is None:
        return ""
    whole = totals.with_tax
    agreed = replace(whole, value=job.agreed_sum)
    if whole <= agreed:
        return ""
    more = Amount(whole.value - agreed.value, whole.currency)
    return f"{agreed} was agreed with the owner; this comes to {whole}, {more} more."


def consent_to(job: Job) -> str:
    """What the owner said to a higher sum, as the bench wrote it down."""
    written = standing_entries(job).get(CONSENT)
    return " ".join(written.value.split()) if written else ""


def is_fetched(job: Job) -> bool:
    """Whether the owner comes for it, so that nothing goes by post."""
    name, word = FETCHED
    written = standing_entries(job).get(name)
    return written is not None and written.value == word
