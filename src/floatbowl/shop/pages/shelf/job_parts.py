"""What left the shelf for a job lies there again: after it was opened anew."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from floatbowl.shop.jobs import from_shelf
from floatbowl.shop.models import Job
from floatbowl.shop.security import who_is


@require_POST
def put_back(request: HttpRequest, number: int) -> HttpResponse:
    """Reverse what left the shelf for an open job."""
    job = get_object_or_404(Job, pk=number)
    try:
        pieces = from_shelf.put_back(job, who_is(request))
    except ValueError as wrong:
        messages.error(request, f"Nothing was put back: {wrong}.")
    else:
        said = f"{pieces} put back on the shelf; tick what goes in again on the list of parts."
        messages.success(request, said if pieces else "Nothing of this job was off the shelf.")
    return redirect("bench:step", number, "parts-wanted")
