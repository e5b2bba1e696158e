"""The label of a place on the shelf: the place in big type, what lies there, and its square code.

Text that does not fit its place is set smaller, then cut short with a mark (…). A caution in ordinary writing is not:
one that is too long for a label is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

from floatbowl.papers.labels import Size, labels_on_a_page, one_label, sheet_of_labels, size_of
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code
from floatbowl.papers.typeface import unprintable

LabelSize = Literal["62 x 29 mm", "90 x 38 mm"]
SMALL: Final = "62 x 29 mm"
#: Width and height in mm. 62 mm is the width of a common roll for label printers.
SIZES_MM: Final = {SMALL: (62, 29), "90 x 38 mm": (90, 38)}
#: The longest caution, in signs, that stays legible on a label; what is longer belongs on the box.
LONGEST_CAUTION: Final = 100

#: For a place where old gaskets or packing lie.
OLD_GASKETS: Final = Caution("May hold asbestos: do not cut, sand or sweep dry.", "The national asbestos rules decide.")
#: For a place where solvents, glue or test fluid stand.
FLUIDS: Final = Caution("Keep from flame and spark, closed.", "The fire rules and the fluid's data sheet decide.")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLabel:
    """All that a label says. ``keep`` is how it lies best or until when, such as ``dark and cool, use by 2029``.

    ``address`` is what the square code opens. Raises ``ValueError`` for a caution too long to be read on a label.
    """

    place: str
    item: str = ""
    number: str = ""
    sizes: tuple[str, ...] = ()
    keep: str = ""
    address: str = ""
    caution: Caution | None = None

    def __post_init__(self) -> None:
        if self.caution and len(self.caution.says + self.caution.rule) > LONGEST_CAUTION:
            raise ValueError(
                f"label of {self.place}: the caution has more than {LONGEST_CAUTION} signs; shorten it, or put it on "
                "the box"
            )


@dataclass(frozen=True, slots=True)
class _Labels:
    """What the template reads."""

    labels: tuple[ShelfLabel, ...]
    page: Page


def shelf_label_pdf(label: ShelfLabel, size: LabelSize = SMALL) -> bytes:
    """One label on a page of its own size; the same label gives the same bytes. ValueError for an unknown size."""
    return printed("shelf_label.typ", _as_data((label,), "A4", size) | one_label(_size_mm(size)), None)


def shelf_labels_pdf(labels: tuple[ShelfLabel, ...], size: LabelSize = SMALL, page: Page = "A4") -> bytes:
    """Labels side by side on whole pages, with lines to cut along; the same labels give the same bytes.

    Raises ``ValueError`` when there are no labels or more than 500, or for an unknown size or page.
    """
    sheet = sheet_of_labels("labels", len(labels), _size_mm(size), page)
    return printed("shelf_label.typ", _as_data(labels, page, size) | sheet, None)


def shelf_labels_on_a_page(size: LabelSize, page: Page) -> tuple[int, int]:
    """How many labels lie side by side and one above another.

    >>> shelf_labels_on_a_page("62 x 29 mm", "A4"), shelf_labels_on_a_page("90 x 38 mm", "Letter")
    ((3, 9), (2, 7))
    """
    return labels_on_a_page(_size_mm(size), page)


def _size_mm(size: LabelSize) -> Size:
    return size_of("label size", size, SIZES_MM)


def _as_data(labels: tuple[ShelfLabel, ...], page: Page, size: LabelSize) -> dict[str, Any]:
    data = as_data(_Labels(labels, page))
    for row, label in zip(data["labels"], labels, strict=True):
        row["code"] = square_code(label.address)
        row["unprintable"] = bool(unprintable("".join((label.place, label.item, label.number, *label.sizes))))
    return data | {"size_mm": _size_mm(size), "small": size == SMALL}
