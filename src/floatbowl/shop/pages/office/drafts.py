"""Drafting an offer: lines added, changed and taken out, totals renewed while it is typed, and made once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from floatbowl.engine.refusal import Refused
from floatbowl.shop.models import Enquiry, InHand, Job, OfficePaper
from floatbowl.shop.models.office import DECLINED, OFFER
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.office import agreed, drafting
from floatbowl.shop.office.drafting import DraftLine, DraftOffer
from floatbowl.shop.office.issuing import offer
from floatbowl.shop.office.left_out import less_what_is_in_it
from floatbowl.shop.office.rules import rates
from floatbowl.shop.office.written_prices import begun_settings
from floatbowl.shop.pages.bench.steps import sent_name
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.pages.counter.page import UNPROCESSABLE
from floatbowl.shop.pages.office.draft_shown import found_on_shelf, shown_lines, shown_sums
from floatbowl.shop.pages.office.forms import LEAST_REASON, Checked, check, final, read_draft
from floatbowl.shop.pages.office.listing import shown
from floatbowl.shop.pages.office.says import says_rule
from floatbowl.shop.security import who_is
from floatbowl.shop.standing import current_reference

#: In the address of a draft that is begun though there are papers.
ANYWAY: Final = "another"
ADDED: Final[dict[str, Callable[[], DraftLine]]] = {
    "work": drafting.work_line,
    "core": drafting.core_line,
    "postage": drafting.postage_line,
    "other": DraftLine,
}


@dataclass(frozen=True)
class About:
    """What an offer is about: a carburettor in a call, a job, or neither."""

    in_hand: InHand | None = None
    job: Job | None = None
    #: The offer that is drafted again.
    before: OfficePaper | None = None

    @property
    def enquiry(self) -> Enquiry | None:
        """The call it belongs to."""
        about = self.before or self.in_hand or self.job
        found: Enquiry | None = about.enquiry if about is not None else None
        return found

    @property
    def for_job(self) -> Job | None:
        """The job it belongs to."""
        return self.before.job if self.before is not None else self.job

    def begun(self, kit: str) -> DraftOffer:
        """The draft that is put on the page first."""
        if self.before is not None:
            return drafting.from_offer(self.before)
        if self.in_hand is not None:
            return drafting.from_enquiry(self.in_hand, kit)
        return drafting.from_job(self.job) if self.job is not None else drafting.empty_offer()


@require_http_methods(["GET", "POST"])
def empty(request: HttpRequest) -> HttpResponse:
    """An offer of things looked out by hand."""
    return _page(request, About())


@require_http_methods(["GET", "POST"])
def from_enquiry(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """An offer for a carburettor in a call."""
    found = get_object_or_404(InHand.objects.select_related("enquiry"), enquiry_id=number, place=place)
    about = About(in_hand=found)
    return _asked_first(request, about, found.enquiry.papers.filter(job=None)) or _page(request, about)


@require_http_methods(["GET", "POST"])
def from_job(request: HttpRequest, number: int) -> HttpResponse:
    """An offer for a job on the bench."""
    about = About(job=get_object_or_404(Job.objects.select_related("enquiry"), pk=number))
    return _asked_first(request, about, OfficePaper.objects.filter(job=number)) or _page(request, about)


def _asked_first(request: HttpRequest, about: About, papers: QuerySet[OfficePaper]) -> HttpResponse | None:
    """The papers there are already, before another offer is begun; None where nothing is to be asked."""
    made = papers.exclude(kind=OFFER, state=DECLINED).order_by("pk")
    if request.method != "GET" or ANYWAY in request.GET or not made:
        return None
    asked = request.GET.copy()
    asked[ANYWAY] = "1"
    shown_with = {"place": "office", "about": about, "papers": shown(list(made)), "anyway": f"?{asked.urlencode()}"}
    return render(request, "office/exists.html", shown_with)


@require_http_methods(["GET", "POST"])
def again(request: HttpRequest, number: int) -> HttpResponse:
    """An offer drafted anew from one that was made: other prices, or because it has run out."""
    return _page(request, About(before=get_object_or_404(OfficePaper, pk=number, kind=OFFER)))


@require_POST
def totals(request: HttpRequest) -> HttpResponse:
    """What the lines come to as they are typed: a piece of the page."""
    draft, settings = read_draft(request.POST.dict()), begun_settings()
    checked = check(draft, settings, is_final=False)
    number = request.POST.get("job", "")[:18]
    job = Job.objects.filter(pk=int(number)).first() if number.isascii() and number.isdecimal() else None
    above = agreed.above_agreed(job, checked.totals)
    return render(request, "office/_totals.html", shown_sums(draft, checked, settings) | {"oob": True, "above": above})


def _page(request: HttpRequest, about: About) -> HttpResponse:
    begun_settings()
    if request.method != "POST":
        return _shown(request, about, about.begun(request.GET.get("kit", "")), fresh=True)
    draft, do = read_draft(request.POST.dict()), request.POST.get("do", "")
    if about.in_hand is not None:
        draft = replace(draft, mind=drafting.speaks_against(about.in_hand, draft))
    if do == "make":
        return _make(request, about, less_what_is_in_it(draft))
    return _shown(request, about, less_what_is_in_it(_changed(draft, do)), new_line=do.startswith(("add-", "shelf ")))


def _changed(draft: DraftOffer, do: str) -> DraftOffer:
    """The draft with the line that was asked for, or without one."""
    if do.startswith("add-") and (added := ADDED.get(do[4:])):
        return draft.with_line(added())
    if do.startswith("remove-") and do[7:].isascii() and do[7:].isdecimal():
        return draft.without(int(do[7:12]))
    if do.startswith("shelf "):
        kind, _, key = do[6:].partition(" ")
        book = book_of(current_reference())
        if kind == KIT and key in book.kits:
            return draft.with_line(drafting.kit_line(key, book))
        if kind == PART and key in book.parts:
            return draft.with_line(drafting.part_line(key, book))
    return draft


def _make(request: HttpRequest, about: About, draft: DraftOffer) -> HttpResponse:
    sent = sent_name(request)
    if known := OfficePaper.objects.filter(sent=sent).first():
        return redirect("office:paper", known.pk)
    checked = check(draft, begun_settings(), is_final=True)
    above = agreed.above_agreed(about.for_job, checked.totals)
    if above and len(draft.why_over.strip()) < LEAST_REASON:
        checked = replace(checked, faults={**checked.faults, "why_over": f"{above} Write why, and what he said to it."})
    if checked.faults:
        return _shown(request, about, draft, checked=checked, status=UNPROCESSABLE)
    try:
        with transaction.atomic():
            made = offer(final(draft, checked, sent, about.enquiry, about.for_job), who_is(request))
    except Refused as refused:
        return _shown(request, about, draft, checked=checked, refused=str(refused), status=UNPROCESSABLE)
    except IntegrityError:  # The same was sent twice at once; the other one was written.
        return redirect("office:paper", get_object_or_404(OfficePaper, sent=sent).pk)
    messages.success(request, f"Offer {made.number} is made. Print it, or read its total out.")
    return redirect("office:paper", made.pk)


def _shown(
    request: HttpRequest,
    about: About,
    draft: DraftOffer,
    *,
    checked: Checked | None = None,
    refused: str = "",
    fresh: bool = False,
    new_line: bool = False,
    status: int = 200,
) -> HttpResponse:
    settings = begun_settings()
    checked = checked or check(draft, settings, is_final=False)
    words = request.POST.get("find", "")
    shown_with: dict[str, Any] = {
        "place": "office",
        "about": about,
        "draft": draft,
        "sent": new_key() if fresh else sent_name(request),
        "fresh": fresh,
        "lines": shown_lines(draft, checked, settings, len(draft.lines) - 1 if new_line else -1),
        "rates": rates(settings) if settings.prices != "no tax" else (),
        "code": settings.currency,
        "rule": says_rule(settings),
        "faults": checked.faults,
        "above": agreed.above_agreed(about.for_job, checked.totals),
        "for_job": about.for_job,
        "refused": refused,
        "words": words,
        "found": found_on_shelf(words, book_of(current_reference())),
        "action": request.get_full_path(),
    }
    return render(request, "office/draft.html", shown_with | shown_sums(draft, checked, settings), status=status)


@require_POST
def find(request: HttpRequest) -> HttpResponse:
    """Kits and parts that fit what is being typed: a piece of the page."""
    words = request.POST.get("find", "")[:100].strip()
    found = found_on_shelf(words, book_of(current_reference()))
    return render(request, "office/_found.html", {"found": found, "words": words})
