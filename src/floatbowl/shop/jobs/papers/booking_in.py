"""The booking-in sheet and the tags of a job."""

from __future__ import annotations

from django.utils import timezone

from floatbowl.papers.booking_in import HAZARDS, BookingIn, Casting, Hazard, booking_in_pdf
from floatbowl.papers.core_tag import CoreTag, core_tag_pdf, core_tags_pdf
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.jobs.papers.filled import Filled
from floatbowl.shop.models import Job
from floatbowl.shop.office.rules import office_settings

HAZARD_SEEN = {
    "Suspected asbestos gasket or packing": ("grey fibre gasket or packing", "both"),
    "Old paint or solder that may hold lead": ("old paint that may hold lead", "both"),
}


def booking_in(told: Filled) -> bytes:
    """The booking-in sheet."""
    job = told.job
    fuel, seen = told.value("booked-in.fuel inside"), told.value("booked-in.hazards")
    pictures = job.photographs.filter(name="booked-in.photographs", struck_at=None).count()
    missing = told.value("booked-in.missing parts")
    sheet = BookingIn(
        shop_name=told.shop,
        job_number=str(job.pk),
        job_address=told.address,
        date=timezone.localdate(job.booked_at),
        owner_name=job.owner,
        owner_address=job.phone,
        machine=job.machine_text,
        carburettor=name_of(job.carburettor),
        complaint=job.complaint,
        core_number=str(job.pk),
        castings=_castings(job),
        missing=(missing,) if missing else None,
        condition="; ".join(filter(None, (job.came, f"{pictures} photographs kept" if pictures else ""))),
        hazards=tuple(_hazard(hazard, fuel, seen) for hazard in HAZARDS),
        drained=fuel != "not drained yet" if fuel else None,
        agreed_sum=f"{job.agreed_sum} {office_settings().currency}" if job.agreed_sum is not None else "",
        promised=job.promised,
        page=told.page,
    )
    return booking_in_pdf(sheet)


def _castings(job: Job) -> tuple[Casting, ...]:
    if job.in_hand is None:
        return ()
    readings = job.in_hand.evidence.filter(kind="reading", struck_at=None)
    return tuple(Casting(reading.part or "place not said", reading.text, reading.form) for reading in readings)


def _hazard(hazard: Hazard, fuel: str, seen: str) -> Hazard:
    if hazard.name in HAZARD_SEEN:
        found = None if not seen else seen in HAZARD_SEEN[hazard.name]
        return Hazard(hazard.name, hazard.caution, found)
    found = None if not fuel else fuel != "dry"
    return Hazard(hazard.name, hazard.caution, found, fuel if found else "")


def core_tag(told: Filled) -> CoreTag:
    """The tag that is wired on."""
    job = told.job
    fuel = told.value("booked-in.fuel inside")
    return CoreTag(
        job_number=str(job.pk),
        owner=job.owner,
        machine=job.machine_text,
        date=timezone.localdate(job.booked_at),
        warnings=() if fuel and fuel != "not drained yet" else ("NOT DRAINED",),
        job_address=told.address,
    )


def tag(told: Filled) -> bytes:
    """The tag as one label, 100 x 54 mm."""
    return core_tag_pdf(core_tag(told))


def small_tag(told: Filled) -> bytes:
    """The tag for a 62 mm roll."""
    return core_tag_pdf(core_tag(told), "62 mm wide")


def tags(told: Filled) -> bytes:
    """A page of tags to cut: one for the body, the bowl, the box of small parts, ..."""
    return core_tags_pdf((core_tag(told),) * 4, page=told.page)
