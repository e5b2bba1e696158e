"""Taking back what was wrong: a whole deed at once, its order with it, and never past a paper's own page."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.urls import reverse as address_of

from floatbowl.shop.models.enquiry import Enquiry
from floatbowl.shop.models.job import Job
from floatbowl.shop.models.office import CREDIT, INVOICE, OfficePaper
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.shelf import ledger
from floatbowl.shop.shelf.ledger import NotEnoughError
from floatbowl.shop.shelf.promised import refuse_promised
from floatbowl.shop.shelf.receiving import receipt_taken_back

#: How the line of parts that somebody took for a job by hand, on the item's own page, ends its name.
BY_HAND = "/taken"


@dataclass(frozen=True, slots=True)
class OwnPage:
    """Why a line is not reversed by itself, and the page it goes back through."""

    says: str
    address: str
    link: str


class OwnPageError(ValueError):
    """The line belongs to a paper or a job; ``page`` is where it goes back."""

    def __init__(self, page: OwnPage) -> None:
        super().__init__(page.says)
        self.page = page


def own_pages(lines: Sequence[LedgerLine]) -> dict[int, OwnPage]:
    """By line: the page that it goes back through, for those that are not reversed by themselves."""
    papers = _papers(lines)
    calls = set(Enquiry.objects.filter(pk__in=_numbers("enquiry", "sale", lines)).values_list("pk", flat=True))
    jobs = dict(Job.objects.filter(pk__in=_numbers("job", "job", lines)).values_list("pk", "closed_at"))
    found = {line.pk: _own_page(line, papers, jobs, calls) for line in lines if not line.reverses_id}
    return {pk: page for pk, page in found.items() if page is not None}


def _own_page(line: LedgerLine, papers: dict[str, int], jobs: dict[int, object], calls: set[int]) -> OwnPage | None:
    document = line.document
    if document in papers and line.why in ("sale", "return"):
        address = address_of("office:paper", args=[papers[document]])
        if line.why == "return":
            says = f"It came back with {document}, which stays as it was written. If it is not there, count it"
            return OwnPage(says, address, document.capitalize())
        says = f"It left with {document}. Credit the invoice instead: the goods come back with the credit note"
        return OwnPage(says, address, f"Credit {document}")
    number = _number("enquiry", "sale", line)
    if number in calls:
        says = f"It left with {document}, which was closed as sold. Open that again: the goods come back with it"
        return OwnPage(says, address_of("counter:enquiry", args=[number]), document.capitalize())
    number = _number("job", "job", line)
    if number in jobs and not (line.sent.endswith(BY_HAND) and jobs[number] is None):
        opened = "" if jobs[number] is None else "Open the job again; then it"
        says = f"It left for {document}. {opened or 'It'} goes back from the job's list of parts"
        return OwnPage(says, address_of("bench:step", args=[number, "parts-wanted"]), f"Parts of {document}")
    return None


def _papers(lines: Sequence[LedgerLine]) -> dict[str, int]:
    """Our own invoices and credit notes behind these lines, by the name they have in the ledger."""
    told = {line.document.partition(f"{kind} ")[2] for line in lines for kind in (INVOICE, CREDIT)} - {""}
    rows = OfficePaper.objects.filter(kind__in=(INVOICE, CREDIT), number__in=told)
    brought_in = set(LedgerLine.objects.filter(pk__in=[line.pk for line in lines], told_sales__isnull=False))
    ours = {line.document for line in lines if line not in brought_in}
    found = {f"{kind} {number}": pk for pk, kind, number in rows.values_list("pk", "kind", "number")}
    return {document: pk for document, pk in found.items() if document in ours}


def _number(of: str, why: str, line: LedgerLine) -> int:
    """The number of the job or call behind a line; 0 for none."""
    match = re.fullmatch(rf"{of} (\d{{1,9}})", line.document) if line.why == why else None
    return int(match[1]) if match else 0


def _numbers(of: str, why: str, lines: Sequence[LedgerLine]) -> set[int]:
    return {_number(of, why, line) for line in lines} - {0}


def goes_with(lines: Sequence[LedgerLine]) -> dict[int, list[LedgerLine]]:
    """By line: the other lines that would be reversed with it."""
    open_ones = [line for line in lines if not line.reverses_id and "/" in line.sent and not is_reversed(line)]
    return {
        line.pk: [each for each in ledger.together(line) if each.pk != line.pk and not is_reversed(each)]
        for line in open_ones
    }


def is_reversed(line: LedgerLine) -> bool:
    """Whether another line undoes it."""
    return hasattr(line, "reversed_by")


def undo(line: LedgerLine, who: str, why: str, *, even_promised: bool = False) -> list[LedgerLine]:
    """Reverse a line, and all that was written with it, with the reason; a receipt is to come again on its order.

    Raises ValueError without a reason, OwnPageError, PromisedError, and NotEnoughError where it has gone already.
    """
    if not why.strip():
        raise ValueError("write what was wrong with it")
    with transaction.atomic():
        if page := own_pages([line]).get(line.pk):
            raise OwnPageError(page)
        back = _reversed(line, who, why.strip())
        if not even_promised:
            _refuse_promised(back)
        for each in back:
            if each.reverses and each.reverses.why == "receipt":
                receipt_taken_back(each.reverses)
        return back


def _refuse_promised(back: Sequence[LedgerLine]) -> None:
    changes: Counter[Item] = Counter()
    for each in back:
        changes[each.item] += each.quantity
    for item, change in changes.items():
        if change < 0:
            refuse_promised(item, -change)


def _reversed(line: LedgerLine, who: str, why: str) -> list[LedgerLine]:
    try:
        return ledger.reverse(line, who, why)
    except NotEnoughError as wrong:
        raise NotEnoughError(f"Nothing is reversed: what came of it has gone. {wrong}") from wrong
