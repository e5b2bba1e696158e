"""The job's papers as PDF."""

from __future__ import annotations

import csv
from typing import Final, cast

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from floatbowl.papers.paper import PAGES, Page
from floatbowl.papers.strip_sheet import StripSheet, strip_sheet_pdf
from floatbowl.shop.address import for_a_phone
from floatbowl.shop.jobs.invoice_lines import invoice_lines
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
def lines(request: HttpRequest, number: int) -> HttpResponse:
    """The job's lines for the office as CSV (RFC 4180): kind, what, quantity, price of one."""
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="job-{number}-lines.csv"'
    table = csv.writer(answer)
    table.writerow(["kind", "what", "quantity", "price"])
    for line in invoice_lines(steps.find(number)):
        table.writerow(
            [line.kind, _no_formula(line.says), f"{line.quantity:g}", "" if line.price is None else line.price]
        )
    return answer


def _no_formula(text: str) -> str:
    """A cell that a spreadsheet does not take for a formula."""
    return f"'{text}" if text[:1] in "=+-@\t\r" else text


@require_GET
def paper(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    """One paper of a job; ``?page=Letter`` prints it on Letter."""
    page = request.GET.get("page", "A4")
    if kind not in PAPERS or page not in PAGES:
        raise Http404
    job = steps.find(number)
    address = for_a_phone(request, reverse("bench:job", args=[number]))
    pdf = PAPERS[kind][1](filled(job, address, cast(Page, page), shown_unit(request)))
    return _pdf(pdf, f"job-{number}-{kind}")
