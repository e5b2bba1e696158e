"""The packing slip: what is in the parcel by size, what was read back, how sure the shop was, and the way back."""

from __future__ import annotations

import json
import re
import unicodedata
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from typing import Any, Final, Literal

import segno
import typst

from floatbowl.papers.typeface import fonts, unprintable

Page = Literal["A4", "Letter"]
PAGES: Final = {"A4": "a4", "Letter": "us-letter"}

#: Longest text put in the square code; longer ones make a square too fine to scan from a creased slip.
LONGEST_CODE: Final = 64
#: A word longer than this may be broken anywhere, so that it stays in its column.
LONGEST_WORD: Final = 18
BREAK_HERE: Final = "\u200b"


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind, and whose rule decides."""

    says: str
    rule: str


#: Common practice of the trade; each names who rules.
CAUTIONS: Final = (
    Caution(
        "Before you open the carburettor: engine cold and stopped, fuel tap off, bowl drained outdoors into a metal "
        "can, no flame or spark.",
        "Your machine's own handbook and the fire rules where you are decide.",
    ),
    Caution(
        "Old gaskets and heat packing may hold asbestos: wet them, lift them off whole, never scrape or sand them dry.",
        "The national asbestos rules decide.",
    ),
    Caution(
        "Anything you post to us must be drained and dry, without petrol or its vapour.",
        "The carrier's dangerous-goods rules decide.",
    ),
)


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
    cautions: tuple[Caution, ...] = CAUTIONS
    page: Page = "A4"


def packing_slip_pdf(slip: PackingSlip) -> bytes:
    """The slip as a PDF; the same slip gives the same bytes.

    Raises ``ValueError`` when ``slip.page`` is not a known page size.
    """
    if slip.page not in PAGES:
        raise ValueError(f"page {slip.page!r}: choose one of {', '.join(PAGES)}")
    midnight = datetime(slip.date.year, slip.date.month, slip.date.day, tzinfo=UTC)
    # What people typed goes in as data, never as markup, so that no sign in it can act.
    inputs = {"slip": json.dumps(_as_data(slip))}
    pdf: bytes = typst.compile(_template(), format="pdf", font_paths=fonts(), sys_inputs=inputs, timestamp=midnight)
    return pdf


@cache
def _template() -> bytes:
    return (resources.files(__package__) / "packing_slip.typ").read_bytes()


def _as_data(slip: PackingSlip) -> dict[str, Any]:
    """What the template reads: every text cleaned, numbers written out, the date as year, month, day."""
    typed = asdict(replace(slip, contents=())) | {"contents": [_row(line) for line in slip.contents]}
    typed["date"] = [slip.date.year, slip.date.month, slip.date.day]
    unknown_signs = unprintable(json.dumps(_cleaned(typed, breakable=False), ensure_ascii=False))
    return _cleaned(typed) | {  # type: ignore[no-any-return]
        "page": PAGES[slip.page],
        "code": _square_code(slip.enquiry),
        "has_unprintable": bool(unknown_signs),
    }


def _row(line: SlipLine) -> dict[str, Any]:
    quantity = "" if line.quantity is None else f"{line.quantity:g}"
    return asdict(line) | {"quantity": quantity}


def _cleaned(value: Any, breakable: bool = True) -> Any:
    """The same values with every text made fit for paper."""
    if isinstance(value, dict):
        return {key: _cleaned(inner, breakable) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_cleaned(inner, breakable) for inner in value]
    return _printable_text(value, breakable) if isinstance(value, str) else value


def _printable_text(text: str, breakable: bool) -> str:
    """Without control signs and lone surrogates; over-long words may break after every sign."""
    kept = "".join(sign if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs") else " " for sign in text)
    if not breakable:
        return kept.strip()
    return re.sub(rf"\S{{{LONGEST_WORD + 1},}}", lambda word: BREAK_HERE.join(word[0]), kept).strip()


def _square_code(text: str) -> str:
    """A square code of the enquiry's name as SVG; empty when there is none or it is too long to scan."""
    if not text or len(text) > LONGEST_CODE or unprintable(text):
        return ""
    return str(segno.make(text, micro=False, error="m").svg_inline(border=0, scale=4))
