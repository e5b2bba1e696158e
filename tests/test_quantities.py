"""Quantities as people write them: every unit agrees with a second library, nothing is guessed, round trips hold."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.quantities import (
    from_si,
    kinds,
    parse_quantity,
    rounded,
    show_quantity,
    to_si,
    unit_named,
    units_of,
)

#: Our spelling to pint's, where they differ; kinds whose units are bare numbers have none.
AS_PINT_SAYS = {
    "thou": "thou",
    "um": "micrometer",
    "mm2": "mm**2",
    "cm2": "cm**2",
    "in2": "inch**2",
    "cm3": "cm**3",
    "l": "liter",
    "cu in": "inch**3",
    "US pint": "US_pint",
    "pint": "imperial_pint",
    "C": "degC",
    "F": "degF",
    "K": "kelvin",
    "kg/h": "kg/hour",
    "lb/h": "lb/hour",
    "ml/min": "ml/minute",
    "l/h": "liter/hour",
    "US gal/h": "US_liquid_gallon/hour",
    "kg/m3": "kg/m**3",
    "g/cm3": "g/cm**3",
    "hp": "horsepower",
    "gf": "gram_force",
    "N m": "N*m",
    "in lb": "inch*force_pound",
    "ft lb": "foot*force_pound",
    "rpm": "revolution/minute",
    "min": "minute",
    "h": "hour",
    "mm2/s": "mm**2/s",
    "in": "inch",
    "ft": "foot",
    "lbf": "force_pound",
    "oz": "ounce",
    "lb": "pound",
}
SI = {
    "length": "m",
    "area": "m**2",
    "volume": "m**3",
    "mass": "kg",
    "pressure": "Pa",
    "temperature": "kelvin",
    "mass flow": "kg/s",
    "volume flow": "m**3/s",
    "speed": "m/s",
    "density": "kg/m**3",
    "power": "W",
    "force": "N",
    "torque": "N*m",
    "rotation": "revolution/second",
    "time": "s",
    "viscosity": "m**2/s",
}
#: What a table of conventional units rounds away: a water column depends on the water's temperature.
LOOSE = {"inH2O": 3e-5, "inHg": 1e-5, "mmHg": 1e-5}
UNITS = [(kind, unit) for kind in SI for unit in units_of(kind)]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("kind", "unit"), UNITS)
def test_pint_agrees(registry: pint.UnitRegistry, kind: str, unit: str) -> None:
    theirs = registry.Quantity(7.5, AS_PINT_SAYS.get(unit, unit)).to(SI[kind]).magnitude
    assert to_si(7.5, kind, unit) == pytest.approx(theirs, rel=LOOSE.get(unit, 1e-9))


@given(st.sampled_from([(kind, unit) for kind in kinds() for unit in units_of(kind)]), st.floats(-1e6, 1e6))
def test_there_and_back(named: tuple[str, str], value: float) -> None:
    kind, unit = named
    assert from_si(to_si(value, kind, unit), kind, unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.integers(0, 400), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inch_fractions_come_back_exactly(over: int, under: int) -> None:
    metres = parse_quantity(f"{over}/{under} in", "length", "in")
    assert metres == over * 0.0254 / under or math.isclose(metres, over * 0.0254 / under, rel_tol=1e-15)
    assert parse_quantity(show_quantity(metres, "length", "in"), "length", "in") == metres


@pytest.mark.parametrize(
    ("text", "kind", "assume", "si"),
    [
        ("17 inHg", "pressure", "kPa", 17 * 3386.388640341),
        ("20", "temperature", "C", 293.15),
        ("68 °F", "temperature", "C", 293.15),
        ("1 1/2", "turns", "turns", 1.5),
        ("1 1/2 turns", "turns", "turns", 1.5),
        (".156", "length", "mm", 0.156 * 0.0254),
        ("3 thou", "length", "mm", 3 * 25.4e-6),
        ("3", "length", "thou", 3 * 25.4e-6),
        ("1200 ft", "length", "m", 1200 * 0.3048),
        ("75 %", "share", "%", 0.75),
        ("2500", "volume", "cm3", 0.0025),
        ("84 cc/min", "volume flow", "ml/min", 84e-6 / 60),
    ],
)
def test_as_people_write_them(text: str, kind: str, assume: str, si: float) -> None:
    assert parse_quantity(text, kind, assume) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize("text", ["", "much", "5 furlongs", "1/0", "60,5", "--3", "5 5", "1e999", "9" * 80])
@pytest.mark.parametrize(
    ("kind", "assume"), [("pressure", "kPa"), ("length", "mm"), ("length", "m"), ("turns", "turns")]
)
def test_what_is_none_is_refused_in_words(text: str, kind: str, assume: str) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        parse_quantity(text, kind, assume)


def test_capitals_count_only_where_they_tell_units_apart() -> None:
    assert unit_named("pressure", "KPA").unit == "kPa"
    assert unit_named("pressure", "Pa").unit == "Pa"
    assert unit_named("volume", "L").unit == "l"


def test_an_unknown_kind_lists_the_known() -> None:
    with pytest.raises(ValueError, match="length"):
        units_of("beauty")


@given(st.floats(-1e9, 1e9), st.integers(1, 6))
def test_rounding_keeps_the_figures_it_promises(value: float, digits: int) -> None:
    text = rounded(value, digits)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=0.6 * 10 ** (1 - digits), abs=1e-300)
