"""Taking an enquiry: begin it, who rang, what it came on, another carburettor in the same call."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.shop.models.enquiry import Enquiry, EnquiryChange, Evidence, InHand
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.pages.counter.forms import CallerForm, MachineForm, ReadingForm
from floatbowl.shop.security import who_is
from floatbowl.shop.standing import current_reference

MOST_OPEN_SHOWN = 8
#: Besides a number, what a call can begin with.
BEGINS_WITH = ("machine_text", "caller", "phone", "notes")


def home(request: HttpRequest) -> HttpResponse:
    """Begin a call with whatever the caller says first; open calls stand beside it."""
    if request.method == "POST":
        return _begin(request)
    return _start_page(request, {}, {})


def _begin(request: HttpRequest) -> HttpResponse:
    caller = CallerForm(request.POST)
    machine = MachineForm(request.POST)
    number = request.POST.get("text", "").strip()
    reading = ReadingForm({"text": number, "via": request.POST.get("via", "heard")}) if number else None
    sound = [form.is_valid() for form in (caller, machine, *([reading] if reading else []))]
    if not number and not any(request.POST.get(name, "").strip() for name in BEGINS_WITH):
        wanted = "Write down one thing the caller said: a number, the machine, a name or a telephone number."
        return _start_page(request, request.POST, {"text": [wanted]}, status=page.UNPROCESSABLE)
    if not all(sound):
        errors: dict[str, Any] = {**caller.errors, **machine.errors, **(reading.errors if reading else {})}
        return _start_page(request, request.POST, errors, status=page.UNPROCESSABLE)
    with transaction.atomic():
        enquiry = caller.save(commit=False)
        enquiry.opened_by = who_is(request)
        enquiry.save()
        in_hand = machine.save(commit=False)
        in_hand.enquiry, in_hand.place = enquiry, 1
        in_hand.machine = page.machine_key(in_hand.machine_text, book_of(current_reference()))
        in_hand.save()
        if reading:
            Evidence.objects.create(
                in_hand=in_hand,
                kind=Evidence.READING,
                text=reading.cleaned_data["text"],
                via=reading.cleaned_data["via"] or "heard",
                who=who_is(request),
            )
            if refused := page.weigh(in_hand).refused:
                transaction.set_rollback(True)
                return _start_page(request, request.POST, {"text": [refused]}, status=page.UNPROCESSABLE)
    return redirect("counter:page", enquiry.pk, 1)


def _start_page(request: HttpRequest, typed: Any, errors: Any, status: int = 200) -> HttpResponse:
    waiting = Enquiry.objects.filter(closed_at=None).prefetch_related("in_hand__evidence")[:MOST_OPEN_SHOWN]
    shown_with = {
        "place": "counter",
        "typed": typed,
        "errors": errors,
        "open": waiting,
        "more_open": max(0, Enquiry.objects.filter(closed_at=None).count() - MOST_OPEN_SHOWN),
        "has_records": bool(current_reference().carburettors),
    }
    return render(request, "counter/start.html", shown_with, status=status)


@require_GET
def show(request: HttpRequest, number: int, place: int = 1) -> HttpResponse:
    """The counter page of one carburettor in a call."""
    return render(request, "counter/page.html", page.context(page.weigh(page.find(number, place))))


@require_POST
def caller(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Keep who rang and what they want."""
    with transaction.atomic():
        in_hand = page.find(number, place)
        enquiry = in_hand.enquiry
        before = {name: getattr(enquiry, name) for name in CallerForm.Meta.fields}
        form = CallerForm(request.POST, instance=enquiry)
        if not form.is_valid():
            enquiry.refresh_from_db()
            return _refused(request, in_hand, "caller", form)
        if _outdated(request, enquiry.version):
            meanwhile = _meanwhile(enquiry, None, form.cleaned_data, before)
            if meanwhile:
                enquiry.refresh_from_db()
                return _refused(request, in_hand, "caller", form, meanwhile)
        if page.keep_changes(enquiry, None, before, form.cleaned_data, who_is(request)):
            enquiry.version += 1
        form.save()
    return page.answer_with(request, ["caller_state", "standing"], page.context(page.weigh(in_hand), kept="caller"))


@require_POST
def machine(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Keep what it came on."""
    with transaction.atomic():
        in_hand = page.find(number, place)
        before = {name: getattr(in_hand, name) for name in MachineForm.Meta.fields}
        form = MachineForm(request.POST, instance=in_hand)
        if not form.is_valid():
            in_hand.refresh_from_db()
            return _refused(request, in_hand, "machine", form)
        if _outdated(request, in_hand.version):
            meanwhile = _meanwhile(in_hand.enquiry, in_hand, form.cleaned_data, before)
            if meanwhile:
                in_hand.refresh_from_db()
                return _refused(request, in_hand, "machine", form, meanwhile)
        if page.keep_changes(in_hand.enquiry, in_hand, before, form.cleaned_data, who_is(request)):
            in_hand.version += 1
        in_hand.machine = page.machine_key(in_hand.machine_text, book_of(current_reference()))
        form.save()
    shown_with = page.context(page.weigh(in_hand), kept="machine")
    return page.answer_with(request, ["machine_state", "ask", "standing"], shown_with)


@require_POST
def another(request: HttpRequest, number: int) -> HttpResponse:
    """A second carburettor in the same call."""
    with transaction.atomic():
        enquiry = get_object_or_404(Enquiry, pk=number)
        last = enquiry.in_hand.order_by("-place").first()
        added = InHand.objects.create(enquiry=enquiry, place=(last.place if last else 0) + 1)
    return redirect("counter:page", enquiry.pk, added.place)


@require_GET
def machines(request: HttpRequest) -> HttpResponse:
    """Machines whose names hold what was typed, as options of the box."""
    book = book_of(current_reference())
    found = book.find_machines(request.GET.get("q", "")[:200])
    rows = [{"text": book.machine_name(one.machine), "value": book.machine_name(one.machine)} for one in found]
    return render(request, "counter/_options.html", {"rows": rows, "nothing": "No machine of that name in our records"})


@require_GET
def looks(request: HttpRequest) -> HttpResponse:
    """Looks whose questions hold what was typed, as options of the box."""
    book = book_of(current_reference())
    found = book.find_features(request.GET.get("q", "")[:200])
    rows = [{"text": kind.question, "value": kind.feature} for kind in found]
    return render(request, "counter/_options.html", {"rows": rows, "nothing": "No look of that kind in our records"})


def _outdated(request: HttpRequest, version: int) -> bool:
    """Whether the page was made before somebody else's last change."""
    seen = request.POST.get("version", "")
    return seen.isdigit() and int(seen) < version


def _meanwhile(enquiry: Enquiry, in_hand: InHand | None, wanted: dict[str, Any], now: dict[str, Any]) -> str:
    """What somebody else changed in the fields that this page would change too."""
    clashing = [name for name in wanted if (wanted[name] or "") != (now[name] or "")]
    changes = EnquiryChange.objects.filter(enquiry=enquiry, in_hand=in_hand, field__in=clashing).order_by("-pk")
    last = changes.first()
    if last is None:
        return ""
    said = now[last.field] or "nothing"
    return (
        f"Meanwhile {last.who or 'somebody else'} changed this to “{said}”. Your text still stands here and is not "
        "kept yet: change it once more to put it in place of theirs."
    )


def _refused(
    request: HttpRequest, in_hand: InHand, piece: str, form: CallerForm | MachineForm, meanwhile: str = ""
) -> HttpResponse:
    """Give the form back as it was typed, with what is wrong beside the field."""
    shown_with = page.context(
        page.weigh(in_hand), errors=form.errors, typed=request.POST, refused=piece, meanwhile=meanwhile
    )
    return page.answer_with(request, [piece], shown_with, page.CONFLICT if meanwhile else page.UNPROCESSABLE)
