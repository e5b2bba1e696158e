"""Draft offers: what is put on the page first, from an enquiry or from a job, for a person to change and send.

Everything in a draft is text as it would be typed, so that a price nobody recorded stays an empty field and not a
nought, and so that a recorded one comes to the page with the very digits that were written down.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from floatbowl.money.amount import Amount
from floatbowl.shop.jobs.identity import name_of
from floatbowl.shop.jobs.invoice_lines import InvoiceLine, invoice_lines
from floatbowl.shop.models import InHand, Item, Job, OfficePaper, ReadBack, WantedPart
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.office import agreed
from floatbowl.shop.office.beside import beside_of
from floatbowl.shop.office.facts import offer_of
from floatbowl.shop.office.written_prices import begun_settings, own_price, plain_number, recorded_price
from floatbowl.shop.pages.counter import page, sentence
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.pages.counter.contents import Line as ContentLine
from floatbowl.shop.pages.counter.contents import contents_of, sizes_of
from floatbowl.shop.pages.counter.read_back import RETURN_RULE, reasons_wanted
from floatbowl.shop.standing import current_reference

LineKind = Literal["kit", "part", "work", "core", "postage", "other"]
#: Common practice of the trade: nobody knows what is worn inside before it is apart.
FOUND_LATER = "Anything found worn once it is apart: we ask you before it is done"
FETCHED = ("made here", "outside")


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftLine:
    """One line as it stands in its fields. ``item`` is "kit T-25" or "part G-1" where goods lie behind the line."""

    kind: LineKind = "other"
    says: str = ""
    #: What is in it by size, one part a row, printed under the line.
    sizes: str = ""
    quantity: str = "1"
    price: str = ""
    rate: str = ""
    discount: str = ""
    item: str = ""
    off_shelf: bool = False
    #: For the office alone; never printed.
    note: str = ""
    #: Why it goes out below its lowest price; never printed either.
    why_low: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftOffer:
    """An offer as it stands in its fields."""

    to: str = ""
    carburettor: str = ""
    lines: tuple[DraftLine, ...] = ()
    not_included: str = ""
    doubt: str = ""
    return_rule: str = ""
    valid_days: str = ""
    #: For the office alone: why it comes to more than was agreed for its job.
    why_over: str = ""
    #: What speaks against sending it yet; for the office alone.
    mind: tuple[str, ...] = field(default=())

    def with_line(self, line: DraftLine) -> DraftOffer:
        """The same with one line more."""
        return replace(self, lines=(*self.lines, line))

    def without(self, place: int) -> DraftOffer:
        """The same without the line at a place (from 0); as it is where there is none."""
        return replace(self, lines=tuple(line for at, line in enumerate(self.lines) if at != place))


def empty_offer() -> DraftOffer:
    """An offer with nothing in it but the shop's own rules."""
    settings = begun_settings()
    return DraftOffer(return_rule=settings.return_rule or RETURN_RULE, valid_days=str(settings.valid_days))


def from_enquiry(in_hand: InHand, kit: str = "") -> DraftOffer:
    """The kit asked for, else the one read back, else the likeliest; with its contents by size, doubt and postage."""
    weighed = page.weigh(in_hand)
    read_back = in_hand.read_backs.filter(withdrawn_at=None).last()
    kit = _chosen_kit(kit, read_back, weighed)
    draft = replace(empty_offer(), to=in_hand.enquiry.caller)
    if not kit:
        return replace(draft, mind=("No kit is known for it yet. Ask for more first, or add the lines by hand.",))
    answer, book = weighed.standing.answer, weighed.book
    is_read_back = read_back is not None and read_back.kit == kit
    carburettors = sentence.carburettors_of_kit(answer, kit, book)
    carburettor = read_back.carburettor if read_back and is_read_back else (carburettors[0] if carburettors else "")
    number = sentence.number_said(answer, kit, book) if carburettors else ""
    draft = replace(draft, carburettor=number).with_line(kit_line(kit, book))
    postage = postage_line()
    return replace(
        draft,
        lines=(*draft.lines, postage) if postage.price else draft.lines,
        not_included="\n".join(contents_of(kit, carburettor, book).not_included),
        doubt=read_back.doubt if read_back and is_read_back else sentence.doubt(answer, kit),
        mind=() if is_read_back else _not_read_back(weighed, kit),
    )


def speaks_against(in_hand: InHand, draft: DraftOffer) -> tuple[str, ...]:
    """What speaks against sending the first kit of a draft yet; empty once it was read back, or without a kit."""
    kit = next((line.item.partition(" ")[2] for line in draft.lines if line.kind == "kit"), "")
    if not kit or in_hand.read_backs.filter(withdrawn_at=None, kit=kit).exists():
        return ()
    return _not_read_back(page.weigh(in_hand), kit)


def _chosen_kit(asked: str, read_back: ReadBack | None, weighed: page.Weighed) -> str:
    standing = weighed.standing
    likeliest = standing.kits[0].key if standing.kits else ""
    for kit in (asked, read_back.kit if read_back else "", standing.answer.advice.kit, likeliest):
        if kit and kit in weighed.book.kits:
            return str(kit)
    return ""


def _not_read_back(weighed: page.Weighed, kit: str) -> tuple[str, ...]:
    return ("It has not been read back yet: read it back before it goes out.", *reasons_wanted(weighed.standing, kit))


def from_job(job: Job) -> DraftOffer:
    """The job's parts with their recorded prices, its work to be priced by hours, the core still owed, and postage."""
    book = book_of(current_reference())
    wanted = iter(job.wanted.filter(struck_at=None))
    lines = [_of_job(line, wanted, book) for line in invoice_lines(job)]
    postage = postage_line() if not agreed.is_fetched(job) else DraftLine()
    carburettor = name_of(job.carburettor)
    return replace(
        empty_offer(),
        to=job.owner,
        carburettor=carburettor,
        lines=(*lines, postage) if postage.price else tuple(lines),
        not_included=FOUND_LATER,
        doubt=f"It is taken for {carburettor} by what is seen on it." if carburettor else "",
        why_over=agreed.consent_to(job),
    )


def from_offer(paper: OfficePaper) -> DraftOffer:
    """An offer that was made, to be made anew: the same lines at the same prices, under the rules of today."""
    offer, beside, settings = offer_of(paper.facts), beside_of(paper), begun_settings()
    goods = {place: f"{kind} {key}" for place, kind, key, _ in paper.goods}
    behind = {place: f"{KIT} {key}" for place, key in beside.kits.items()} | goods
    same_money = offer.currency == settings.currency
    return DraftOffer(
        to=offer.to,
        carburettor=beside.carburettor,
        lines=tuple(
            DraftLine(
                kind=beside.kinds[place] if place < len(beside.kinds) else "other",  # type: ignore[arg-type]
                says=line.says,
                sizes="\n".join(beside.sizes[place]) if place < len(beside.sizes) else "",
                quantity=plain_number(line.quantity),
                price=own_price(line.unit_price) if same_money else "",
                rate=line.rate.name,
                discount=plain_number(line.discount_percent) if line.discount_percent else "",
                item=behind.get(place, ""),
                off_shelf=place in goods,
                note="" if same_money else f"It was {Amount(line.unit_price, offer.currency)} then.",
            )
            for place, line in enumerate(offer.lines)
        ),
        not_included="\n".join(offer.not_included),
        doubt=offer.doubt,
        return_rule=offer.return_rule,
        valid_days=str(settings.valid_days),
    )


def _of_job(line: InvoiceLine, wanted: Iterator[WantedPart], book: Book) -> DraftLine:
    if line.kind == "part":
        return _wanted_line(line, next(wanted), book)
    if line.kind == "core":
        return replace(core_line(), says=line.says)
    return replace(work_line(), says=line.says)


def _wanted_line(line: InvoiceLine, wanted: WantedPart, book: Book) -> DraftLine:
    goods = wanted.part if wanted.part in book.parts and wanted.source not in FETCHED else ""
    price, note = recorded_price(line.price, book)
    if goods and wanted.source == "kit":
        note = f"{note} {_out_of_a_kit(wanted, book)}".strip()
    return DraftLine(
        kind="part",
        says=line.says,
        sizes=wanted.sizes or ", ".join(sizes_of(wanted.part, book)),
        quantity=plain_number(line.quantity),
        price=price,
        item=f"{PART} {goods}" if goods else "",
        off_shelf=bool(goods) and wanted.source == "loose" and is_counted(PART, goods),
        note=note,
    )


def _out_of_a_kit(wanted: WantedPart, book: Book) -> str:
    if not wanted.kit:
        return "It comes from a kit: tick it only if a loose one leaves the shelf."
    kit = book.kit_name(wanted.kit) if wanted.kit in book.kits else wanted.kit
    return f"It comes out of {kit}, which leaves the shelf whole: tick it only if a loose one leaves beside it."


def kit_line(kit: str, book: Book) -> DraftLine:
    """A line of one kit, what is in it by size under it."""
    known = book.kits[kit]
    version = ", ".join(filter(None, (known.level, known.fuel)))
    price, note = recorded_price(known.price, book)
    return DraftLine(
        kind="kit",
        says=f"{known.name} ({version})" if version else known.name,
        sizes="\n".join(_content(row.name, row.position, row.quantity, row.sizes) for row in _contents(kit, book)),
        price=price,
        item=f"{KIT} {kit}",
        off_shelf=is_counted(KIT, kit),
        note=note,
    )


def part_line(part: str, book: Book) -> DraftLine:
    """A line of one loose part with its sizes."""
    known = book.parts[part]
    price, note = recorded_price(known.price, book)
    return DraftLine(
        kind="part",
        says=known.name,
        sizes=", ".join(sizes_of(part, book)),
        price=price,
        item=f"{PART} {part}",
        off_shelf=is_counted(PART, part),
        note=note,
    )


def work_line() -> DraftLine:
    """A line of work; its hours are for somebody to write."""
    return DraftLine(kind="work", says="Work", quantity="", price=own_price(begun_settings().hour_price))


def core_line() -> DraftLine:
    """A core deposit; what it is for, and that it comes back with the core, stands in the line."""
    says = "Core deposit, paid back when your old carburettor comes in"
    return DraftLine(kind="core", says=says, price=own_price(begun_settings().core_deposit))


def postage_line() -> DraftLine:
    """Postage and packing at the shop's usual price."""
    return DraftLine(kind="postage", says="Postage and packing", price=own_price(begun_settings().postage))


def is_counted(kind: str, key: str) -> bool:
    """Whether the shelf keeps count of this kit or part; what was never counted cannot be kept back."""
    return Item.objects.filter(kind=kind, key=key, lines__isnull=False).exists()


def _contents(kit: str, book: Book) -> Iterable[ContentLine]:
    return contents_of(kit, "", book).lines


def _content(name: str, position: str, quantity: str, sizes: Iterable[str]) -> str:
    where = f" ({position})" if position and position.casefold() not in name.casefold() else ""
    said = ", ".join(sizes)
    return f"{quantity} × {name}{where}{f': {said}' if said else ''}"
