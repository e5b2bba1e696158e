"""One unit into another, inch fractions exactly."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.quantities import kinds, units_of
from floatbowl.work_out.asking import worked
from floatbowl.work_out.calculation import Answer
from floatbowl.work_out.conversion import CONVERSION, as_fraction, exact_mm, sixty_fourths


def converted(written: str, to: str = "", kind: str = "") -> Answer:
    outcome = worked(CONVERSION, {"written": written, "to": to, "kind": kind}, {})
    assert outcome.answer, outcome.refused
    return outcome.answer


@pytest.mark.parametrize(
    ("written", "to", "says"),
    [
        ("1 1/8 in", "", "1 1/8 in is exactly 28.575 mm."),
        ("28.575 mm", "", "28.575 mm is exactly 1 1/8 in."),
        (".156", "", ".156 in is exactly 3.9624 mm."),
        ("5/32", "mm", "5/32 in is exactly 3.96875 mm."),
        ("5 thou", "", "5 thou is exactly 0.127 mm."),
        ("2 ft", "in", "2 ft is exactly 24 in."),
        # Seen from NIST SP 811: 1 psi = 6894.757 Pa, 1 inHg = 3386.389 Pa.
        ("1 psi", "Pa", "1 psi is 6894.76 Pa."),
        ("30 inHg", "kPa", "30 inHg is 101.592 kPa."),
        ("68 F", "", "68 F is 20 C."),
        ("237 ml/min", "l/h", "237 ml/min is 14.22 l/h."),
    ],
)
def test_as_an_old_sheet_writes_it(written: str, to: str, says: str) -> None:
    assert converted(written, to).says == says


def test_off_the_mark_says_the_nearest_mark_and_how_far() -> None:
    says = converted("28.6 mm", "in").says
    assert says.startswith("28.6 mm is about 1.12598 in; the nearest mark on an inch rule is 1 1/8 in, 0.025 mm")
    assert says.endswith("too short.")


@settings(max_examples=40)
@given(st.integers(1, 64 * 40))
def test_a_fraction_goes_to_millimetres_and_back_exactly(parts: int) -> None:
    size = Fraction(parts, 64)
    written = as_fraction(size)
    mm = exact_mm(size)
    assert Fraction(mm) == size * Fraction(254, 10)
    assert converted(f"{written} in").says == f"{written} in is exactly {mm} mm."
    assert converted(f"{mm} mm").says == f"{mm} mm is exactly {written} in."


@given(st.decimals("0.01", "900", places=2))
def test_the_nearest_sixty_fourth_is_the_nearest(size: object) -> None:
    mm = Fraction(str(size))
    nearest, longer = sixty_fourths(mm)
    inches = mm / Fraction(254, 10)
    assert nearest - longer == inches
    assert all(abs(inches - nearest) <= abs(inches - nearest - Fraction(step, 64)) for step in (-1, 1))
    assert 64 % nearest.denominator == 0


@pytest.mark.parametrize("kind", [kind for kind in kinds() if len(units_of(kind)) > 1])
def test_every_kind_goes_there_and_back(kind: str) -> None:
    first, other = units_of(kind)[:2]
    there = converted(f"7 {first}", other, kind).says
    told = re.fullmatch(r".* is (?:exactly |about )?(\S+) \S.*\.", there)
    assert told, there
    back = converted(f"{told[1]} {other}", first, kind).says
    again = re.search(r" is (?:exactly |about )?([\d.]+) ", back)
    assert again, back
    assert float(again[1]) == pytest.approx(7, rel=3e-5)


def test_a_temperature_step_is_told_from_a_temperature_by_its_kind() -> None:
    assert converted("20 C", "F").says == "20 C is 68 F."
    assert converted("20 C", "F", "temperature step").says == "20 C is 36 F."


@pytest.mark.parametrize(
    ("written", "to", "why"),
    [
        ("28.6", "", "has no unit"),
        ("5 furlongs", "", "no unit known here"),
        ("much", "", "no unit known here"),
        ("5 psi", "mm", "no unit of pressure"),
        ("28,6 mm", "", "comma"),
        ("1/0 in", "", "divides by nothing"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_do(written: str, to: str, why: str) -> None:
    with pytest.raises(Refused, match=why):
        CONVERSION.work(written=written, to=to)
