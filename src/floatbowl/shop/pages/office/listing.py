"""The office's first page: what is owed, which offers wait and which run out, and every paper found again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from django.core.paginator import Paginator
from django.db.models import DecimalField, F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from floatbowl.money.amount import Amount
from floatbowl.shop.models import OfficePaper, Payment
from floatbowl.shop.models.office import ACCEPTED, CREDIT, DECLINED, INVOICE, INVOICED, OFFER, OPEN, STATES
from floatbowl.shop.pages.office.says import money

A_PAGE: Final = 40
MOST_WAITING: Final = 200
#: Offers that end within so many days are told apart.
SOON_DAYS: Final = 7
#: So many invoices are looked up at once: a database takes only so many names in one question.
MOST_NAMED: Final = 500
#: Less than any sum of money that is kept.
LEAST: Final = Decimal("0.00005")
OWED, RUN_OUT = "owed", "run out"
EVERYTHING: Final = "everything"
WHICH: Final = (
    ("", "What waits today"),
    (EVERYTHING, "Everything, declined offers too"),
    (OWED, "Invoices not yet settled"),
    (OPEN, "Offers waiting for an answer"),
    (RUN_OUT, "Offers that have run out"),
    (ACCEPTED, "Offers accepted, not yet invoiced"),
    (DECLINED, "Offers declined"),
    (INVOICED, "Offers invoiced"),
    (INVOICE, "All invoices"),
    (CREDIT, "All credit notes"),
)


@dataclass(frozen=True)
class ShownPaper:
    """A paper as the list shows it."""

    paper: OfficePaper
    says: str
    pressing: bool = False

    @property
    def to(self) -> str:
        """The first row of whom it is for."""
        return self.paper.to_name.strip().partition("\n")[0] or "nobody named"

    @property
    def total(self) -> str:
        return str(money(self.paper.total, self.paper.currency))


def owed_of(invoices: Iterable[OfficePaper]) -> dict[int, Amount]:
    """What is still to pay of each invoice, by its key."""
    left = {paper.pk: paper.total for paper in invoices}
    codes = {paper.pk: paper.currency for paper in invoices}
    for some in batched(left, MOST_NAMED):
        for key, total in OfficePaper.objects.filter(kind=CREDIT, follows__in=some).values_list("follows", "total"):
            left[key] += total
        for key, amount in Payment.objects.filter(invoice__in=some).values_list("invoice", "amount"):
            left[key] -= amount
    return {key: money(left[key], code) for key, code in codes.items()}


def is_settled(owed: Amount, *, in_cash: bool) -> bool:
    """Whether nothing more is asked: nothing is owed, or less than coins can pay after some was paid in cash.

    >>> [is_settled(Amount(Decimal("0.02"), "CAD"), in_cash=cash) for cash in (True, False)]
    [True, False]
    """
    return not owed or (in_cash and not owed.in_cash())


def valid_until(paper: OfficePaper) -> date:
    """The last day on which an offer holds."""
    return date.fromisoformat(paper.facts["valid_until"])


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """What is owed and what waits; or the papers that fit what was typed."""
    words, which = request.GET.get("q", "")[:200].strip(), request.GET.get("which", "")
    which = which if which in dict(WHICH) else ""
    shown_with = {"place": "office", "words": words, "which": which, "whiches": WHICH}
    if words or which:
        sheet = Paginator(_found(words, which), A_PAGE).get_page(request.GET.get("page"))
        return render(request, "office/home.html", shown_with | {"sheet": sheet, "papers": shown(list(sheet))})
    return render(request, "office/home.html", shown_with | _waiting())


def _waiting() -> dict[str, object]:
    """What is owed, what was accepted, and which offers wait, those ending soonest first."""
    unsettled = _unsettled()
    offers = OfficePaper.objects.filter(kind=OFFER, state__in=(OPEN, ACCEPTED)).order_by("-pk")[:MOST_WAITING]
    waiting = shown(sorted((each for each in offers if each.state == OPEN), key=valid_until))
    today = timezone.localdate()
    return {
        "owed": shown(unsettled[:A_PAGE]),
        "more_owed": max(0, len(unsettled) - A_PAGE),
        "owed_in_all": _in_all(unsettled),
        "accepted": shown([each for each in offers if each.state == ACCEPTED]),
        "open": [each for each in waiting if valid_until(each.paper) >= today],
        "run_out": [each for each in waiting if valid_until(each.paper) < today],
        "any": OfficePaper.objects.exists(),
    }


def _unsettled() -> list[OfficePaper]:
    """The invoices on which something is owed either way, oldest first.

    The database only leaves out those that are paid to the last hundredth of a penny; what is owed on the others is
    then worked out exactly.
    """
    paid = Payment.objects.filter(invoice=OuterRef("pk")).order_by().values("invoice").annotate(all=Sum("amount"))
    credited = OfficePaper.objects.filter(kind=CREDIT, follows=OuterRef("pk")).order_by().values("follows")
    credited = credited.annotate(all=Sum("total"))
    nothing = Value(Decimal(0), output_field=DecimalField())
    left = F("total") + Coalesce(Subquery(credited.values("all")), nothing)
    found = (
        OfficePaper.objects.filter(kind=INVOICE)
        .annotate(left=left - Coalesce(Subquery(paid.values("all")), nothing))
        .exclude(left__gt=-LEAST, left__lt=LEAST)
        .order_by("dated", "pk")
        .defer("facts", "goods")
    )
    invoices = list(found)
    owed, cash = owed_of(invoices), _paid_in_cash(invoices)
    return [paper for paper in invoices if not is_settled(owed[paper.pk], in_cash=paper.pk in cash)]


def _paid_in_cash(invoices: Iterable[OfficePaper]) -> set[int]:
    keys = [paper.pk for paper in invoices]
    found: set[int] = set()
    for some in batched(keys, MOST_NAMED):
        found |= set(Payment.objects.filter(how="cash", invoice__in=some).values_list("invoice", flat=True))
    return found


def batched(keys: Iterable[int], size: int) -> Iterator[list[int]]:
    """The keys, so many at a time."""
    left = list(keys)
    for start in range(0, len(left), size):
        yield left[start : start + size]


def _in_all(unsettled: list[OfficePaper]) -> list[str]:
    """What is owed to the shop, one sum for each currency."""
    by_currency: defaultdict[str, Decimal] = defaultdict(Decimal)
    for amount in owed_of(unsettled).values():
        by_currency[amount.currency] += max(amount.value, Decimal(0))
    return [str(money(value, code)) for code, value in sorted(by_currency.items()) if value]


def _found(words: str, which: str) -> QuerySet[OfficePaper] | list[OfficePaper]:
    found = OfficePaper.objects.order_by("-pk")
    if words:
        fits = Q(to_plain__contains=" ".join(words.casefold().split())) | Q(number__icontains=words)
        for told, field in (("job", "job"), ("enquiry", "enquiry")):
            number = words.casefold().removeprefix(told).strip()
            if number.isascii() and number.isdecimal():
                fits |= Q(**{field: int(number[:18])})
        found = found.filter(fits)
    if which in (INVOICE, CREDIT):
        return found.filter(kind=which)
    if which == OWED:
        fitting = set(found.filter(kind=INVOICE).values_list("pk", flat=True)) if words else None
        return [paper for paper in _unsettled() if fitting is None or paper.pk in fitting]
    if which in (OPEN, RUN_OUT):
        today = timezone.localdate()
        offers = found.filter(kind=OFFER, state=OPEN)
        return [paper for paper in offers if (valid_until(paper) < today) == (which == RUN_OUT)]
    return found.filter(kind=OFFER, state=which) if which and which != EVERYTHING else found


def shown(papers: list[OfficePaper]) -> list[ShownPaper]:
    """The papers with what became of each in words."""
    invoices = [paper for paper in papers if paper.kind == INVOICE]
    owed, cash = owed_of(invoices), _paid_in_cash(invoices) if invoices else set()
    return [_shown(paper, owed.get(paper.pk), paper.pk in cash) for paper in papers]


def _shown(paper: OfficePaper, owed: Amount | None, in_cash: bool) -> ShownPaper:
    if owed is not None:
        if is_settled(owed, in_cash=in_cash):
            return ShownPaper(paper, "settled")
        return ShownPaper(paper, f"{owed} owed" if owed.value > 0 else f"{-owed} to pay back", True)
    if paper.kind == CREDIT:
        return ShownPaper(paper, "credited")
    if paper.state != OPEN:
        return ShownPaper(paper, dict(STATES)[paper.state].lower())
    days = (valid_until(paper) - timezone.localdate()).days
    if days < 0:
        return ShownPaper(paper, f"ran out {-days} day{'s' if days != -1 else ''} ago")
    ends = "ends today" if days == 0 else f"ends in {days} day{'s' if days != 1 else ''}"
    return ShownPaper(paper, ends, days <= SOON_DAYS)
