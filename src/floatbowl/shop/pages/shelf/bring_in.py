"""Counts, sales and suppliers' price lists from a file: what it leaves open is asked, and each fault has its line."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from floatbowl.shelf.supplier_columns import Question
from floatbowl.shelf.supplier_list import Asked
from floatbowl.shop.models import SentFile, Supplier
from floatbowl.shop.pages.shelf.sending import UNPROCESSABLE, AtFieldError, day_of, with_names
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf.bringing_in import COUNTS, MOST_BYTES, PRICES, SALES, bring_in, first_rows, keep_file
from floatbowl.shop.shelf.faults import faults_of

WHATS: Final = (COUNTS, SALES, PRICES)
GONE: Final = (
    "That table is not kept any longer: it was brought in, it was refused, or it is older than two days. Send it "
    "again; what was brought in already is not doubled."
)
MOST_FAULTS: Final = 200
MOST_QUESTIONS: Final = 40


@dataclass(frozen=True, slots=True)
class ShownQuestion:
    """A question, its place on the page, and whether it was left unanswered."""

    place: int
    question: Question
    left_open: bool


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The three kinds of table that can be sent."""
    return render(request, "shelf/bring_in.html", _context(request.GET.get("supplier", "")))


def _context(chosen: str = "", **more: Any) -> dict[str, Any]:
    suppliers = Supplier.objects.all()
    return with_names(door="bring-in", suppliers=suppliers, chosen_supplier=chosen, today=timezone.localdate(), **more)


@require_POST
def send(request: HttpRequest, what: str) -> HttpResponse:
    """A table is sent: brought in at once, or its questions are asked."""
    if what not in WHATS:
        raise Http404
    try:
        file = _kept(request, what)
    except AtFieldError as wrong:
        refused = {"what": what, "field": wrong.field, "wrong": str(wrong)}
        return _refused(request, refused=refused, typed=request.POST)
    return _brought_in(request, file, {}, is_first=True)


def _kept(request: HttpRequest, what: str) -> SentFile:
    """The file that was sent. Raises AtFieldError."""
    sent = request.FILES.get("file")
    if sent is None:
        raise AtFieldError("file", "Choose the file: a table as CSV, or a spreadsheet.")
    if not sent.size:
        raise AtFieldError("file", f"{sent.name} is empty: choose the file that holds the table.")
    if sent.size > MOST_BYTES:
        raise AtFieldError("file", f"A table has at most {MOST_BYTES // 2**20} MB here; send it in parts.")
    supplier: Supplier | None = None
    if what == PRICES:
        number = request.POST.get("supplier", "")
        supplier = Supplier.objects.filter(pk=int(number[:9])).first() if number.isdecimal() else None
        if supplier is None:
            raise AtFieldError("supplier", "Choose whose list it is; suppliers are written down on their own page.")
    day: date | None = None if what == SALES else day_of(request, "day")
    return keep_file(what, sent.name or "table", sent.read(), who=who_is(request), day=day, supplier=supplier)


@require_POST
def answer(request: HttpRequest, key: str) -> HttpResponse:
    """What was asked about a table is answered."""
    file = SentFile.objects.select_related("supplier").filter(key=key).first()
    if file is None:
        return _refused(request, faults=[GONE])
    if request.POST.get("do") == "give-up":
        file.delete()
        return redirect("shelf:bring_in")
    questions = request.POST.getlist("question")[: 10 * MOST_QUESTIONS]
    told = {asked: request.POST.get(f"answer-{place}", "") for place, asked in enumerate(questions)}
    return _brought_in(request, file, {asked: given for asked, given in told.items() if given})


def _brought_in(request: HttpRequest, file: SentFile, answers: dict[str, str], is_first: bool = False) -> HttpResponse:
    name, what, supplier = file.name, file.what, file.supplier
    try:
        found = bring_in(file, answers)
        if isinstance(found, Asked):
            return _asks(request, file, found, answers, is_first)
    except ValueError as wrong:  # Refused is one
        SentFile.objects.filter(key=file.key).delete()
        return _refused(request, faults=list(faults_of(wrong)), file_name=name, what=what)
    shown_with = _context(done=found, file_name=name, what=what, supplier=supplier)
    return render(request, "shelf/brought_in.html", shown_with | {"history": getattr(found, "history", 0)})


def _asks(request: HttpRequest, file: SentFile, asked: Asked, answers: dict[str, str], is_first: bool) -> HttpResponse:
    """The questions, the first rows beside them, and what was answered before."""
    left_open = {one for one in request.POST.getlist("question") if one not in answers}
    again = {question.key for question in asked.questions}
    answers = {key: given for key, given in answers.items() if key not in again}
    questions = [
        ShownQuestion(len(answers) + place, question, question.key in left_open)
        for place, question in enumerate(asked.questions[:MOST_QUESTIONS])
    ]
    shown_with = _context(
        file=file,
        rows=first_rows(file, answers),
        questions=questions,
        answers=[(place, *pair) for place, pair in enumerate(answers.items())],
    )
    status = UNPROCESSABLE if any(one.left_open for one in questions) and not is_first else 200
    return render(request, "shelf/asked.html", shown_with, status=status)


def _refused(request: HttpRequest, **told: Any) -> HttpResponse:
    faults = told.pop("faults", [])
    more = max(0, len(faults) - MOST_FAULTS)
    shown_with = _context(request.POST.get("supplier", ""), faults=faults[:MOST_FAULTS], more_faults=more, **told)
    return render(request, "shelf/bring_in.html", shown_with, status=UNPROCESSABLE)
