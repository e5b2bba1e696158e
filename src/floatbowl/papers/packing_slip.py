"""The packing slip: what is in the parcel by size, what was read back, how sure the shop was, and the way back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from floatbowl.papers.cautions import ASBESTOS, OPENING, POSTING
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code, with_own

#: Always printed on a slip.
CAUTIONS: Final = (OPENING, ASBESTOS, POSTING)


@dataclass(frozen=True, slots=True)
class SlipLine:
    """One row of the tick-list: ``sizes`` are written out with their units, such as ``bore 1.10 mm``."""

    position: str
    name: str
    quantity: float | None = 1
    sizes: tuple[str, ...] = ()
    part: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingSlip:
    """All that a packing slip says. Empty text is "not known" and is either left out or said to be so."""

    shop_name: str
    slip_number: str
    date: date
    kit_name: str
    shop_address: str = ""
    caller_name: str = ""
    caller_address: str = ""
    enquiry: str = ""
    kit: str = ""
    level: str = ""
    fuel: str = ""
    carburettor: str = ""
    read_back: str = ""
    doubt: str = ""
    evidence: tuple[str, ...] = ()
    override: str = ""
    contents: tuple[SlipLine, ...] = ()
    not_included: tuple[str, ...] = ()
    return_rule: str = ""
    #: Besides the slip's own.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def packing_slip_pdf(slip: PackingSlip) -> bytes:
    """The slip as a PDF; the same slip gives the same bytes.

    Raises ``ValueError`` when ``slip.page`` is not a known page size.
    """
    return printed("packing_slip.typ", _as_data(slip), slip.date)


def _as_data(slip: PackingSlip) -> dict[str, Any]:
    data = as_data(replace(slip, cautions=with_own(CAUTIONS, slip.cautions)))
    for row, line in zip(data["contents"], slip.contents, strict=True):
        row["quantity"] = "" if line.quantity is None else f"{line.quantity:g}"
    return data | {"code": square_code(slip.enquiry)}
