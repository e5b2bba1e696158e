"""Quantities as people write them: pressures, flows, temperatures, turns, lengths. Inside the program SI.

Every unit and its factor, with its source, is a row of ``quantities.csv``. Lengths keep their inch fractions
(``floatbowl.units``).
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from floatbowl.units import ONE_SIGN, parse_length_mm, show_length

LENGTH: Final = "length"
_NUMBER: Final = re.compile(
    r"\s*(?P<number>[+-]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+))\s*(?P<unit>.*?)\s*", re.ASCII
)
LONGEST: Final = 60


@dataclass(frozen=True, slots=True)
class WrittenUnit:
    """One unit of one kind: ``SI value = written * factor + offset``."""

    kind: str
    unit: str
    factor: float
    offset: float


@cache
def _units() -> MappingProxyType[tuple[str, str], WrittenUnit]:
    text = (resources.files("floatbowl") / "quantities.csv").read_text(encoding="utf-8")
    found: dict[tuple[str, str], WrittenUnit] = {}
    for row in csv.DictReader(text.splitlines()):
        unit = WrittenUnit(row["kind"], row["unit"], float(row["factor"]), float(row["offset"]))
        for spelling in (row["unit"], *filter(None, row["also"].split("|"))):
            found[row["kind"], _key(spelling)] = unit
    return MappingProxyType(found)


def _key(spelling: str) -> str:
    return " ".join(spelling.replace("²", "2").replace("³", "3").split())


def kinds() -> tuple[str, ...]:
    """Every kind of quantity, in the table's order."""
    return tuple(dict.fromkeys(kind for kind, _ in _units()))


def units_of(kind: str) -> tuple[str, ...]:
    """The units of one kind, the usual first. Raises ValueError for an unknown kind."""
    if kind not in kinds():
        raise ValueError(f"{kind!r} is no kind of quantity known here; use one of {', '.join(kinds())}")
    return tuple(dict.fromkeys(unit.unit for (its_kind, _), unit in _units().items() if its_kind == kind))


def unit_named(kind: str, name: str) -> WrittenUnit:
    """The unit of this name, in any of its spellings; raises ValueError that lists those there are.

    Capitals count only where they tell units apart.
    """
    wanted = _key(name)
    if unit := _units().get((kind, wanted)):
        return unit
    lower = {
        id(unit): unit for (k, spelling), unit in _units().items() if k == kind and spelling.lower() == wanted.lower()
    }
    if len(lower) == 1:
        return next(iter(lower.values()))
    raise ValueError(f"{name!r} is no unit of {kind} known here; write one of {', '.join(units_of(kind)) or 'none'}")


def to_si(value: float, kind: str, unit: str) -> float:
    """A written value in SI.

    >>> round(to_si(5, "pressure", "psi")), to_si(20, "temperature", "C")
    (34474, 293.15)
    """
    named = unit_named(kind, unit)
    return value * named.factor + named.offset


def from_si(value: float, kind: str, unit: str) -> float:
    """An SI value in the unit named.

    >>> round(from_si(0.000003957, "volume flow", "ml/min"))
    237
    """
    named = unit_named(kind, unit)
    return (value - named.offset) / named.factor


def parse_quantity(text: str, kind: str, assume: str) -> float:
    """What was written, in SI; a bare number is in the unit ``assume``. Raises ValueError that says what is wrong.

    >>> parse_quantity("30 inHg", "pressure", "kPa") == 30 * 3386.388640341
    True
    >>> round(parse_quantity("1/8", "length", "mm"), 6), parse_quantity("1 1/2", "turns", "turns")
    (0.003175, 1.5)
    >>> parse_quantity("5 psi", "temperature", "C")
    Traceback (most recent call last):
    ValueError: '5 psi': 'psi' is no unit of temperature known here; write one of C, F, K
    """
    if kind == LENGTH and unit_named(kind, assume).unit in ("mm", "in", "thou"):
        return _length_m(text, assume)
    if len(text) > LONGEST:
        raise ValueError(f"{text[:LONGEST]!r}... is too long for a {kind}")
    text = _plain(text)
    told = _NUMBER.fullmatch(text)
    if told is None or told["unit"].startswith(","):
        raise ValueError(_what_is_wrong(text, kind, assume))
    try:
        unit = told["unit"] or assume
        value = to_si(_number(told["number"]), kind, unit)
    except ValueError as wrong:
        raise ValueError(f"{text.strip()!r}: {wrong}") from None
    except ZeroDivisionError:
        raise ValueError(f"{text.strip()!r} divides by nothing") from None
    if not math.isfinite(value):
        raise ValueError(f"{text.strip()!r} is too large")
    return value


def _plain(text: str) -> str:
    """Fractions written as one sign, taken apart."""
    for sign, fraction in ONE_SIGN.items():
        text = text.replace(sign, f" {fraction}")
    return text.strip()


def _length_m(text: str, assume: str) -> float:
    bare = re.fullmatch(r"\s*[+-]?\d+\.?\d*\s*", text)
    other = re.fullmatch(
        r"\s*(?P<number>[+-]?(?:\d+\.?\d*|\.\d+))\s*(?P<unit>m|ft|foot|feet|um|µm|micron|microns|metres?)\s*", text
    )
    if other:
        return to_si(float(other["number"]), LENGTH, other["unit"])
    if bare and assume == "thou":
        return to_si(float(text), LENGTH, "thou")
    return parse_length_mm(text, "mm" if assume == "mm" else "inch") / 1000


def _number(text: str) -> float:
    whole, _, rest = text.rpartition(" ")
    if "/" not in rest:
        return float(text)
    over, under = rest.split("/")
    return (float(whole) if whole else 0.0) + float(over) / float(under)


def _what_is_wrong(text: str, kind: str, assume: str) -> str:
    if not text.strip():
        return f"no {kind} was given; write one like 5 {assume}".rstrip()
    comma = re.fullmatch(r"\s*([+-]?\d*),(\d+)(.*)", text, re.DOTALL)
    if comma:
        return f"{text.strip()!r} has a comma: for a decimal comma write {comma[1]}.{comma[2]}"
    return f"{text.strip()!r} is no {kind}; write one like 5 {assume}".rstrip()


def show_quantity(value: float, kind: str, unit: str, digits: int = 3) -> str:
    """An SI value as a person would write it, to so many figures.

    >>> show_quantity(4447.61, "pressure", "kPa"), show_quantity(0.2, "share", "%")
    ('4.45 kPa', '20 %')
    >>> show_quantity(0.003175, "length", "in")
    '1/8 in'
    """
    if kind == LENGTH and unit in ("mm", "in"):
        return show_length(value * 1000, unit)
    shown = rounded(from_si(value, kind, unit), digits)
    return f"{shown} {unit}".rstrip()


def rounded(value: float, digits: int = 3) -> str:
    """A number to so many figures without an exponent; whole numbers are never cut short.

    >>> rounded(0.001234), rounded(12345.6), rounded(-0.0), rounded(2.5)
    ('0.00123', '12346', '0', '2.5')
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} is no number to show")
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
