"""What the page of a draft shows: its lines with what is wrong in each field, what they come to, and what was found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from django.urls import reverse

from floatbowl.shop.models import Item, OfficeSettings
from floatbowl.shop.models.shelf import KINDS, KIT, PART
from floatbowl.shop.office.drafting import DraftLine, DraftOffer, is_counted
from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.pages.counter.contents import sizes_of
from floatbowl.shop.pages.office.forms import Checked
from floatbowl.shop.pages.office.says import says_shelf, says_sums

MOST_FOUND: Final = 8


@dataclass(frozen=True)
class ShownLine:
    """One line of the draft with what is wrong in each of its fields."""

    place: int
    line: DraftLine
    wrong: dict[str, str]
    amount: str
    shelf: str
    shelf_address: str
    is_new: bool
    low: str = ""

    @property
    def number(self) -> int:
        """The line's number as people count."""
        return self.place + 1


def shown_lines(draft: DraftOffer, checked: Checked, settings: OfficeSettings, newest: int) -> list[ShownLine]:
    """The lines in order; the one at ``newest`` was just added."""
    wanted = [line.item.partition(" ")[::2] for line in draft.lines if line.item]
    items = {f"{item.kind} {item.key}": item for item in Item.objects.filter(key__in=[key for _, key in wanted])}
    return [
        ShownLine(
            place=place,
            line=line,
            wrong={
                name.rpartition("-")[0]: says for name, says in checked.faults.items() if name.endswith(f"-{place}")
            },
            amount=checked.amount_of(place, settings.currency),
            shelf=says_shelf(items.get(line.item), is_counted(*_goods(line))) if line.item else "",
            shelf_address=reverse("shelf:item", args=_goods(line)) if line.item else "",
            is_new=place == newest,
            low=checked.low.get(place, ""),
        )
        for place, line in enumerate(draft.lines)
    ]


def _goods(line: DraftLine) -> tuple[str, str]:
    """Kind and key of what lies behind a line."""
    kind, _, key = line.item.partition(" ")
    return (kind, key) if kind in dict(KINDS) and key else (PART, "?")


def shown_sums(draft: DraftOffer, checked: Checked, settings: OfficeSettings) -> dict[str, Any]:
    """What the lines come to, for the piece of the page that is renewed while they are typed."""
    amounts = [(place, checked.amount_of(place, settings.currency)) for place in range(len(draft.lines))]
    return {
        "sums": says_sums(checked.totals, settings.prices),
        "amounts": amounts,
        "left_out": sum(not said for _, said in amounts),
        "line_faults": _told(draft, checked),
    }


def _told(draft: DraftOffer, checked: Checked) -> list[str]:
    """What is wrong in the lines, told beside the totals while they are typed."""
    told = [
        f"{draft.lines[place].says[:60]}: {says} It needs a reason."
        for place, says in checked.low.items()
        if not draft.lines[place].why_low.strip() and f"why_low-{place}" not in checked.faults
    ]
    for name, says in checked.faults.items():
        place = name.rpartition("-")[2]
        if place.isdecimal():
            said = draft.lines[int(place)].says.strip().partition("\n")[0]
            told.append(f"{said[:60] or f'Line {int(place) + 1}'}: {says}")
    return told


@dataclass(frozen=True)
class Found:
    """A kit or part that can be added."""

    do: str
    name: str
    about: str


def found_on_shelf(words: str, book: Book, most: int = MOST_FOUND) -> list[Found]:
    """Kits, then parts, whose name or key holds every word."""
    wanted = words.casefold().split()
    if not wanted:
        return []
    found = [
        Found(f"shelf {KIT} {kit.kit}", kit.name, " ".join(filter(None, ("kit", kit.level, kit.fuel))))
        for kit in book.reference.kits
        if all(word in f"{kit.name} {kit.kit}".casefold() for word in wanted)
    ]
    found += [
        Found(f"shelf {PART} {part.part}", part.name, ", ".join(sizes_of(part.part, book)))
        for part in book.reference.parts
        if all(word in f"{part.name} {part.part}".casefold() for word in wanted)
    ]
    return found[:most]
