"""What labels share: how many lie on a page, alone or on a sheet with lines to cut along."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from floatbowl.papers.paper import Page, known_choice, known_page

#: Width and height of a label in mm.
Size = tuple[float, float]
#: Width and height in mm (ISO 216; ANSI Letter).
PAGES_MM: Final = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
#: What a printer leaves white at the sides, and at the head and foot (common practice, from memory).
WHITE_MM: Final = (5.0, 6.0)
MOST_LABELS: Final = 500


def size_of(name: str, chosen: str, sizes: Mapping[str, Size]) -> Size:
    """Width and height in mm of the size chosen; raises ``ValueError`` that lists those there are."""
    if not known_choice(name, chosen, sizes):
        raise ValueError(f"no {name} was named: choose one of {', '.join(sizes)}")
    return sizes[chosen]


def labels_on_a_page(size_mm: Size, page: Page) -> tuple[int, int]:
    """How many labels lie side by side and one above another. Raises ``ValueError`` for an unknown page.

    >>> labels_on_a_page((62, 29), "A4"), labels_on_a_page((90, 38), "Letter")
    ((3, 9), (2, 7))
    """
    known_page(page)
    room = (side - 2 * white for side, white in zip(PAGES_MM[page], WHITE_MM, strict=True))
    across, down = (math.floor(free / side) for free, side in zip(room, size_mm, strict=True))
    return across, down


def one_label(size_mm: Size) -> dict[str, Any]:
    """What the template reads to print one label on a page of its own size."""
    return {"columns": 1, "rows": 1, "page_mm": list(size_mm), "cut": False}


def sheet_of_labels(what: str, count: int, size_mm: Size, page: Page) -> dict[str, Any]:
    """What the template reads to print so many labels on whole pages.

    Raises ``ValueError`` when there are none or more than 500, or for an unknown page.
    """
    if not 0 < count <= MOST_LABELS:
        raise ValueError(f"{count} {what}: print between 1 and {MOST_LABELS} at once")
    columns, rows = labels_on_a_page(size_mm, page)
    return {"columns": columns, "rows": rows, "page_mm": list(PAGES_MM[page]), "cut": True}
