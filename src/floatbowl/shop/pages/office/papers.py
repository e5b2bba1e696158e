"""The office's papers as PDF: offer, invoice, credit note, and the pick list of an accepted offer."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any, Final, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from floatbowl.money.amount import Amount
from floatbowl.papers.credit_note import CreditNotePaper, credit_note_pdf
from floatbowl.papers.invoice import InvoicePaper, Payment, invoice_pdf
from floatbowl.papers.offer import OfferPaper, offer_pdf
from floatbowl.papers.paper import PAGES, Page
from floatbowl.papers.pick_list import PickLine, PickList, pick_list_pdf
from floatbowl.shop.address import for_a_phone
from floatbowl.shop.models import Holding, OfficePaper
from floatbowl.shop.models.office import ACCEPTED, CREDIT, INVOICE, OFFER
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.office.beside import beside_of, counted_in
from floatbowl.shop.office.facts import credit_of, invoice_of, offer_of
from floatbowl.shop.office.guard import let_out_of, not_read_back
from floatbowl.shop.office.issuing import credits_of
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.pages.counter.contents import contents_of, sizes_of
from floatbowl.shop.pages.office.goods import name_of_goods
from floatbowl.shop.pages.office.views import find
from floatbowl.shop.standing import current_reference

CORE: Final = "The core deposit is paid back when your old carburettor comes in, drained, with its number on it."
NO_PLACE: Final = "place not written down"


@require_GET
def paper(request: HttpRequest, number: int) -> HttpResponse:
    """A paper as PDF; ``?page=Letter`` prints it on Letter."""
    found, page = find(number), _page_size(request)
    makes = {OFFER: _offer, INVOICE: _invoice, CREDIT: _credit}[found.kind]
    address = for_a_phone(request, reverse("office:paper", args=[number]))
    return _pdf(makes(found, address, page), f"{found.kind}-{found.number}")


@require_GET
def pick_list(request: HttpRequest, number: int) -> HttpResponse:
    """What to fetch for an accepted offer."""
    found, page = find(number, OFFER), _page_size(request)
    if found.state != ACCEPTED or not found.goods:
        messages.error(request, "There is a pick list only while an offer with goods is accepted and not yet invoiced.")
        return redirect("office:paper", number)
    if not_read_back(found) and let_out_of(found) is None:
        messages.error(request, "A kit on it was not read back; read it back first, and then fetch it.")
        return redirect("office:paper", number)
    address = for_a_phone(request, reverse("office:paper", args=[number]))
    return _pdf(pick_list_pdf(_pick_list(found, address, page)), f"pick-list-{found.number}")


def _page_size(request: HttpRequest) -> Page:
    page = request.GET.get("page", "A4")
    if page not in PAGES:
        raise Http404
    return cast(Page, page)


def _pdf(pdf: bytes, name: str) -> HttpResponse:
    safe = re.sub(r"[^A-Za-z0-9-]+", "-", name).strip("-")
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{safe}.pdf"'}
    )


def _offer(found: OfficePaper, address: str, page: Page) -> bytes:
    beside = beside_of(found)
    return offer_pdf(
        OfferPaper(
            offer=offer_of(found.facts),
            **beside.head.on_paper,
            enquiry=_enquiry(found),
            address=address,
            carburettor=beside.carburettor,
            sizes=beside.sizes,
            counted_in=counted_in(beside),
            has_kit="kit" in beside.kinds,
            core=CORE if "core" in beside.kinds else "",
            page=page,
        )
    )


def _invoice(found: OfficePaper, address: str, page: Page) -> bytes:
    beside = beside_of(found)
    return invoice_pdf(
        InvoicePaper(
            invoice=invoice_of(found.facts),
            **beside.head.on_paper,
            job_number=str(found.job_id or ""),
            enquiry=_enquiry(found),
            address=address,
            carburettor=beside.carburettor,
            sizes=beside.sizes,
            counted_in=counted_in(beside),
            how_to_pay=beside.how_to_pay,
            pay_by=beside.pay_by,
            payments=tuple(
                Payment(each.how, Amount(each.amount, found.currency), timezone.localdate(each.at))
                for each in found.payments.all()
            ),
            credits=tuple(credits_of(found)),
            core=CORE if "core" in beside.kinds else "",
            page=page,
        )
    )


def _credit(found: OfficePaper, address: str, page: Page) -> bytes:
    beside = beside_of(found)
    if found.follows is None:
        raise Http404
    return credit_note_pdf(
        CreditNotePaper(
            note=credit_of(found.facts),
            invoice=invoice_of(found.follows.facts),
            **beside.head.on_paper,
            job_number=str(found.job_id or ""),
            enquiry=_enquiry(found),
            address=address,
            counted_in=counted_in(beside),
            page=page,
        )
    )


def _enquiry(found: OfficePaper) -> str:
    return f"E{found.enquiry_id}" if found.enquiry_id else ""


def _pick_list(found: OfficePaper, address: str, page: Page) -> PickList:
    book = book_of(current_reference())
    kits = [key for _, kind, key, _ in found.goods if kind == KIT]
    fetched = [line for _, kind, key, pieces in found.goods for line in _fetched(kind, key, pieces, book)]
    fetched.sort(key=lambda line: (line.place == NO_PLACE, line.place))
    return PickList(
        shop_name=beside_of(found).head.name,
        number=found.number,
        date=timezone.localdate(),
        purpose=f"Offer {found.number}" + (f", job {found.job_id}" if found.job_id else ""),
        address=address,
        caller_name=found.to_name.partition("\n")[0],
        kit=", ".join(dict.fromkeys(book.kit_name(key) for key in kits)) or "none",
        lines=(
            *fetched,
            *(
                line
                for _, kind, key, pieces in found.goods
                if kind == KIT
                for line in _inside(key, pieces, book, several=len(kits) > 1)
            ),
        ),
        page=page,
    )


def _fetched(kind: str, key: str, pieces: int, book: Book) -> list[PickLine]:
    """Where so many pieces are taken from, the fullest place first, as the ledger takes them; the rest is short."""
    part = book.parts.get(key) if kind != KIT else None
    told: dict[str, Any] = {
        "item": name_of_goods(kind, key, book),
        "part": key,
        "sizes": sizes_of(key, book) if part is not None else (),
        "gasket": part is not None and is_gasket(part.kind),
    }
    left, lines = pieces, []
    for held in Holding.objects.filter(item__kind=kind, item__key=key, quantity__gt=0).order_by("-quantity", "place"):
        if some := min(left, held.quantity):
            lines.append(PickLine(place=held.place or NO_PLACE, quantity=Decimal(some), **told))
        left -= some
    if left:
        lines.append(PickLine(place=NO_PLACE, quantity=Decimal(left), short=Decimal(left), **told))
    return lines


def _inside(kit: str, pieces: int, book: Book, *, several: bool) -> list[PickLine]:
    """What must lie in the box of so many kits, to be counted before they go out; gaskets are laid on templates."""
    kinds = {row.part: book.parts[row.part].kind for row in book.kit_parts.get(kit, ()) if row.part in book.parts}
    return [
        PickLine(
            place=f"in the box of {book.kit_name(kit)}" if several else "in the kit",
            item=row.name,
            quantity=Decimal(repr(row.count)) * pieces,
            part=row.part,
            sizes=row.sizes,
            gasket=is_gasket(kinds.get(row.part, "")),
        )
        for row in contents_of(kit, "", book).lines
    ]


def is_gasket(kind: str) -> bool:
    """Whether a part of this kind is laid on its template before it goes out."""
    return "gasket" in kind.casefold()
