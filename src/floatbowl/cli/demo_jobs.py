"""The invented shop's bench: a few jobs at different steps, so that its pages have something to show."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal
from importlib import resources
from typing import Any

WHO = "Tobiah Renn"


def put_on_the_bench() -> int:
    """Put the demo's jobs on the bench of the prepared database; returns how many."""
    text = resources.files("floatbowl.demo").joinpath("jobs.json").read_text(encoding="utf-8")
    jobs = json.loads(text)
    for told in jobs:
        _put(told)
    return len(jobs)


def _put(told: dict[str, Any]) -> None:
    from django.utils import timezone

    from floatbowl.shop.jobs.booking import Booking, book_in
    from floatbowl.shop.jobs.moving import hold
    from floatbowl.shop.models import Job
    from floatbowl.shop.pages.counter.book import book_of
    from floatbowl.shop.pages.counter.page import machine_key
    from floatbowl.shop.standing import current_weigher

    book, today = book_of(current_weigher().reference), timezone.localdate()
    promised = told["promised_in_days"]
    booking = Booking(
        owner=told["owner"],
        phone=told["phone"],
        machine_text=told["machine"],
        machine=machine_key(told["machine"], book),
        complaint=told["complaint"],
        came=told["came"],
        booked_as=told["carburettor"],
        agreed_sum=Decimal(told["agreed_sum"]) if told["agreed_sum"] else None,
        promised=None if promised is None else today + timedelta(promised),
    )
    job = book_in(booking, WHO)
    booked = timezone.now() - timedelta(told["booked_days_ago"])
    Job.objects.filter(pk=job.pk).update(step=told["step"], booked_at=booked)
    job.refresh_from_db()
    _write(job, told)
    if "hold" in told:
        why, acts, days = told["hold"]
        hold(job, why, acts, today + timedelta(days), WHO)


def _write(job: Any, told: dict[str, Any]) -> None:
    from floatbowl.bench.steps import entry_named
    from floatbowl.shop.jobs.entering import write_down
    from floatbowl.shop.jobs.measuring import rows_of, take_reading
    from floatbowl.shop.models.photograph import new_key

    for name, value in told["entries"].items():
        write_down(job, entry_named(name), value, sent=new_key(), seen=0, who=WHO)
    rows = {row.key: row for row in rows_of(job)}
    for key, place, text, tool in told["readings"]:
        told_at = {"place": place, "tool": tool, "unit": "", "why_not": ""}
        take_reading(job, rows[key], text, **told_at, sent=new_key(), who=WHO)
