"""One unit into another: every kind of quantity that is known here, and inch fractions exactly.

Lengths go through whole fractions, so that 1 1/8 in is 28.575 mm and back without a rounding between.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from floatbowl.engine.refusal import Refused
from floatbowl.quantities import LENGTH, LONGEST, from_si, kinds, parse_quantity, rounded, unit_named, units_of
from floatbowl.units import FINEST, parse_length_mm
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure, Table

_UNIT: Final = re.compile(r"\s*[+-]?[\d\s./¼½¾⅛⅜⅝⅞⁄+-]*?\s*(?P<unit>[^\d\s./¼½¾⅛⅜⅝⅞⁄+-].*?)?\s*")
_MM_PER_INCH: Final = Fraction(254, 10)
#: Figures shown where a conversion does not come out even.
_DIGITS: Final = 6
#: Millimetres in exact tenths of a nanometre: where a binary number stops telling one length from another.
_MM_PLACES: Final = 10
_UNITS_OF_LENGTH_MM: Final = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": _MM_PER_INCH,
    "thou": _MM_PER_INCH / 1000,
    "ft": 12 * _MM_PER_INCH,
    "um": Fraction(1, 1000),
}
#: What a person most likely wants it in.
_LIKELY: Final = {"mm": "in", "cm": "in", "in": "mm", "thou": "mm", "C": "F", "F": "C", "kPa": "psi", "psi": "kPa"}


def exact_mm(inches: Fraction) -> str:
    """Millimetres of an inch fraction, to the last place: one sixty-fourth is 0.396875 mm.

    >>> exact_mm(Fraction(9, 8)), exact_mm(Fraction(1, 64)), exact_mm(Fraction(1, 1))
    ('28.575', '0.396875', '25.4')
    """
    return _decimal(inches * _MM_PER_INCH) or rounded(float(inches * _MM_PER_INCH), _DIGITS)


def sixty_fourths(mm: Fraction) -> tuple[Fraction, Fraction]:
    """The nearest sixty-fourth of an inch, and how much longer it is than ``mm``, both in inches.

    >>> [str(part) for part in sixty_fourths(Fraction("28.6"))]
    ['9/8', '-1/1016']
    """
    inches = mm / _MM_PER_INCH
    nearest = Fraction(round(inches * FINEST), FINEST)
    return nearest, nearest - inches


def as_fraction(inches: Fraction) -> str:
    """An inch fraction as it is written: ``1 1/8``."""
    whole, rest = divmod(abs(inches), 1)
    parts = [str(whole)] if whole or not rest else []
    parts += [str(rest)] if rest else []
    return f"{'-' if inches < 0 else ''}{' '.join(parts)}"


def _work(*, written: str, to: str = "", kind: str = "") -> Answer:
    its_kind, unit, spelled = _kind_and_unit(written, kind)
    tidy = _tidy(written) if spelled else f"{_tidy(written)} in"
    wanted = _wanted(its_kind, unit, to)
    if its_kind == LENGTH:
        return _length(tidy, unit, wanted)
    value = _read(written, its_kind, unit)
    shown = rounded(from_si(value, its_kind, wanted), _DIGITS)
    rows = tuple((rounded(from_si(value, its_kind, one), _DIGITS), one) for one in units_of(its_kind))
    return Answer(
        says=f"{tidy} is {shown} {wanted}.",
        figures=(Figure("value", f"{its_kind.capitalize()} as written", value, its_kind, unit),),
        tables=(Table(("Figure", "Unit"), rows, f"The same {its_kind} in every unit known here"),),
    )


def _length(written: str, unit: str, wanted: str) -> Answer:
    mm = _length_mm(written, unit)
    shown, exact = _in_unit(mm, wanted)
    nearest, longer = sixty_fourths(mm)
    even = f"{as_fraction(nearest)} in" if not longer else ""
    says = f"{written} is {'exactly' if exact else 'about'} {even if wanted == 'in' and even else shown}."
    if not even and wanted == "in":
        says = f"{says[:-1]}; the nearest mark on an inch rule is {as_fraction(nearest)} in, {_off(longer)}."
    rows = tuple((_in_unit(mm, one)[0], "exactly" if _in_unit(mm, one)[1] else "about") for one in units_of(LENGTH))
    return Answer(
        says=says,
        figures=(Figure("value", "Length as written", float(mm) / 1000, LENGTH, unit),),
        tables=(Table(("Length", ""), rows, "The same length in every unit known here"), _nearest(mm)),
    )


def _nearest(mm: Fraction) -> Table:
    """The nearest mark of each edge of an inch rule."""
    rows = []
    for parts in (8, 16, 32, FINEST):
        mark = Fraction(round(mm / _MM_PER_INCH * parts), parts)
        rows.append((f"1/{parts}", f"{as_fraction(mark)} in", f"{exact_mm(mark)} mm", _off(mark - mm / _MM_PER_INCH)))
    return Table(("Rule in", "Nearest mark", "which is", "off by"), tuple(rows), "On an inch rule")


def _off(longer: Fraction) -> str:
    if not longer:
        return "nothing"
    thousandths, mm = rounded(abs(float(longer)) * 1000, 2), rounded(abs(float(longer * _MM_PER_INCH)), 2)
    return f"{mm} mm ({thousandths} thousandths of an inch) too {'long' if longer > 0 else 'short'}"


def _in_unit(mm: Fraction, unit: str) -> tuple[str, bool]:
    """The length in this unit as text, and whether that is exact."""
    size = mm / _UNITS_OF_LENGTH_MM[unit]
    even = _decimal(size)
    return f"{even or rounded(float(size), _DIGITS)} {unit}", even is not None


def _decimal(size: Fraction, places: int = 8) -> str | None:
    """The fraction written out, where so many places hold it exactly."""
    scaled = size * 10**places
    if scaled.denominator != 1:
        return None
    digits = f"{abs(scaled.numerator):0{places + 1}d}"
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".")
    return f"-{text}" if size < 0 else text


def _length_mm(written: str, unit: str) -> Fraction:
    """The length in millimetres as a whole fraction."""
    if unit in ("m", "ft", "um"):
        metres = _read(written, LENGTH, unit)
        return Fraction(str(round(metres * 1000, _MM_PLACES)))
    try:
        return Fraction(str(round(parse_length_mm(written), _MM_PLACES)))
    except ValueError as wrong:
        raise Refused(str(wrong)) from None


def _read(written: str, kind: str, unit: str) -> float:
    try:
        return parse_quantity(written, kind, unit)
    except ValueError as wrong:
        raise Refused(str(wrong)) from None


def _kind_and_unit(written: str, kind: str) -> tuple[str, str, bool]:
    """The kind of what was written, its unit, and whether that was spelled; of two kinds, the first in the table."""
    if comma := re.search(r"(\d*),(\d+)", written):
        raise Refused(f"{_tidy(written)!r} has a comma: for a decimal comma write {comma[1]}.{comma[2]}")
    told = _UNIT.fullmatch(written[:LONGEST])
    spelled = (told["unit"] or "") if told else ""
    if not spelled and _is_inch(written):
        return LENGTH, "in", False
    if not spelled:
        raise Refused(f"{_tidy(written)!r} has no unit that is known here; write one, as in 28.6 mm, 5 psi or 1 1/8 in")
    for one in (kind,) if kind else kinds():
        unit = _unit(one, spelled)
        if unit:
            return one, unit, True
    known = f"units of {kind}: {', '.join(units_of(kind))}" if kind else "as in 28.6 mm, 5 psi, 20 C, 230 ml/min"
    raise Refused(f"{_tidy(written)!r}: {spelled!r} is no unit known here; write one, {known}")


def _is_inch(written: str) -> bool:
    """A bare fraction, and a number that starts with its point, are inches (``floatbowl.units``)."""
    return "/" in written or written.strip().startswith(".") or any(sign in written for sign in "¼½¾⅛⅜⅝⅞⁄")


def _unit(kind: str, spelled: str) -> str:
    try:
        return unit_named(kind, spelled).unit
    except ValueError:
        return ""


def _wanted(kind: str, unit: str, to: str) -> str:
    if not to.strip():
        others = [one for one in units_of(kind) if one != unit]
        likely = _LIKELY.get(unit, "")
        return likely if likely in others else next(iter(others), unit)
    try:
        return unit_named(kind, to.strip()).unit
    except ValueError as wrong:
        raise Refused(str(wrong)) from None


def _tidy(written: str) -> str:
    text = " ".join(written.split())
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."


CONVERSION: Final = Calculation(
    key="conversion",
    title="One unit into another",
    about="Inch fractions, millimetres, pressures, flows, temperatures: any unit on an old sheet into any other.",
    asks=(
        Asked(
            "written",
            "What is written",
            kind="text",
            usual="1 1/8 in",
            how="With its unit, as it stands on the sheet: 1 1/8 in, .156, 5 psi, 30 inHg, 230 ml/min, 68 F.",
        ),
        Asked("to", "Wanted in", kind="text", optional=True, how="A unit of the same kind; left empty: the usual one."),
        Asked(
            "kind",
            "Kind of quantity",
            choices=kinds(),
            optional=True,
            how="Only where two share a unit: a temperature of 20 C, or a temperature step of 20 C.",
        ),
    ),
    work=_work,
    equation="value in SI = written * factor + offset; 1 in = 25.4 mm exactly",
    holds="For every unit of the table; six figures where it does not come out even.",
    source="Factors with their sources: floatbowl/quantities.csv (NIST SP 811, appendix B.8; the inch of 1959).",
    drawing="rule",
)

CALCULATIONS: Final = (CONVERSION,)
