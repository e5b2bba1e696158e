"""What a caller told us, from the database to the plain values the weighing takes."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from floatbowl.reference import observed
from floatbowl.shop.models.enquiry import Enquiry, Evidence, InHand, ReadBack, digits
from floatbowl.shop.photographs.boxes import weighable

#: Telephone numbers shorter than this are too vague to know a caller again by.
FEWEST_PHONE_DIGITS = 6


def standing_evidence(in_hand: InHand) -> list[Evidence]:
    """The items not struck out, in the order they were given."""
    return list(in_hand.evidence.filter(struck_at=None).select_related("photo_set"))


def reading_of(item: Evidence) -> observed.Reading:
    """A stored number as the weighing takes it."""
    cells = weighable(item.cells)
    text = "" if cells else item.text
    return observed.Reading(text=text, cells=cells, part=item.part, form=item.form, via=item.via, group=item.group)


def look_of(item: Evidence) -> observed.Look:
    """A stored answer as the weighing takes it."""
    value: str | float = item.value if item.number is None else item.number
    return observed.Look(
        feature=item.feature,
        value=value,
        tool=item.tool,
        via=item.via,
        coached=item.coached,
        group=item.group,
        part=item.part,
    )


def observed_enquiry(
    in_hand: InHand,
    items: Iterable[Evidence],
    bought: tuple[str, ...] = (),
    draft: observed.Reading | None = None,
) -> observed.Enquiry:
    """All that is known about one carburettor in the hand; ``draft`` is a number still being typed."""
    enquiry = in_hand.enquiry
    readings, looks = [], []
    for item in items:
        if item.kind == Evidence.READING:
            readings.append(reading_of(item))
        elif item.feature:
            looks.append(look_of(item))
    if draft is not None:
        readings.append(draft)
    return observed.Enquiry(
        enquiry=f"E{enquiry.pk}" if in_hand.place == 1 else f"E{enquiry.pk}-{in_hand.place}",
        machine=in_hand.machine,
        machine_text="" if in_hand.machine else in_hand.machine_text,
        serial=in_hand.serial,
        year=in_hand.year,
        readings=tuple(readings),
        looks=tuple(looks),
        bought=bought,
        want_level=enquiry.want_level,
        want_fuel=enquiry.want_fuel,
    )


def sold_before(enquiry: Enquiry) -> list[ReadBack]:
    """Kits that went out to the same telephone, or to the same name where one call has no telephone; latest first."""
    phone = digits(enquiry.phone)
    same = Q()
    if len(phone) >= FEWEST_PHONE_DIGITS:
        same |= Q(in_hand__enquiry__phone_digits=phone)
    if enquiry.caller.strip():
        named = Q(in_hand__enquiry__caller__iexact=enquiry.caller.strip())
        same |= named & Q(in_hand__enquiry__phone_digits="") if phone else named
    if not same:
        return []
    sold = ReadBack.objects.filter(same, withdrawn_at=None, in_hand__enquiry__outcome="sold")
    return list(sold.exclude(in_hand__enquiry=enquiry).select_related("in_hand__enquiry").order_by("-at")[:20])
