"""The coefficient of discharge of a long bore."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.discharge import ideal_reynolds, long_bore_cd
from floatbowl.engine.fuels import fuel
from floatbowl.engine.refusal import Refused


@pytest.mark.parametrize(
    ("reynolds", "length", "cd"),
    [(2e4, 2.0, 0.8088165976866), (100.0, 2.0, 0.4284155081876958)],
)
def test_it_is_the_equation_as_an_open_program_has_it(reynolds: float, length: float, cd: float) -> None:
    """The two examples in the documentation of an open thermohydraulics program (read), the same source behind."""
    assert long_bore_cd(reynolds, length) == pytest.approx(cd, rel=1e-12)


@settings(max_examples=40)
@given(st.floats(10, 20_000), st.floats(2, 10), st.floats(2, 10))
def test_a_longer_bore_flows_less_below_the_bend(reynolds: float, one: float, other: float) -> None:
    short, long = sorted((one, other))
    assert long_bore_cd(reynolds, long) <= long_bore_cd(reynolds, short) * (1 + 1e-9)


@settings(max_examples=40)
@given(st.floats(10, 5_000), st.floats(10, 5_000), st.floats(2, 10))
def test_thin_fuel_flows_more_freely(one: float, other: float, length: float) -> None:
    low, high = sorted((one, other))
    assert long_bore_cd(low, length) <= long_bore_cd(high, length) * (1 + 1e-9)


def test_tractor_oil_loses_some_hundredths_against_petrol() -> None:
    """A worked case of the project's notes (equation from memory): petrol about 0.79, paraffin about 5 in 100 less."""
    petrol, oil = fuel("petrol"), fuel("tractor vaporising oil")
    found = [
        long_bore_cd(ideal_reynolds(0.0013, 4000, f.density_kg_m3, f.viscosity_m2_s), 4 / 1.3) for f in (petrol, oil)
    ]
    assert found[0] == pytest.approx(0.79, abs=0.015)
    assert 0.02 < 1 - found[1] / found[0] < 0.08


@pytest.mark.parametrize(
    ("reynolds", "length", "says"),
    [
        (5, 3, "the equation was fitted there"),
        (50_000, 3, "the equation was fitted there"),
        (5000, 1, "shorter jets behave as plates"),
        (5000, 12, "longer ones as pipes"),
    ],
)
def test_outside_its_range_it_refuses(reynolds: float, length: float, says: str) -> None:
    with pytest.raises(Refused, match=says):
        long_bore_cd(reynolds, length)


def test_a_viscosity_in_the_wrong_unit_is_refused() -> None:
    with pytest.raises(Refused, match="viscosity"):
        ideal_reynolds(0.0013, 4000, 745, 0.6)
