"""The list of enquiries: found again, closed with an outcome, opened again."""

from __future__ import annotations

from collections.abc import Mapping

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from floatbowl.shop.enquiries import closing
from floatbowl.shop.enquiries.kits_sold import NotOnShelfError
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
    form = CloseForm(request.POST, instance=enquiry)
    if not form.is_valid():
        enquiry.refresh_from_db()
        return _not_closed(request, enquiry, form.errors)
    outcome, why = form.cleaned_data["outcome"], form.cleaned_data["why"]
    enquiry.refresh_from_db()
    try:
        said = closing.close(enquiry, outcome, why, who_is(request), book_is_wrong=bool(request.POST.get("book_wrong")))
    except NotOnShelfError as none:
        return _not_closed(request, enquiry, {"book_wrong": none.reasons})
    told = [f"Enquiry {enquiry.pk} is closed: {dict(OUTCOMES)[outcome].lower()}.", *said]
    messages.success(request, " ".join(told))
    return redirect("counter:home")


def _not_closed(request: HttpRequest, enquiry: Enquiry, errors: Mapping[str, object]) -> HttpResponse:
    in_hand = enquiry.in_hand.first()
    weighed = page.weigh(page.find(enquiry.pk, in_hand.place if in_hand else 1))
    shown_with = page.context(weighed, errors=errors, typed=request.POST, refused="close")
    return render(request, "counter/page.html", shown_with, status=page.UNPROCESSABLE)


@require_POST
def reopen(request: HttpRequest, number: int) -> HttpResponse:
    """Open a closed call again; how it had ended stays in its history."""
    enquiry = get_object_or_404(Enquiry, pk=number)
    if said := closing.reopen(enquiry, who_is(request)):
        messages.success(request, " ".join(said))
    return redirect("counter:enquiry", number)
