"""Taking a carburettor in: from a call that became a rebuild, or straight over the counter."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from floatbowl.shop.models import Enquiry, InHand, Job, JobEvent
from floatbowl.shop.models.enquiry import EnquiryChange

#: What may be changed later, with the word the history uses for it.
DETAILS = {
    "owner": "owner",
    "phone": "telephone",
    "machine_text": "machine",
    "complaint": "complaint",
    "came": "what came",
    "agreed_sum": "agreed sum",
    "promised": "promised for",
}


@dataclass(frozen=True, kw_only=True)
class Booking:
    """What is written when a carburettor is taken in."""

    owner: str
    phone: str = ""
    machine_text: str = ""
    machine: str = ""
    complaint: str = ""
    came: str = ""
    booked_as: str = ""
    agreed_sum: Decimal | None = None
    promised: datetime.date | None = None


def book_in(booking: Booking, who: str, told_of: InHand | None = None) -> Job:
    """Take a carburettor in. What is seen on it is kept apart from what ``told_of`` says, and weighed for itself."""
    with transaction.atomic():
        enquiry = told_of.enquiry if told_of else _enquiry_for(booking, who)
        job = Job.objects.create(enquiry=enquiry, carburettor=booking.booked_as, booked_by=who, **booking.__dict__)
        job.in_hand = _object(job, enquiry, told_of)
        job.save()
        JobEvent.objects.create(job=job, kind="booked", to_step=job.step, who=who)
    return job


def _enquiry_for(booking: Booking, who: str) -> Enquiry:
    return Enquiry.objects.create(
        caller=booking.owner, phone=booking.phone, notes="Taken in over the counter.", opened_by=who
    )


def _object(job: Job, enquiry: Enquiry, told_of: InHand | None) -> InHand:
    """The carburettor itself as one in the hand of this enquiry: no evidence yet, the machine as it was told."""
    last = enquiry.in_hand.order_by("-place").first()
    return InHand.objects.create(
        enquiry=enquiry,
        place=last.place + 1 if last else 1,
        label=f"On the bench, job {job.pk}",
        machine_text=job.machine_text,
        machine=job.machine,
        serial=told_of.serial if told_of else "",
        year=told_of.year if told_of else None,
    )


def change_details(job: Job, changed: dict[str, object], who: str) -> None:
    """Change what was written at booking; each change is kept with what stood there before."""
    with transaction.atomic():
        says = [
            f"{word}: {_shown(getattr(job, name))} became {_shown(changed[name])}"
            for name, word in DETAILS.items()
            if name in changed and (getattr(job, name) or None) != (changed[name] or None)
        ]
        for name, value in changed.items():
            setattr(job, name, value)
        job.save()
        if says:
            JobEvent.objects.create(job=job, kind="changed", from_step=job.step, says="; ".join(says), who=who)


def _shown(value: object) -> str:
    return "nothing" if value in ("", None) else f"“{value}”"


def take_for(job: Job, carburettor: str, name: str, who: str) -> None:
    """Take the job's carburettor for this one from now on; what it was taken for before stays in its history."""
    with transaction.atomic():
        before, job.carburettor = job.carburettor, carburettor
        job.save()
        says = f"taken for {name}" + (f", before for {before}" if before else "")
        JobEvent.objects.create(job=job, kind="changed", from_step=job.step, says=says, who=who)


def close_enquiry(job: Job, who: str) -> None:
    """With the job its own enquiry ends too, as a rebuild."""
    enquiry = job.enquiry
    if enquiry is None or not enquiry.is_open:
        return
    with transaction.atomic():
        enquiry.outcome, enquiry.closed_at, enquiry.closed_by = "rebuild", timezone.now(), who
        enquiry.save()
        EnquiryChange.objects.create(enquiry=enquiry, field="outcome", before="", after="rebuild", who=who)
