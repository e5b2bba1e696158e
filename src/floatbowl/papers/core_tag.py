"""The tag that is wired on a carburettor when it comes in: one label, or a page of them to cut.

Text that does not fit its place is set smaller, then cut short with a mark (…); the square code opens the whole job.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal

from floatbowl.papers.paper import Caution, Page, as_data, known_choice, known_page, printed, square_code
from floatbowl.papers.typeface import unprintable

TagSize = Literal["100 x 54 mm", "62 mm wide"]
LYING: Final = "100 x 54 mm"
#: Width and height in mm. 62 mm is the width of a common roll for label printers.
SIZES_MM: Final = {LYING: (100, 54), "62 mm wide": (62, 88)}
#: Width and height in mm (ISO 216; ANSI Letter).
PAGES_MM: Final = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
#: What a printer leaves white at the sides, and at the head and foot (common practice, from memory).
WHITE_MM: Final = (5.0, 6.0)
#: The code of a tag is larger than that of a paper and is not creased.
LONGEST_ADDRESS: Final = 100
MOST_TAGS: Final = 500


#: Always printed on a tag.
CAUTIONS: Final = (
    Caution(
        "Keep this tag and the maker's own with this carburettor. Until drained, treat it as holding fuel: no flame.",
        "The shop's rule and the fire rules decide.",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreTag:
    """All that a tag says. ``owner`` is a short name: a tag is seen by many.

    ``warnings`` are said large, such as ``NOT DRAINED``; ``job_address`` is what the square code opens.
    """

    job_number: str
    owner: str = ""
    machine: str = ""
    date: date | None = None
    core_number: str = ""
    warnings: tuple[str, ...] = ()
    job_address: str = ""


@dataclass(frozen=True, slots=True)
class _Tags:
    """What the template reads."""

    tags: tuple[CoreTag, ...]
    page: Page
    cautions: tuple[Caution, ...] = CAUTIONS


def core_tag_pdf(tag: CoreTag, size: TagSize = LYING) -> bytes:
    """One tag on a page of its own size; the same tag gives the same bytes. ValueError for an unknown size."""
    wide_mm, high_mm = SIZES_MM[_known(size)]
    sheet = {"columns": 1, "rows": 1, "page_mm": [wide_mm, high_mm], "cut": False}
    return printed("core_tag.typ", _as_data((tag,), "A4", size) | sheet, tag.date)


def core_tags_pdf(tags: tuple[CoreTag, ...], size: TagSize = LYING, page: Page = "A4") -> bytes:
    """Tags side by side on whole pages, with lines to cut along; the same tags give the same bytes.

    Raises ``ValueError`` when there are no tags or more than 500, or for an unknown size or page.
    """
    if not 0 < len(tags) <= MOST_TAGS:
        raise ValueError(f"{len(tags)} tags: print between 1 and {MOST_TAGS} at once")
    columns, rows = tags_on_a_page(size, page)
    sheet = {"columns": columns, "rows": rows, "page_mm": PAGES_MM[page], "cut": True}
    day = max((tag.date for tag in tags if tag.date), default=None)
    return printed("core_tag.typ", _as_data(tags, page, size) | sheet, day)


def tags_on_a_page(size: TagSize, page: Page) -> tuple[int, int]:
    """How many tags lie side by side and one above another.

    >>> tags_on_a_page("100 x 54 mm", "A4"), tags_on_a_page("62 mm wide", "Letter")
    ((2, 5), (3, 3))
    """
    known_page(page)
    room = (side - 2 * white for side, white in zip(PAGES_MM[page], WHITE_MM, strict=True))
    across, down = (math.floor(free / side) for free, side in zip(room, SIZES_MM[_known(size)], strict=True))
    return across, down


def _known(size: TagSize) -> TagSize:
    if not known_choice("tag size", size, SIZES_MM):
        raise ValueError(f"no tag size was named: choose one of {', '.join(SIZES_MM)}")
    return size


def _as_data(tags: tuple[CoreTag, ...], page: Page, size: TagSize) -> dict[str, Any]:
    data = as_data(_Tags(tags, page))
    for row, tag in zip(data["tags"], tags, strict=True):
        row["code"] = square_code(tag.job_address, LONGEST_ADDRESS)
        row["unprintable"] = bool(unprintable("".join((tag.job_number, tag.owner, tag.machine, *tag.warnings))))
    return data | {"size_mm": SIZES_MM[size], "lying": size == LYING}
