"""Taking a carburettor in, changing what was written then, and taking it for another one."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from floatbowl.shop.fields import SumField
from floatbowl.shop.jobs.booking import DETAILS, Booking, book_in, change_details, take_for
from floatbowl.shop.jobs.identity import name_of, weighed_from_the_object
from floatbowl.shop.models import InHand, Job
from floatbowl.shop.office.written_prices import begun_settings
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.security import who_is
from floatbowl.shop.standing import current_weigher

WHO_OWNS_IT = "Write whose it is: the tag, the papers and the telephone call need a name."


class BookingForm(forms.ModelForm):  # type: ignore[type-arg]
    """What is written when a carburettor is taken in."""

    agreed_sum = SumField(
        error_messages={
            "invalid": "Write a sum like 120 or 120.50.",
            "min_value": "Write a sum from 0, or leave it empty.",
            "max_decimal_places": "Two places at most.",
        }
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["agreed_sum"].label = f"Agreed sum in {begun_settings().currency}, before asking again"

    def clean_promised(self) -> Any:
        promised = self.cleaned_data["promised"]
        if promised and promised != self.instance.promised and promised < timezone.localdate():
            raise forms.ValidationError("That day is over. Promise a day to come, or none.")
        return promised

    class Meta:
        model = Job
        fields = ("owner", "phone", "machine_text", "complaint", "came", "agreed_sum", "promised")
        widgets: ClassVar = {
            "promised": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "complaint": forms.Textarea(attrs={"rows": 2}),
            "came": forms.Textarea(attrs={"rows": 2}),
        }
        labels: ClassVar = {
            "owner": "Whose is it",
            "phone": "Telephone",
            "machine_text": "Machine it came off",
            "complaint": "What is wrong with it, in the owner's words",
            "came": "What came: castings, loose parts, numbers as read",
            "promised": "Promised for",
        }
        error_messages: ClassVar = {
            "owner": {"required": WHO_OWNS_IT, "max_length": "A name can have 200 characters at most."},
            "promised": {"invalid": "Write the day as year-month-day, such as 2026-03-31."},
        }


@require_http_methods(["GET", "POST"])
def book(request: HttpRequest, enquiry: int = 0, place: int = 0) -> HttpResponse:
    """Take a carburettor in, from a call or over the counter."""
    told_of = page.find(enquiry, place) if enquiry else None
    form = BookingForm(request.POST or None, initial=_told(told_of))
    if request.method == "POST" and form.is_valid():
        job = book_in(_booking(form.cleaned_data, told_of), who_is(request), told_of)
        messages.success(request, f"Job {job.pk} is booked in. Print its tag and wire it on.")
        return redirect("bench:job", job.pk)
    shown_with = {"place": "bench", "form": form, "told_of": told_of, "booked_as": name_of(_likeliest(told_of))}
    shown_with["known_jobs"] = told_of.enquiry.jobs.all() if told_of else []
    return render(request, "bench/book.html", shown_with, status=page.UNPROCESSABLE if form.is_bound else 200)


def _told(told_of: InHand | None) -> dict[str, Any]:
    if told_of is None:
        return {}
    call = told_of.enquiry
    readings = told_of.evidence.filter(kind="reading", struck_at=None).values_list("text", "part")
    numbers = ", ".join(f"{text} ({part})" if part else text for text, part in readings)
    return {
        "owner": call.caller,
        "phone": call.phone,
        "machine_text": told_of.machine_text,
        "complaint": call.notes,
        "came": f"Told by telephone, to be seen again: {numbers}" if numbers else "",
    }


def _booking(data: dict[str, Any], told_of: InHand | None) -> Booking:
    machine = page.machine_key(data["machine_text"], book_of(current_weigher().reference))
    return Booking(machine=machine, booked_as=_likeliest(told_of), **{name: data[name] for name in DETAILS})


def _likeliest(told_of: InHand | None) -> str:
    """What the caller read back, else the likeliest by what was told; nothing where nothing was."""
    if told_of is None:
        return ""
    if read_back := told_of.read_backs.filter(withdrawn_at=None).last():
        return str(read_back.carburettor)
    if not told_of.evidence.filter(struck_at=None).exists():
        return ""
    carburettors = page.weigh(told_of).standing.carburettors
    return carburettors[0].key if carburettors else ""


@require_http_methods(["GET", "POST"])
def details(request: HttpRequest, number: int) -> HttpResponse:
    """Change what was written at booking."""
    job = get_object_or_404(Job, pk=number)
    form = BookingForm(request.POST or None, instance=Job.objects.get(pk=number))
    if request.method == "POST" and form.is_valid():
        changed: dict[str, object] = {name: form.cleaned_data[name] for name in DETAILS}
        changed["machine"] = page.machine_key(form.cleaned_data["machine_text"], book_of(current_weigher().reference))
        change_details(job, changed, who_is(request))
        return redirect("bench:job", number)
    shown_with = {"place": "bench", "form": form, "job": job, "told_of": None}
    return render(request, "bench/book.html", shown_with, status=page.UNPROCESSABLE if form.is_bound else 200)


@require_POST
def taken_for(request: HttpRequest, number: int) -> HttpResponse:
    """Take the job's carburettor for the likeliest one by what is seen on it."""
    job = get_object_or_404(Job, pk=number)
    identity = weighed_from_the_object(job)
    if identity is None or not identity.key or identity.key != request.POST.get("carburettor"):
        raise Http404
    take_for(job, identity.key, identity.name, who_is(request))
    messages.success(request, f"From now on it is taken for {identity.name}. Its settings and limits are used.")
    return redirect("bench:job", number)
