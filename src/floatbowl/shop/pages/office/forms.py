"""The fields of a draft offer: read as they were typed, and checked one by one into lines of exact money."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, get_args

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, amount
from floatbowl.money.lines import Line, Totals, totals
from floatbowl.money.tax import Rate
from floatbowl.money.typed import typed_number
from floatbowl.reference.fault import shown
from floatbowl.shop.models import Enquiry, Job, OfficeSettings
from floatbowl.shop.models.shelf import KINDS, KIT
from floatbowl.shop.office.drafting import DraftLine, DraftOffer, LineKind
from floatbowl.shop.office.floors import below_the_floor
from floatbowl.shop.office.issuing import Draft, Goods
from floatbowl.shop.office.rules import rates, tax_rule

MOST_LINES: Final = 200
LONGEST_LINE: Final = 300
LONGEST_TEXT: Final = 8000
MOST_DAYS: Final = 3650
#: A reason of fewer letters says nothing.
LEAST_REASON: Final = 4
TOO_MANY: Final = 10**9
MOST_PLACES: Final = 4
#: Each field of a line, by the name it has in the form before its place.
LINE_FIELDS: Final = ("says", "sizes", "quantity", "price", "rate", "discount", "item", "note", "why_low")
OFFER_FIELDS: Final = ("to", "carburettor", "not_included", "doubt", "return_rule", "valid_days", "why_over")


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A draft checked: the lines that can be counted by their place, what they come to, and what is wrong where."""

    lines: Mapping[int, Line]
    goods: tuple[Goods, ...]
    totals: Totals | None
    faults: Mapping[str, str]
    #: Lines below their lowest price, by place, in words.
    low: Mapping[int, str]

    def amount_of(self, place: int, code: str) -> str:
        """What the line at a place comes to, with its currency; empty while it cannot be counted."""
        return str(Amount(self.lines[place].amount(code), code)) if place in self.lines else ""


def read_draft(sent: Mapping[str, str]) -> DraftOffer:
    """The draft as it was typed, whatever is wrong with it."""
    places = sorted(int(name[5:]) for name in sent if re.fullmatch(r"kind-\d{1,4}", name))[:MOST_LINES]
    typed: dict[str, Any] = {name: sent.get(name, "").replace("\r\n", "\n")[:LONGEST_TEXT] for name in OFFER_FIELDS}
    return DraftOffer(lines=tuple(_line_typed(sent, place) for place in places), **typed)


def _line_typed(sent: Mapping[str, str], place: int) -> DraftLine:
    kind = sent[f"kind-{place}"]
    typed: dict[str, Any] = {
        name: sent.get(f"{name}-{place}", "").replace("\r\n", "\n")[:LONGEST_TEXT] for name in LINE_FIELDS
    }
    known: LineKind = kind if kind in get_args(LineKind) else "other"  # type: ignore[assignment]
    return DraftLine(kind=known, off_shelf=f"off_shelf-{place}" in sent, **typed)


def check(draft: DraftOffer, settings: OfficeSettings, *, is_final: bool) -> Checked:
    """Check every field. While it is not final an empty field is not yet wrong, only not counted."""
    faults: dict[str, str] = {}
    lines: dict[int, Line] = {}
    goods: list[Goods] = []
    for place, typed in enumerate(draft.lines):
        wrong, line = _line(typed, settings)
        off_shelf, goods_wrong = _goods(place, typed, line)
        wrong |= goods_wrong
        faults |= {f"{name}-{place}": says for name, says in wrong.items() if is_final or str(getattr(typed, name))}
        if line is not None:
            lines[place] = line
            goods += off_shelf
    faults |= _around(draft, is_final)
    low = below_the_floor(draft, lines, settings)
    if is_final:
        faults |= {f"why_low-{place}": f"{says} Write why." for place, says in low.items() if _no_reason(draft, place)}
    return Checked(lines=lines, goods=tuple(goods), totals=_totals(lines, settings), faults=faults, low=low)


def _no_reason(draft: DraftOffer, place: int) -> bool:
    return len(draft.lines[place].why_low.strip()) < LEAST_REASON


def _totals(lines: Mapping[int, Line], settings: OfficeSettings) -> Totals | None:
    return totals(tuple(lines.values()), tax_rule(settings), settings.currency) if lines else None


def _line(typed: DraftLine, settings: OfficeSettings) -> tuple[dict[str, str], Line | None]:
    """What is wrong with a line's fields, and the line itself when nothing is."""
    wrong: dict[str, str] = {}
    says = " ".join(typed.says.split())
    if not says:
        wrong["says"] = "Write what is offered, or take the line out."
    elif len(says) > LONGEST_LINE:
        wrong["says"] = f"Write it shorter: a line can have {LONGEST_LINE} characters at most."
    quantity = _number(typed.quantity, _empty_quantity(typed), "quantity", wrong)
    price = _price(typed.price, settings.currency, wrong)
    discount = _number(typed.discount or "0", "", "discount", wrong)
    if discount is not None and discount > 100:
        wrong["discount"] = "At most 100 can be taken off."
    if quantity is not None and quantity == 0:
        wrong["quantity"] = "Write more than 0, or take the line out."
    rate = _rate(typed.rate, settings, wrong)
    if wrong or quantity is None or price is None or discount is None or rate is None:
        return wrong, None
    return wrong, Line(says=says, quantity=quantity, unit_price=price, rate=rate, discount_percent=discount)


def _empty_quantity(typed: DraftLine) -> str:
    what = "the hours" if typed.kind == "work" else "how many"
    return f"Write {what}, or take the line out."


def _number(text: str, empty: str, name: str, wrong: dict[str, str]) -> Decimal | None:
    plain = text.strip()
    if not plain:
        wrong[name] = empty
        return None
    try:
        return read_number(plain)
    except Refused as refused:
        wrong[name] = f"{refused}."
        return None


def read_number(text: str) -> Decimal:
    """A number from 0 as it was typed, an h or a per cent sign behind it or none; ``Refused`` where it is none here.

    >>> read_number("1,5"), read_number("5.5 %")
    (Decimal('1.5'), Decimal('5.5'))
    """
    number = typed_number(text, "%", "h")
    if number < 0 or number >= TOO_MANY or number != round(number, MOST_PLACES):
        raise Refused(f"{shown(text)} cannot stand here; write a number from 0 with {MOST_PLACES} places at most")
    return number


def _price(text: str, code: str, wrong: dict[str, str]) -> Decimal | None:
    if not text.strip():
        wrong["price"] = f"Write the price of one in {code}; 0 where it costs nothing."
        return None
    try:
        return amount(text, code).value
    except Refused as refused:
        wrong["price"] = f"{refused}."
        return None


def _rate(name: str, settings: OfficeSettings, wrong: dict[str, str]) -> Rate | None:
    known = rates(settings)
    if not name or len(known) == 1:
        return known[0]
    found = next((rate for rate in known if rate.name == name), None)
    if found is None:
        wrong["rate"] = f"The shop has no rate called {shown(name)} any more; choose one of its own."
    return found


def _goods(place: int, typed: DraftLine, line: Line | None) -> tuple[list[Goods], dict[str, str]]:
    """What leaves the shelf with a line."""
    kind, _, key = typed.item.partition(" ")
    if not typed.off_shelf or not key or kind not in dict(KINDS) or line is None:
        return [], {}
    if line.quantity != line.quantity.to_integral_value():
        return [], {"quantity": "The shelf counts whole pieces: write a whole number, or take the tick out below."}
    return [Goods(place=place, kind=kind, key=key, pieces=int(line.quantity))], {}


def _around(draft: DraftOffer, is_final: bool) -> dict[str, str]:
    """What is wrong outside the lines."""
    faults: dict[str, str] = {}
    days = draft.valid_days.strip()
    if days and not (days.isascii() and days.isdecimal() and int(days[:9]) <= MOST_DAYS):
        faults["valid_days"] = f"{shown(days)} is no number of days; write a whole number up to {MOST_DAYS}."
    if not is_final:
        return faults
    if not days:
        faults["valid_days"] = "Write for how many days the offer holds."
    if not draft.to.strip():
        faults["to"] = "Write whom it is for: the name stands on the paper."
    if not draft.return_rule.strip():
        faults["return_rule"] = "Write what may come back and until when; no offer goes out without it."
    if any(line.kind == "kit" for line in draft.lines) and not draft.doubt.strip():
        faults["doubt"] = "Write how sure you are that the kit fits; no kit is offered without it."
    if not draft.lines:
        faults["lines"] = "There is nothing in it yet; add a line."
    return faults


def final(
    draft: DraftOffer, checked: Checked, sent: str, enquiry: Enquiry | None = None, job: Job | None = None
) -> Draft:
    """What is to be offered; only for a draft without faults."""
    return Draft(
        to=draft.to.strip(),
        lines=tuple(checked.lines.values()),
        goods=checked.goods,
        not_included=tuple(row.strip() for row in draft.not_included.splitlines() if row.strip()),
        doubt=draft.doubt.strip(),
        return_rule=draft.return_rule.strip(),
        valid_days=int(draft.valid_days),
        kinds=[line.kind for line in draft.lines],
        sizes=sizes_under(draft),
        carburettor=draft.carburettor,
        why_over=" ".join(draft.why_over.split()),
        kits={place: line.item.partition(" ")[2] for place, line in enumerate(draft.lines) if _sells_kit(line)},
        reasons={place: " ".join(draft.lines[place].why_low.split()) for place in checked.low},
        enquiry=enquiry,
        job=job,
        sent=sent,
    )


def _sells_kit(line: DraftLine) -> bool:
    return line.item.partition(" ")[0] == KIT


def sizes_under(draft: DraftOffer) -> tuple[tuple[str, ...], ...]:
    """What stands under each line, a row each; nothing at all when no line has any."""
    under = tuple(tuple(row.strip() for row in line.sizes.splitlines() if row.strip()) for line in draft.lines)
    return under if any(under) else ()
