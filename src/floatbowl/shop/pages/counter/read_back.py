"""Before a kit goes out: read it back, have it confirmed by two independent kinds of evidence, print the slip."""

from __future__ import annotations

import re
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from floatbowl.papers.packing_slip import PackingSlip, SlipLine, packing_slip_pdf
from floatbowl.shop.models.enquiry import ReadBack
from floatbowl.shop.office.letterhead import shop_name
from floatbowl.shop.pages.counter import page, sentence
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.pages.counter.contents import contents_of
from floatbowl.shop.pages.counter.weighed import Standing
from floatbowl.shop.security import who_is
from floatbowl.shop.standing import current_reference

#: Common practice of the trade; a shop sets its own.
RETURN_RULE = (
    "Hold every part against the old one before you open its packet. Unopened, the kit may come back within 30 days. "
    "Opened packets cannot be taken back; ring us first when anything looks different."
)
SHORTEST_OVERRIDE = 8


@require_GET
def contents(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """A kit's parts by size."""
    page.find(number, place)
    book = book_of(current_reference())
    kit = request.GET.get("kit", "")
    found = contents_of(kit, request.GET.get("carburettor", ""), book)
    return render(request, "counter/_contents.html", {"contents": found})


@require_http_methods(["GET", "POST"])
def read_back(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Read the sentence back; keep who confirmed what, or the written reason for sending without two kinds."""
    in_hand = page.find(number, place)
    weighed = page.weigh(in_hand)
    kit = request.POST.get("kit") or request.GET.get("kit") or weighed.standing.answer.advice.kit or _first(weighed)
    if not kit or kit not in weighed.book.kits:
        messages.error(request, "There is no kit to read back yet. Ask for more first.")
        return redirect("counter:page", number, place)
    shown_with = _context(weighed, kit)
    if request.method == "POST":
        errors = _wrong(request, shown_with["wanted"])
        if not errors:
            _keep(request, weighed, kit, shown_with)
            return redirect(f"{request.path}?kit={kit}")
        shown_with |= {"errors": errors, "typed": request.POST}
        return render(request, "counter/read_back.html", shown_with, status=page.UNPROCESSABLE)
    return render(request, "counter/read_back.html", shown_with)


def _first(weighed: page.Weighed) -> str:
    return weighed.standing.kits[0].key if weighed.standing.kits else ""


def _context(weighed: page.Weighed, kit: str) -> dict[str, Any]:
    answer, book = weighed.standing.answer, weighed.book
    carburettors = sentence.carburettors_of_kit(answer, kit, book)
    carburettor = carburettors[0] if carburettors else ""
    return page.context(
        weighed,
        kit=next((one for one in weighed.standing.kits if one.key == kit), book.kits[kit]),
        kit_key=kit,
        carburettor=carburettor,
        number=sentence.number_said(answer, kit, book),
        sentence=sentence.sentence(answer, kit, weighed.items, book),
        doubt=sentence.doubt(answer, kit),
        contents=contents_of(kit, carburettor, book),
        wanted=reasons_wanted(weighed.standing, kit),
        told=sentence.told_looks(weighed.items, book),
        done=weighed.in_hand.read_backs.filter(withdrawn_at=None, kit=kit).last(),
    )


def reasons_wanted(standing: Standing, kit: str) -> list[str]:
    """Why this kit may go out only with a written reason; empty when it may go."""
    wanted = []
    if not standing.enough_kinds:
        wanted.append("There are not yet two independent kinds of evidence for it.")
    if standing.action != "send":
        wanted.append(f"Our advice is not to send yet: {standing.advice}")
    elif standing.answer.advice.kit and not _fits_alike(standing, kit, standing.answer.advice.kit):
        wanted.append("Another kit is likelier.")
    wanted.extend(f"What we were told disagrees: {saying}" for saying in standing.answer.contradictions)
    return wanted


def _fits_alike(standing: Standing, kit: str, advised: str) -> bool:
    return any({kit, advised} <= {one.key for one in group.kits} for group in standing.groups)


def _wrong(request: HttpRequest, wanted: list[str]) -> dict[str, list[str]]:
    """What is missing before the kit may go."""
    errors: dict[str, list[str]] = {}
    if not request.POST.get("confirmed"):
        errors["confirmed"] = ["Read the sentence out and tick this when the caller says yes."]
    if wanted and len(request.POST.get("override", "").strip()) < SHORTEST_OVERRIDE:
        errors["override"] = ["Ask one thing more, or write here, in a few words, why the kit goes out all the same."]
    return errors


@transaction.atomic
def _keep(request: HttpRequest, weighed: page.Weighed, kit: str, shown_with: dict[str, Any]) -> ReadBack:
    return ReadBack.objects.create(
        in_hand=weighed.in_hand,
        carburettor=shown_with["carburettor"],
        number=shown_with["number"][:200],
        kit=kit,
        kit_name=weighed.book.kit_name(kit)[:200],
        sentence=shown_with["sentence"],
        doubt=shown_with["doubt"],
        kinds=list(weighed.standing.kinds),
        packed=_packed(kit, shown_with, weighed.book),
        override=request.POST.get("override", "").strip() if shown_with["wanted"] else "",
        who=who_is(request),
    )


@require_POST
def withdraw(request: HttpRequest, number: int, place: int) -> HttpResponse:
    """Take a read-back back, because something about the carburettor turned out otherwise; it stays in the history."""
    in_hand = page.find(number, place)
    in_hand.read_backs.filter(withdrawn_at=None).update(withdrawn_at=timezone.now(), withdrawn_by=who_is(request))
    return redirect("counter:page", number, place)


@require_GET
def slip(request: HttpRequest, number: int) -> HttpResponse:
    """The packing slip of a confirmed kit, as a PDF."""
    done = get_object_or_404(ReadBack.objects.select_related("in_hand__enquiry"), pk=number, withdrawn_at=None)
    pdf = packing_slip_pdf(_slip(done))
    name = re.sub(r"[^A-Za-z0-9-]+", "-", done.kit_name).strip("-") or "kit"
    headers = {"Content-Disposition": f'inline; filename="packing-slip-{done.pk}-{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)


def _packed(kit: str, shown_with: dict[str, Any], book: Book) -> dict[str, Any]:
    """The kit as it goes out now, and what that rests on."""
    known, inside = book.kits[kit], shown_with["contents"]
    return {
        "level": known.level,
        "fuel": known.fuel,
        "lines": [[line.position, line.name, line.count, list(line.sizes)] for line in inside.lines],
        "not_included": list(inside.not_included),
        "told": shown_with["told"],
    }


def _slip(done: ReadBack) -> PackingSlip:
    enquiry, packed = done.in_hand.enquiry, done.packed
    return PackingSlip(
        shop_name=shop_name(),
        slip_number=str(done.pk),
        date=timezone.localdate(done.at),
        caller_name=enquiry.caller,
        enquiry=f"E{enquiry.pk}",
        kit_name=done.kit_name,
        kit=done.kit,
        level=packed.get("level", ""),
        fuel=packed.get("fuel", ""),
        carburettor=done.number,
        read_back=done.sentence,
        doubt=done.doubt,
        evidence=tuple(packed.get("told", ())),
        override=done.override,
        contents=tuple(
            SlipLine(position, name, count, tuple(sizes)) for position, name, count, sizes in packed.get("lines", ())
        ),
        not_included=tuple(packed.get("not_included", ())),
        return_rule=RETURN_RULE,
    )
