"""Closing a call and opening it again; the shelf follows in the same transaction, and the history keeps both."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from floatbowl.shop.enquiries.kits_sold import kits_on_papers, kits_read_back, put_back, take_sold
from floatbowl.shop.models import Enquiry
from floatbowl.shop.models.enquiry import EnquiryChange

SOLD = "sold"


def close(enquiry: Enquiry, outcome: str, why: str, who: str, *, book_is_wrong: bool = False) -> list[str]:
    """End a call; returns what happened on the shelf, in sentences.

    Raises NotOnShelfError where a kit sold is not there by the book, unless ``book_is_wrong``; then nothing changes.
    """
    with transaction.atomic():
        was = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
        _changed(was, {"outcome": outcome, "why": why}, who)
        if outcome == SOLD:
            said = take_sold(was, who, book_is_wrong=book_is_wrong)
        else:
            said = put_back(was, who, f"{was} ended otherwise")
        was.outcome, was.why = outcome, why
        was.closed_at, was.closed_by = timezone.now(), who
        was.save(update_fields=["outcome", "why", "closed_at", "closed_by"])
    enquiry.refresh_from_db()
    return said


def reopen(enquiry: Enquiry, who: str) -> list[str]:
    """Open a closed call again; what left the shelf for it lies there again. Returns what happened, in sentences."""
    with transaction.atomic():
        EnquiryChange.objects.create(
            enquiry=enquiry, field="outcome", before=enquiry.outcome, after="open again", who=who
        )
        said = put_back(enquiry, who, f"enquiry {enquiry.pk} was opened again")
        enquiry.closed_at, enquiry.closed_by, enquiry.outcome = None, "", ""
        enquiry.save()
    return said


def close_when_invoiced(enquiry: Enquiry, invoice: str, who: str) -> str:
    """End the call of an invoice as sold; stays open while a kit read back in it is on no paper. Says what it did."""
    if not enquiry.is_open:
        return ""
    left = [kit for kit in kits_read_back(enquiry) if kit not in kits_on_papers(enquiry)]
    if left:
        return f"Enquiry {enquiry.pk} stays open: another kit was read back in it that is on no paper."
    close(enquiry, SOLD, f"invoice {invoice}", who)
    return f"Enquiry {enquiry.pk} is closed as sold."


def _changed(enquiry: Enquiry, after: dict[str, str], who: str) -> None:
    """Keep each field that becomes another one."""
    for field, new in after.items():
        if (old := getattr(enquiry, field) or "") != new:
            EnquiryChange.objects.create(enquiry=enquiry, field=field, before=old, after=new, who=who)
