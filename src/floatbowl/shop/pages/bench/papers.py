"""The job's papers as PDF."""

from __future__ import annotations

from typing import Final, cast

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from floatbowl.papers.paper import PAGES, Page
from floatbowl.papers.strip_sheet import StripSheet, strip_sheet_pdf
from floatbowl.shop.jobs.papers import PAPERS, filled
from floatbowl.shop.pages.bench import steps
from floatbowl.shop.unit import shown_unit

#: Each paper's name in its address and on the page.
LINKS: Final = tuple((kind, name) for kind, (name, _) in PAPERS.items())


@require_GET
def blank(request: HttpRequest) -> HttpResponse:
    """An empty strip and measuring sheet, to be filled in by hand."""
    page = request.GET.get("page", "A4")
    if page not in PAGES:
        raise Http404
    return _pdf(strip_sheet_pdf(StripSheet(page=cast(Page, page))), "strip-sheet-empty")


def _pdf(pdf: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)


@require_GET
def paper(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    """One paper of a job; ``?page=Letter`` prints it on Letter."""
    page = request.GET.get("page", "A4")
    if kind not in PAPERS or page not in PAGES:
        raise Http404
    job = steps.find(number)
    address = request.build_absolute_uri(reverse("bench:job", args=[number]))
    pdf = PAPERS[kind][1](filled(job, address, cast(Page, page), shown_unit(request)))
    return _pdf(pdf, f"job-{number}-{kind}")
