"""The list of enquiries: found again, closed with an outcome, opened again."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from floatbowl.shop.models.enquiry import OUTCOMES, Enquiry
from floatbowl.shop.pages.counter import page
from floatbowl.shop.pages.counter.forms import CloseForm
from floatbowl.shop.pages.enquiries.search import find
from floatbowl.shop.security import who_is

A_PAGE = 40


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """All enquiries, or those that fit what was typed."""
    words, which = request.GET.get("q", "")[:200], request.GET.get("which", "")
    found = find(words, which).prefetch_related("in_hand__evidence", "in_hand__read_backs")
    sheet = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    shown_with = {
        "place": "enquiries",
        "words": words,
        "which": which,
        "kinds": [("", "all"), ("open", "open"), *((key, name.lower()) for key, name in OUTCOMES)],
        "sheet": sheet,
        "any": Enquiry.objects.exists(),
    }
    return render(request, "enquiries/home.html", shown_with)


@require_POST
def close(request: HttpRequest, number: int) -> HttpResponse:
    """Close a call with its outcome."""
    enquiry = get_object_or_404(Enquiry, pk=number)
    before = {"outcome": enquiry.outcome, "why": enquiry.why}
    form = CloseForm(request.POST, instance=enquiry)
    if not form.is_valid():
        enquiry.refresh_from_db()
        in_hand = enquiry.in_hand.first()
        weighed = page.weigh(page.find(number, in_hand.place if in_hand else 1))
        shown_with = page.context(weighed, errors=form.errors, typed=request.POST, refused="close")
        return render(request, "counter/page.html", shown_with, status=page.UNPROCESSABLE)
    with transaction.atomic():
        closed = form.save(commit=False)
        closed.closed_at, closed.closed_by = timezone.now(), who_is(request)
        closed.save()
        page.keep_changes(closed, None, before, form.cleaned_data, who_is(request))
    messages.success(request, f"Enquiry {enquiry.pk} is closed: {closed.get_outcome_display().lower()}.")
    return redirect("counter:home")


@require_POST
def reopen(request: HttpRequest, number: int) -> HttpResponse:
    """Open a closed call again; how it had ended stays in its history."""
    enquiry = get_object_or_404(Enquiry, pk=number)
    with transaction.atomic():
        page.keep_changes(enquiry, None, {"outcome": enquiry.outcome}, {"outcome": "open again"}, who_is(request))
        enquiry.closed_at, enquiry.closed_by, enquiry.outcome = None, "", ""
        enquiry.save()
    return redirect("counter:enquiry", number)
