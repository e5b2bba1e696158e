"""The strip and measuring sheet: usable filled in, or blank by hand in oily hands.

First what must be noted before anything comes apart, then the order of the strip, then what is measured.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final, Literal

from floatbowl.papers.cautions import (
    AIR_LINE,
    ASBESTOS,
    FLOAT_HEAT,
    FUEL_INSIDE,
    KEEP_TAG,
    LEAD,
    STUCK_PARTS,
    WASH,
)
from floatbowl.papers.needles import Governs, direction
from floatbowl.papers.paper import Caution, Page, Step, as_data, known_choice, printed, square_code, with_own

Verdict = Literal["leave", "repair", "replace", "refuse", "measure again", ""]
VERDICTS: Final = ("leave", "repair", "replace", "refuse", "measure again")

#: Common practice of the trade, from memory: what is done first can still be seen, what is done last cannot.
STRIP_ORDER: Final = (
    Step("Drain it; photograph all six sides and the linkage.", (FUEL_INSIDE,)),
    Step("Read and photograph tag and numbers before any washing.", (KEEP_TAG,)),
    Step("Count each needle in to its seat, by finger only; write the turns in its box, then take it out."),
    Step("Bowl or lid off; note the gaskets, and keep an outline of each.", (ASBESTOS, LEAD)),
    Step("Float pin, float, needle and seat, with its washer."),
    Step("Photograph jets and venturi in place; write down how each sat; then take them out.", (STUCK_PARTS,)),
    Step("Butterfly: mark which way its bevel faces; then screws, plate, shaft, packing."),
    Step(
        "Welch and screw plugs only where a passage is blocked; then clear it by air or bristle, never wire.",
        (AIR_LINE,),
    ),
    Step("Sort for the wash: float, foam, rubber, cork and tag stay out of the bath.", (WASH, FLOAT_HEAT)),
)
#: What sits one way only and is put back wrongly most often (common practice, from memory).
ORIENTATIONS: Final = ("Main jet", "Idle jet", "Venturi, end up", "Butterfly, bevel faces")
BLANK_NEEDLES: Final = ("Idle needle", "Main needle")
BLANK_ROWS: Final = 10
CAUTIONS: Final = (FUEL_INSIDE, ASBESTOS, LEAD, FLOAT_HEAT, AIR_LINE)


@dataclass(frozen=True, slots=True)
class NeedleFound:
    """How a needle was found: turns out from its seat, and whether it closes fuel or air."""

    name: str
    turns_out: str = ""
    governs: Governs = ""


@dataclass(frozen=True, slots=True)
class Orientation:
    """How a part sat before it was taken out."""

    part: str
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureRow:
    """One thing to measure, in the units the shop chose: ``limit`` carries its unit, ``limit_source`` its origin."""

    what: str
    how: str = ""
    tool: str = ""
    unit: str = ""
    limit: str = ""
    limit_source: str = ""
    readings: tuple[str, ...] = ()
    verdict: Verdict = ""
    reason: str = ""
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSheet:
    """All that the sheet says. Empty text is "not known" and leaves room to write."""

    shop_name: str = ""
    job_number: str = ""
    job_address: str = ""
    date: date | None = None
    owner_name: str = ""
    machine: str = ""
    carburettor: str = ""
    steps: tuple[Step, ...] = STRIP_ORDER
    needles: tuple[NeedleFound, ...] = ()
    orientations: tuple[Orientation, ...] = ()
    rows: tuple[MeasureRow, ...] = ()
    done_by: str = ""
    #: Besides the sheet's own and those of its steps and rows.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def strip_sheet_pdf(sheet: StripSheet) -> bytes:
    """The sheet as a PDF; the same sheet gives the same bytes.

    Without needles, orientations or rows their places are left blank to be filled in by hand.
    Raises ``ValueError`` for an unknown page size or verdict, or a needle for something else than fuel or air.
    """
    return printed("strip_sheet.typ", _as_data(sheet), sheet.date)


def _as_data(sheet: StripSheet) -> dict[str, Any]:
    for row in sheet.rows:
        known_choice(f"verdict on {row.what!r}", row.verdict, VERDICTS)
    needles = sheet.needles or tuple(NeedleFound(name) for name in BLANK_NEEDLES)
    orientations = sheet.orientations or tuple(Orientation(part) for part in ORIENTATIONS)
    rows = sheet.rows or (MeasureRow(what=""),) * BLANK_ROWS
    at_steps = {caution for step in sheet.steps for caution in step.cautions}
    cautions = tuple(caution for caution in with_own(CAUTIONS, sheet.cautions) if caution not in at_steps)
    data = as_data(replace(sheet, needles=needles, orientations=orientations, rows=rows, cautions=cautions))
    for printed_needle, needle in zip(data["needles"], needles, strict=True):
        printed_needle["direction"] = direction(needle.governs)
    return data | {"verdicts": VERDICTS, "code": square_code(sheet.job_address)}
