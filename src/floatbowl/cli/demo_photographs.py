"""The demo's photographs of a worn tag: read, and what the reading makes of the shop's records."""

from __future__ import annotations

from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from floatbowl.identify.weigh import Weigher
    from floatbowl.photo.reading import PhotoReading

TITLE = "Photographs of a worn tag"
TOLD = (
    "Rendered, not taken: one plain photograph and eight with a torch low on different sides, in "
    "src/floatbowl/demo/photographs/worn-tag."
)
#: A character less likely than this is not told as an alternative.
WORTH_TELLING = 0.02


def tell_photographs(weigher: Weigher, to: Console) -> None:
    """Reads the set and weighs what was read; says so where the packages that reading needs are not installed."""
    from rich.padding import Padding
    from rich.text import Text

    from floatbowl.cli.show import show_briefly
    from floatbowl.identify.consult import consult
    from floatbowl.reference.observed import Enquiry, Reading

    to.print(Text(TITLE, style="bold underline"))
    to.print(Padding(Text(TOLD, style="italic"), (0, 0, 0, 2)))
    try:
        found = _read()
    except ImportError as missing:
        to.print(Padding(f"Not read: this needs the package {missing.name}; install floatbowl[photo].", (0, 0, 1, 2)))
        return
    to.print(Padding(f"Read: {found.text}, {100 * found.confidence:.0f} in 100 right; {doubts(found)}.", (0, 0, 0, 2)))
    reading = Reading(cells=found.cells, part="tag", form=found.form or "", via="photo", group="the photographs")
    show_briefly(consult(weigher, Enquiry(readings=(reading,))), weigher, to)


def doubts(found: PhotoReading) -> str:
    """The characters that might be others, with what else each might be."""
    told = []
    for cell in found.cells:
        (best, chance), *others = sorted(cell, key=lambda each: -each[1])
        rest = [f"{sign} {100 * odds:.0f}" for sign, odds in others if sign and odds >= WORTH_TELLING]
        if best and rest:
            told.append(f"{best} {100 * chance:.0f} in 100, or {', '.join(rest)}")
    return "; ".join(told) if told else "no character is in doubt"


def _read() -> PhotoReading:
    from floatbowl.photo.reading import read_set
    from floatbowl.photo.sets import read_photo_set

    with resources.as_file(resources.files("floatbowl.demo").joinpath("photographs", "worn-tag")) as folder:
        return read_set(read_photo_set(folder))
