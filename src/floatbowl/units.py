"""Lengths as people write them: inch fractions, thousandths, millimetres. Inside the program a length is millimetres.

One inch is 25.4 mm exactly (international inch, 1959).
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final, Literal

Unit = Literal["mm", "inch"]

MM_PER_INCH: Final = 25.4
#: The finest fraction that is shown: what a rule's edge carries.
FINEST: Final = 64
#: Longer than any carburettor or rod in the shop.
MOST_MM: Final = 10_000.0

_NUMBER: Final = r"(?:\d+\.?\d*|\.\d+)"
_LENGTH: Final = re.compile(
    rf"""(?P<sign>[+-]?)\s*
    (?: (?:(?P<whole>\d+)(?:\s+|\s*-\s*|\s*\+\s*))?(?P<over>\d+)\s*/\s*(?P<under>\d+) | (?P<number>{_NUMBER}) )
    \s*(?P<unit>[a-z"\u2033\u201d']*)\.?""",
    re.VERBOSE | re.ASCII,
)
_UNITS: Final = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 1.0),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), 10.0),
    **dict.fromkeys(("in", "inch", "inches", "ins", '"', "''", "\u2033", "\u201d"), MM_PER_INCH),
    **dict.fromkeys(("thou", "thousandth", "thousandths", "mil", "mils"), MM_PER_INCH / 1000),
}
#: Fractions that have a sign of their own.
ONE_SIGN: Final = {
    "\u00bc": "1/4",
    "\u00bd": "1/2",
    "\u00be": "3/4",
    "\u215b": "1/8",
    "\u215c": "3/8",
    "\u215d": "5/8",
    "\u215e": "7/8",
}


def parse_length_mm(text: str, assume: Unit = "mm") -> float:
    """A length in millimetres. ``assume`` is the unit of a bare number; a bare fraction is always inches.

    A number that starts with its point (``.156``) is inches too: nobody writes millimetres so.
    Raises ValueError that asks what was meant: a decimal comma is never guessed.

    >>> parse_length_mm("1 1/8 in"), parse_length_mm("5/32"), parse_length_mm('2 3/8"')
    (28.575, 3.96875, 60.325)
    >>> round(parse_length_mm(".156"), 4), parse_length_mm("60.5"), parse_length_mm("5 thou")
    (3.9624, 60.5, 0.127)
    >>> parse_length_mm("60,5")
    Traceback (most recent call last):
    ValueError: '60,5' has a comma: for a decimal comma write 60.5
    """
    plain = _plain(text)
    told = _LENGTH.fullmatch(plain)
    if told is None:
        raise ValueError(_what_is_wrong(text))
    unit = told["unit"]
    if unit and unit not in _UNITS:
        raise ValueError(f"{_shown(text)}: {unit} is no unit of length known here; write mm, in or thou")
    if told["over"]:
        size: Fraction | float = _fraction(told, text)
        mm_per_unit = _UNITS[unit] if unit else MM_PER_INCH
    else:
        size = Fraction(told["number"])
        inches = assume == "inch" or told["number"].startswith(".")
        mm_per_unit = _UNITS[unit] if unit else (MM_PER_INCH if inches else 1.0)
    mm = float(size * Fraction(str(mm_per_unit)))
    if told["sign"] == "-":
        mm = -mm
    if not abs(mm) <= MOST_MM:
        raise ValueError(f"{_shown(text)} is longer than {MOST_MM / 1000:g} m; check the number and its unit")
    return mm


def _plain(text: str) -> str:
    if len(text) > 60:
        raise ValueError(f"{_shown(text)} is too long for a length; write one like 1 1/8 in or 28.6 mm")
    for sign, written in ONE_SIGN.items():
        text = text.replace(sign, f" {written}")
    return text.replace("\u2044", "/").replace("\u00a0", " ").strip().lower()


def _fraction(told: re.Match[str], text: str) -> Fraction:
    over, under = int(told["over"]), int(told["under"])
    if under == 0:
        raise ValueError(f"{_shown(text)} divides by nothing; write a fraction like 5/32")
    if told["whole"] and over >= under:
        raise ValueError(f"{_shown(text)}: the fraction is not below one; write it like 1 1/8")
    return Fraction(int(told["whole"] or 0)) + Fraction(over, under)


def _what_is_wrong(text: str) -> str:
    if not text.strip():
        return "no length was given; write one like 1 1/8 in or 28.6 mm"
    comma = re.fullmatch(r"\s*([+-]?\d*),(\d+)(.*)", text, re.DOTALL)
    if comma:
        return f"{_shown(text)} has a comma: for a decimal comma write {comma[1]}.{comma[2]}"
    return f"{_shown(text)} is not a length; write one like 1 1/8 in, .156 in or 28.6 mm"


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:40] + "...")


def show_length(mm: float, unit: str = "mm") -> str:
    """A length as a person would write it: millimetres to 0.01, or inches.

    Inches are a fraction when the length is one in sixty-fourths within .0001 in, else thousandths; what is shown
    of an inch fraction reads back as exactly the same length. Raises ValueError for another unit or no finite number.

    >>> show_length(28.575, "inch"), show_length(3.9624, "inch"), show_length(60.5)
    ('1 1/8 in', '.156 in', '60.5 mm')
    """
    if not math.isfinite(mm):
        raise ValueError(f"{mm} mm is no length")
    if unit in ("mm", ""):
        return f"{round(mm, 2) + 0.0:g} mm" if abs(mm) < 1000 else f"{round(mm, 1) + 0.0:.10g} mm"
    if unit not in ("inch", "in"):
        raise ValueError(f"{_shown(unit)} is no unit shown here; use mm or inch")
    sign = "-" if mm < 0 else ""
    inches = abs(mm) / MM_PER_INCH
    parts = round(inches * FINEST)
    # A figure in thousandths is never nearer to a sixty-fourth than .000125 in, unless it is one.
    if abs(inches - parts / FINEST) <= 0.0001:
        return f"{sign}{_as_fraction(parts)} in"
    thousandths = f"{inches:.3f}"
    return f"{sign}{thousandths.removeprefix('0')} in"


def _as_fraction(parts: int) -> str:
    whole, rest = divmod(parts, FINEST)
    fraction = Fraction(rest, FINEST)
    if not rest:
        return str(whole)
    return f"{whole} {fraction}" if whole else str(fraction)
