"""Everything one counter page shows, gathered once; and the pieces of it that a change sends back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string

from floatbowl.identify.consult import consult
from floatbowl.identify.machines import machine_of
from floatbowl.identify.numbers import ReadingError
from floatbowl.reference import observed
from floatbowl.shop.models.enquiry import OUTCOMES, Enquiry, EnquiryChange, Evidence, InHand, ReadBack
from floatbowl.shop.models.photograph import PhotoSet
from floatbowl.shop.pages.counter import choices, told
from floatbowl.shop.pages.counter.ask import Question, given_looks, given_readings, next_question
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.pages.counter.contents import Contents, contents_of
from floatbowl.shop.pages.counter.glance import glance
from floatbowl.shop.pages.counter.weighed import Standing, shown
from floatbowl.shop.pages.office.listing import shown as papers_shown
from floatbowl.shop.standing import current_weigher

UNPROCESSABLE, CONFLICT = 422, 409


@dataclass
class Weighed:
    """One carburettor in the hand with its evidence and its standing."""

    in_hand: InHand
    items: list[Evidence]
    sold: list[ReadBack]
    book: Book
    standing: Standing
    refused: str = ""


def find(number: int, place: int) -> InHand:
    """The carburettor at this place of an enquiry, or "not found"."""
    return get_object_or_404(InHand.objects.select_related("enquiry"), enquiry_id=number, place=place)


def weigh(in_hand: InHand, draft: observed.Reading | None = None) -> Weighed:
    """Weigh all that was told; a number that cannot be weighed is left out and said so."""
    items = told.standing_evidence(in_hand)
    sold = told.sold_before(in_hand.enquiry)
    bought = tuple(dict.fromkeys(one.kit for one in sold))
    weigher = current_weigher()
    book = book_of(weigher.reference)
    refused = ""
    weighing = consult if draft is None else glance
    try:
        answer = weighing(weigher, told.observed_enquiry(in_hand, items, bought, draft))
    except ReadingError as wrong:
        refused = str(wrong)
        # Without the draft; or, where a number kept long ago can no longer be weighed, without the numbers.
        weighable = items if draft is not None else [item for item in items if item.kind == Evidence.LOOK]
        answer = consult(weigher, told.observed_enquiry(in_hand, weighable, bought))
        draft = None
    return Weighed(in_hand, items, sold, book, shown(answer, book, draft is not None), refused)


def context(weighed: Weighed, question: Question | None = None, **more: Any) -> dict[str, Any]:
    """What the templates of the page are given."""
    in_hand, book, items = weighed.in_hand, weighed.book, weighed.items
    proposed, others = next_question(weighed.standing.answer, items, book)
    last = items[-1] if items else None
    return {
        "place": "counter",
        "enquiry": in_hand.enquiry,
        "in_hand": in_hand,
        "address": f"/counter/{in_hand.enquiry_id}/{in_hand.place}/",
        "siblings": in_hand.enquiry.in_hand.all(),
        "struck": in_hand.evidence.exclude(struck_at=None),
        "changes": in_hand.enquiry.changes.all(),
        "readings": given_readings(items),
        "photo_sets": unused_photographs(in_hand),
        "looks": given_looks(items, book),
        "standing": weighed.standing,
        "contents": first_contents(weighed),
        "question": question or proposed,
        "others": others,
        "refused_reading": weighed.refused,
        "sold": weighed.sold,
        "machine": machine_said(in_hand, weighed.standing.answer.enquiry, book),
        "places": book.places,
        "forms": choices.FORMS,
        "vias": choices.VIAS,
        "unsure": choices.UNSURE,
        "outcomes": OUTCOMES,
        "jobs": in_hand.enquiry.jobs.all(),
        "papers_made": lambda: papers_shown(list(in_hand.enquiry.papers.order_by("pk"))),
        "via": last.via if last else _first_way(in_hand),
        "group": last.group if last and last.via == "photo" else "",
        "levels": book.levels,
        "fuels": book.fuels,
        "has_records": bool(book.reference.carburettors),
        "reading": {"via": last.via if last else _first_way(in_hand)},
        "read_back": lambda: in_hand.read_backs.filter(withdrawn_at=None).last(),
        "errors": {},
        **more,
    }


def _first_way(in_hand: InHand) -> str:
    """How the first piece of evidence most likely came: from the object itself where it lies on the bench."""
    return "bench" if in_hand.jobs.exists() else "heard"


def unused_photographs(in_hand: InHand) -> list[PhotoSet]:
    """Photographs of this carburettor that no number stands for yet."""
    used = in_hand.evidence.filter(struck_at=None).exclude(photo_set=None).values("photo_set")
    return list(in_hand.photo_sets.exclude(photographs=None).exclude(pk__in=used).prefetch_related("photographs"))


def first_contents(weighed: Weighed) -> Contents | None:
    """The likeliest kit by size, since that is held against the old parts first."""
    standing = weighed.standing
    if not standing.kits:
        return None
    carburettor = standing.carburettors[0].key if standing.carburettors else ""
    return contents_of(standing.kits[0].key, carburettor, weighed.book)


def machine_said(in_hand: InHand, told_us: observed.Enquiry, book: Book) -> dict[str, Any]:
    """What we make of the machine's name: the one it is, the one it is weighed as, or those it may be."""
    if in_hand.machine and in_hand.machine in book.machines:
        options = {row.carburettor for row in book.came_on.get(in_hand.machine, ())}
        return {"known": book.machine_name(in_hand.machine), "options": len(options)}
    text = in_hand.machine_text.strip()
    if not text:
        return {}
    near = [book.machine_name(machine.machine) for machine in book.find_machines(text, 5)]
    meant = machine_of(current_weigher().machines, told_us)
    return {"unknown": text, "near": near, "meant": book.machine_name(meant) if meant else ""}


def machine_key(text: str, book: Book) -> str:
    """The machine a text names: by its whole name, by its model alone, or because no other fits."""
    words = " ".join(text.split()).casefold()
    if words in book.machine_names:
        return book.machine_names[words]
    if len(same_model := book.machine_models.get(words, [])) == 1:
        return same_model[0]
    found = book.find_machines(text, 2)
    return found[0].machine if len(found) == 1 else ""


def pieces(request: HttpRequest, names: list[str], shown_with: dict[str, Any], status: int = 200) -> HttpResponse:
    """The named pieces of the page, each to take its old self's place."""
    html = "".join(
        render_to_string(f"counter/_{name}.html", {**shown_with, "oob": True}, request=request) for name in names
    )
    return HttpResponse(html, status=status)


def answer_with(request: HttpRequest, names: list[str], shown_with: dict[str, Any], status: int = 200) -> HttpResponse:
    """Pieces for a page that asked for them; the whole page, or a way back to it, for one without scripts."""
    if request.headers.get("HX-Request"):
        return pieces(request, names, shown_with, status)
    if status >= 400:
        return render(request, "counter/page.html", shown_with, status=status)
    return redirect(shown_with["address"])


def keep_changes(
    enquiry: Enquiry, in_hand: InHand | None, before: dict[str, Any], after: dict[str, Any], who: str
) -> list[str]:
    """Write down each field that changed; returns their names."""
    changed = [name for name in after if (before.get(name) or "") != (after[name] or "")]
    EnquiryChange.objects.bulk_create(
        EnquiryChange(
            enquiry=enquiry,
            in_hand=in_hand,
            field=name,
            before="" if before.get(name) is None else str(before[name]),
            after="" if after[name] is None else str(after[name]),
            who=who,
        )
        for name in changed
    )
    return changed
