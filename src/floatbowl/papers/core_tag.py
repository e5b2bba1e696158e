"""The tag that is wired on a carburettor when it comes in: one label, or a page of them to cut.

Text that does not fit its place is set smaller, then cut short with a mark (…); the square code opens the whole job.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal

from floatbowl.papers.labels import Size, labels_on_a_page, one_label, sheet_of_labels, size_of
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code
from floatbowl.papers.typeface import unprintable

TagSize = Literal["100 x 54 mm", "62 mm wide"]
LYING: Final = "100 x 54 mm"
#: Width and height in mm. 62 mm is the width of a common roll for label printers.
SIZES_MM: Final = {LYING: (100, 54), "62 mm wide": (62, 88)}
#: The code of a tag is larger than that of a paper and is not creased.
LONGEST_ADDRESS: Final = 100

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
    return printed("core_tag.typ", _as_data((tag,), "A4", size) | one_label(_size_mm(size)), tag.date)


def core_tags_pdf(tags: tuple[CoreTag, ...], size: TagSize = LYING, page: Page = "A4") -> bytes:
    """Tags side by side on whole pages, with lines to cut along; the same tags give the same bytes.

    Raises ``ValueError`` when there are no tags or more than 500, or for an unknown size or page.
    """
    sheet = sheet_of_labels("tags", len(tags), _size_mm(size), page)
    day = max((tag.date for tag in tags if tag.date), default=None)
    return printed("core_tag.typ", _as_data(tags, page, size) | sheet, day)


def tags_on_a_page(size: TagSize, page: Page) -> tuple[int, int]:
    """How many tags lie side by side and one above another.

    >>> tags_on_a_page("100 x 54 mm", "A4"), tags_on_a_page("62 mm wide", "Letter")
    ((2, 5), (3, 3))
    """
    return labels_on_a_page(_size_mm(size), page)


def _size_mm(size: TagSize) -> Size:
    return size_of("tag size", size, SIZES_MM)


def _as_data(tags: tuple[CoreTag, ...], page: Page, size: TagSize) -> dict[str, Any]:
    data = as_data(_Tags(tags, page))
    for row, tag in zip(data["tags"], tags, strict=True):
        row["code"] = square_code(tag.job_address, LONGEST_ADDRESS)
        row["unprintable"] = bool(unprintable("".join((tag.job_number, tag.owner, tag.machine, *tag.warnings))))
    return data | {"size_mm": _size_mm(size), "lying": size == LYING}
