"""A figure with its doubt, as people write it: in its own unit, in millimetres or in inches.

"Give or take" covers 95 in 100: 1.96 standard deviations either way, the doubt being normal (JCGM 100:2008, annex G,
from memory). It is rounded to one figure, to two where the first is a 1, and the figure itself to the same place
(common practice in laboratories).
"""

from __future__ import annotations

import math
from typing import Final, Literal

from floatbowl.engine.doubt import COVER_95
from floatbowl.quantities import LENGTH, from_si, rounded, show_quantity, unit_named, units_of
from floatbowl.units import MM_PER_INCH, show_length
from floatbowl.work_out.calculation import Figure

Lengths = Literal["mm", "inch"]
#: What people choose between for lengths.
LENGTHS: Final[tuple[Lengths, ...]] = ("mm", "inch")
#: Lengths a rule or a calliper shows; these follow the shop's choice, miles and metres would not.
_BENCH_UNITS: Final = ("mm", "cm", "um", "thou", "in")
#: A doubt over this part of the figure is told as a range.
WIDE: Final = 0.25
#: The ends of a range are rounded to no more than this part of half its width.
RANGE_STEPS: Final = 5.0
#: Below these a length needs more places than a rule or a calliper gives.
_FINE_MM: Final = 0.1
_FINE_IN: Final = 0.02
#: SI units of the kinds whose table has no unit of factor 1.
_DERIVED: Final = {
    "area": "m2",
    "volume": "m3",
    "volume flow": "m3/s",
    "rotation": "turns/s",
    "viscosity": "m2/s",
    "share": "1",
    "ratio": "1",
    "number": "1",
}


def si_unit(kind: str) -> str:
    """The unit that a value of this kind is kept in. Raises ValueError for an unknown kind.

    >>> si_unit("pressure"), si_unit("volume flow"), si_unit("share")
    ('Pa', 'm3/s', '1')
    """
    units = [unit_named(kind, unit) for unit in units_of(kind)]
    return _DERIVED.get(kind) or next(unit.unit for unit in units if unit.factor == 1 and unit.offset == 0)


def unit_in(kind: str, unit: str, lengths: Lengths) -> str:
    """The unit a figure is shown and a bare number is taken in: inches for what is measured at the bench, if so chosen.

    >>> unit_in("length", "mm", "inch"), unit_in("length", "m", "inch"), unit_in("pressure", "kPa", "inch")
    ('in', 'm', 'kPa')
    """
    return "in" if lengths == "inch" and kind == LENGTH and unit in _BENCH_UNITS else unit


def spoken(figure: Figure, lengths: Lengths = "mm") -> str:
    """The figure with its doubt, in words. Raises ValueError where it is no finite number.

    >>> spoken(Figure("throat", "Throat", 0.02857, "length", "mm", 0.0001))
    '28.6 mm, give or take 0.2'
    >>> spoken(Figure("throat", "Throat", 0.02857, "length", "mm", 0.0001), "inch")
    '1.125 in, give or take .008'
    >>> spoken(Figure("share", "Share", 0.245, "share", "in 100", 0.085))
    'between 8 and 41 in 100'
    >>> spoken(Figure("seat", "Seat", 0.0032, "length", "mm")), spoken(Figure("n", "Holes", 4.0))
    ('3.2 mm', '4')
    """
    unit = unit_in(figure.kind, figure.unit, lengths)
    if not math.isfinite(figure.value) or not math.isfinite(figure.sd):
        raise ValueError(f"{figure.says} is no number to show")
    written = from_si(figure.value, figure.kind, unit)
    half = COVER_95 * figure.sd / unit_named(figure.kind, unit).factor
    if half < abs(written) * 1e-6 or half == 0:
        return plain(figure.value, figure.kind, unit)
    low, high = written - half, written + half
    if half > WIDE * abs(written) and low * high > 0:
        places = math.ceil(math.log10(RANGE_STEPS / half))
        return f"between {_number(low, places, unit)} and {_number(high, places, unit)} {unit}".rstrip()
    places = _places(half)
    return f"{f'{_number(written, places, unit)} {unit}'.rstrip()}, give or take {_number(half, places, unit)}"


def _places(half: float) -> int:
    """Decimal places (negative: tens, hundreds) that leave one figure of the doubt, two where the first is a 1."""
    first = math.floor(math.log10(half))
    one_figure = round(half, -first)
    leads_with_1 = math.isclose(one_figure, 10.0 ** math.floor(math.log10(one_figure) + 1e-9))
    places = -math.floor(math.log10(one_figure) + 1e-9)
    return places + 1 if leads_with_1 else places


def _number(value: float, places: int, unit: str) -> str:
    text = f"{round(value, places) + 0.0:.{max(0, places)}f}"
    if text.startswith("-") and float(text) == 0:
        text = text[1:]
    # Thousandths of an inch are written without a nought before the point.
    return text.replace("0.", ".", 1) if unit == "in" and abs(float(text)) < 1 and "." in text else text


def plain(value: float, kind: str, unit: str, digits: int = 3) -> str:
    """An SI value without doubt, as a person would write it; very small lengths keep two figures.

    >>> plain(0.0000025, "length", "mm"), plain(0.0000127, "length", "in"), plain(0.0254, "length", "in")
    ('0.0025 mm', '.0005 in', '1 in')
    """
    if kind == LENGTH and unit == "mm" and abs(value) * 1000 < _FINE_MM:
        return f"{rounded(value * 1000, 2)} mm"
    if kind == LENGTH and unit == "in":
        inches = value * 1000 / MM_PER_INCH
        return f"{_number(inches, 4, unit)} in" if 0 < abs(inches) < _FINE_IN else show_length(value * 1000, "inch")
    return show_quantity(value, kind, unit, digits)
