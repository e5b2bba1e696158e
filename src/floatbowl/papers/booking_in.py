"""The booking-in sheet: what came, in what state, what hazards came with it, and what was agreed.

Filled from the job, or printed empty to be filled in by hand.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from typing import Any, Final

from floatbowl.papers.cautions import ASBESTOS, FUEL_INSIDE, KEEP_TAG, LEAD
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code, with_own

#: The six sides photographed before anything is touched; left and right as seen looking into the air inlet, flange up.
SIDES: Final = ("into the air inlet", "opposite the air inlet", "left", "right", "flange face", "opposite the flange")


@dataclass(frozen=True, slots=True)
class Casting:
    """One casting that came. ``marks`` as read, with ``?`` for what cannot be read; ``made`` how the mark is made."""

    part: str
    marks: str = ""
    made: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class Hazard:
    """Something that can hurt. ``found`` is ``None`` when nobody has looked; ``caution`` is printed beside it."""

    name: str
    caution: Caution
    found: bool | None = None
    note: str = ""


#: Looked for on every carburettor that comes in; always on the sheet.
FUEL_INSIDE_FOUND: Final = Hazard("Fuel inside", FUEL_INSIDE)
ASBESTOS_SUSPECTED: Final = Hazard("Suspected asbestos gasket or packing", ASBESTOS)
LEAD_SUSPECTED: Final = Hazard("Old paint or solder that may hold lead", LEAD)
HAZARDS: Final = (FUEL_INSIDE_FOUND, ASBESTOS_SUSPECTED, LEAD_SUSPECTED)
CAUTIONS: Final = (KEEP_TAG,)


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingIn:
    """All that a booking-in sheet says. Empty text is "not known" and leaves room to write.

    ``sides_taken`` names those of :data:`SIDES` that are photographed, ``None`` when it is not known;
    ``missing`` is ``None`` when nobody has looked.
    """

    shop_name: str = ""
    shop_address: str = ""
    job_number: str = ""
    job_address: str = ""
    date: datetime.date | None = None
    owner_name: str = ""
    owner_address: str = ""
    machine: str = ""
    carburettor: str = ""
    complaint: str = ""
    core_number: str = ""
    castings: tuple[Casting, ...] = ()
    missing: tuple[str, ...] | None = None
    condition: str = ""
    sides_taken: tuple[str, ...] | None = None
    hazards: tuple[Hazard, ...] = ()
    drained: bool | None = None
    agreed: str = ""
    agreed_sum: str = ""
    over_sum: str = ""
    promised: datetime.date | None = None
    #: Besides the sheet's own and those of the hazards.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def booking_in_pdf(sheet: BookingIn) -> bytes:
    """The sheet as a PDF; the same sheet gives the same bytes.

    The three hazards of :data:`HAZARDS` stand on every sheet: one that is not among ``sheet.hazards`` is printed with
    boxes to tick. Raises ``ValueError`` for an unknown page size or side.
    """
    return printed("booking_in.typ", _as_data(sheet), sheet.date)


def _as_data(sheet: BookingIn) -> dict[str, Any]:
    unknown = [side for side in sheet.sides_taken or () if side not in SIDES]
    if unknown:
        raise ValueError(f"side {unknown[0]!r}: choose from {', '.join(SIDES)}")
    data = as_data(replace(sheet, hazards=_all_hazards(sheet.hazards), cautions=with_own(CAUTIONS, sheet.cautions)))
    taken = None if sheet.sides_taken is None else set(sheet.sides_taken)
    sides = [{"side": side, "taken": None if taken is None else side in taken} for side in SIDES]
    return data | {"sides": sides, "code": square_code(sheet.job_address)}


def _all_hazards(told: tuple[Hazard, ...]) -> tuple[Hazard, ...]:
    """The three that are always looked for, as told or not yet looked for, then the others."""
    by_name = {hazard.name: hazard for hazard in told}
    usual = tuple(by_name.pop(hazard.name, hazard) for hazard in HAZARDS)
    return usual + tuple(hazard for hazard in told if hazard.name in by_name)
