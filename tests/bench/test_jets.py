"""Jets: bore and flow turn into each other, doubt as the uncertainties library has it, and misprinted tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat
from uncertainties.umath import sqrt

from floatbowl.bench.jets import (
    GRAVITY,
    beside_a_good_one,
    bore_by_flow_m,
    bore_by_pins,
    flow_part,
    jet_flow_m3_s,
    misprints,
)
from floatbowl.engine.doubt import first_order, simulated
from floatbowl.engine.refusal import Refused


@given(bore=st.floats(0.0006, 0.003), head=st.floats(0.3, 2), cd=st.floats(0.5, 0.95))
def test_bore_to_flow_and_back(bore: float, head: float, cd: float) -> None:
    assert bore_by_flow_m(jet_flow_m3_s(bore, head, cd), head, cd) == pytest.approx(bore, rel=1e-12)


@given(part=st.floats(-0.3, 0.5))
def test_a_jet_beside_a_good_one(part: float) -> None:
    good, other = (jet_flow_m3_s(0.0011 * times, 0.5, 0.8) for times in (1, 1 + part))
    found = beside_a_good_one(other, good)
    assert found.bore_part == pytest.approx(part, abs=1e-9)
    assert found.flow_part == pytest.approx(flow_part(part), abs=1e-9)


def test_doubt_of_an_effective_bore() -> None:
    # Checked three ways: first order here, the library uncertainties, and 4,000 draws.
    values = {"flow_m3_s": 2.3e-6, "head_m": 0.5, "cd": 0.78}
    sds = {"flow_m3_s": 2e-8, "head_m": 0.005, "cd": 0.04}
    ours = first_order(bore_by_flow_m, values, sds)
    flow, head, cd = (ufloat(values[name], sds[name]) for name in values)
    theirs = sqrt(4 * flow / (math.pi * cd * sqrt(2 * GRAVITY * head)))
    assert ours.value == pytest.approx(theirs.nominal_value)
    assert ours.sd == pytest.approx(theirs.std_dev, rel=1e-3)
    assert simulated(bore_by_flow_m, values, sds, 4_000, 3).std() == pytest.approx(ours.sd, rel=0.06)


def test_drilled_jet_flows_a_third_more() -> None:
    # The bench's story: pin gauge 1.26 mm on a jet recorded as 1.10 mm, flow +31 %.
    assert flow_part(1.26 / 1.10 - 1) == pytest.approx(0.31, abs=0.005)


@given(go=st.floats(0.0005, 0.004), step=st.floats(1e-6, 4e-5))
def test_pins_hold_the_bore_between_them(go: float, step: float) -> None:
    found = bore_by_pins(go, go + step)
    assert go < found.value < go + step
    assert found.sd >= step / math.sqrt(12)


def test_misprint_is_found_and_the_right_row_left_alone() -> None:
    found = misprints([("#54", 0.055), ("No. 54", 0.555), ("#80", 0.0135), ("#68", 0.031), ("#28", 0.1045)])
    assert [(row.number, row.printed_in) for row in found] == [("No. 54", 0.555), ("#28", 0.1045)]
    assert found[0].should_be_in == pytest.approx(0.055)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: jet_flow_m3_s(0.0003, 0.03, viscosity_m2_s=2e-6), "Reynolds"),
        (lambda: jet_flow_m3_s(0.02, 0.5), "jet bore"),
        (lambda: jet_flow_m3_s(0.001, 30), "head"),
        (lambda: bore_by_flow_m(9e-5, 0.02), "check the head"),
        (lambda: bore_by_pins(0.0013, 0.0012), "measure again"),
        (lambda: bore_by_pins(0.0010, 0.0013), "nearer pins"),
        (lambda: beside_a_good_one(1e-6, 0.0), "good jet"),
        (lambda: misprints([("#99", 0.1)]), "number drill"),
    ],
)
def test_refuses_with_the_reason(work, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(Refused, match=says):
        work()
