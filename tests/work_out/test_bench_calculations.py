"""The bench's calculations: each answers its usual case in words, with doubt, cautions and a source."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import pytest

from floatbowl.engine.doubt import simulated
from floatbowl.engine.refusal import Refused
from floatbowl.work_out import bush, flatness, float_level, jet_flow, seat, shaft_leak, thread
from floatbowl.work_out.calculation import DIRECTION_ONLY, Answer, Calculation, Told, answered, complete

ALL = [
    one for module in (float_level, seat, shaft_leak, bush, thread, flatness, jet_flow) for one in module.CALCULATIONS
]
by_key = pytest.mark.parametrize("one", ALL, ids=lambda one: one.key)
MM = 1e-3


def work(one: Calculation, **told: Told) -> Answer:
    return answered(one, told)[0]


def figure(answer: Answer, name: str) -> float:
    return next(each.value for each in answer.figures if each.name == name)


@by_key
def test_answers_its_usual_case_in_one_sentence_with_doubt(one: Calculation) -> None:
    answer = work(one)
    assert answer.says.endswith(".")
    assert len(answer.says) < 260
    assert answer.figures or answer.tables
    assert all(math.isfinite(each.value) and math.isfinite(each.sd) and each.sd > 0 for each in answer.figures)


@by_key
def test_says_what_holds_whence_and_who_rules(one: Calculation) -> None:
    assert all((one.equation, one.holds, one.source, one.drawing))
    assert one.cautions
    assert all(caution.says and caution.rule for caution in one.cautions)
    assert all(ask.usual is not None for ask in one.asks)


@pytest.mark.parametrize(
    "one",
    [float_level.WEIGHT, float_level.SEAT_OR_HEAD, seat.CLOSING, seat.FLOW, shaft_leak.SHAFT_LEAK, jet_flow.BY_FLOW],
    ids=lambda one: one.key,
)
def test_curve_passes_through_where_this_case_lies(one: Calculation) -> None:
    curve = work(one).curve
    assert curve is not None
    assert curve.here is not None
    across, up = zip(*curve.points, strict=True)
    assert np.interp(curve.here[0], across, up) == pytest.approx(curve.here[1], rel=0.03, abs=0.02)


@pytest.mark.parametrize(
    ("one", "name"),
    [
        (float_level.DATUM, "off"),
        (float_level.WEIGHT, "rise"),
        (float_level.SEAT_OR_HEAD, "rise"),
        (seat.CLOSING, "most"),
        (seat.FLOW, "flow"),
        (seat.DRAIN, "ratio"),
        (shaft_leak.SHAFT_LEAK, "leak"),
        (bush.BUSH, "bore_low"),
        (jet_flow.BY_FLOW, "bore"),
        (jet_flow.BESIDE, "flow_part"),
    ],
)
def test_first_order_doubt_agrees_with_a_simulation(one: Calculation, name: str) -> None:
    # 600 draws of every figure with its usual spread; seed fixed. A standard deviation of so many is good to 3 %.
    values: Mapping[str, Told] = complete(one, {})
    words = {key: value for key, value in values.items() if isinstance(value, str)}
    numbers = {key: value for key, value in values.items() if not isinstance(value, str)}

    def again(**changed: float) -> float:
        return figure(one.work(**words, **changed), name)

    drawn = simulated(again, numbers, {ask.name: ask.spread for ask in one.asks}, 600, 11)
    told = next(each for each in work(one).figures if each.name == name)
    assert drawn.std() == pytest.approx(told.sd, rel=0.15)


def test_float_level_by_another_datum_and_back() -> None:
    sides = {"gasket_m": 0.8 * MM, "float_depth_m": 20 * MM}
    off = {"book_gasket": "gasket off", "book_edge": "near edge"}
    on = {"read_gasket": "gasket on", "read_edge": "far edge"}
    there = figure(work(float_level.DATUM, book_m=11 * MM, **off, **on, **sides), "should_read")
    assert there == pytest.approx((11 - 0.8 + 20) * MM)
    back = {"book_gasket": "gasket on", "book_edge": "far edge", "read_gasket": "gasket off", "read_edge": "near edge"}
    assert figure(work(float_level.DATUM, book_m=there, **back, **sides), "should_read") == pytest.approx(11 * MM)


def test_float_figure_without_datum_is_refused_with_what_to_do() -> None:
    with pytest.raises(Refused, match=r"worthless.*wet level"):
        work(float_level.DATUM, book_gasket="not said")


def test_larger_reading_is_a_lower_level_and_within_is_left() -> None:
    same = {"book_gasket": "gasket on", "read_gasket": "gasket on", "book_m": 11 * MM}
    low = work(float_level.DATUM, read_m=12.5 * MM, **same).says
    assert "1.5 mm lower" in low
    assert "bend the tongue" in low
    assert "leave it" in work(float_level.DATUM, read_m=11.5 * MM, **same).says


def test_heavy_float_is_drained_and_a_right_one_left() -> None:
    assert "taken fuel or solder" in work(float_level.WEIGHT, weighs_kg=0.022, should_kg=0.020).says
    assert "leave it" in work(float_level.WEIGHT, weighs_kg=0.0205, should_kg=0.020).says
    assert any("explodes" in caution.says for caution in float_level.WEIGHT.cautions)


def test_pump_floods_a_gravity_float() -> None:
    assert "holds it" in work(seat.CLOSING).says
    flooded = work(seat.CLOSING, pump_pa=5 * 6894.757, volume_m3=30e-6, seat_m=4.5 * MM)
    assert "floods" in flooded.says


def test_small_seat_starves_a_large_engine() -> None:
    assert "starves" in work(seat.FLOW, seat_m=1.0 * MM, head_m=0.3, power_w=40_000).says
    assert "not the half as much again" in work(seat.FLOW, seat_m=1.4 * MM, power_w=18_600).says
    assert work(seat.FLOW, seat_m=1.8 * MM, power_w=18_600).says.endswith(": enough.")
    assert "too little" in work(seat.DRAIN, time_s=200.0).says


def test_shaft_says_the_share_in_words_and_that_nobody_measured_it() -> None:
    answer = work(shaft_leak.SHAFT_LEAK)
    assert "roughly a fifth" in answer.says
    assert answer.says.endswith("bush it.")
    assert DIRECTION_ONLY in answer.notes
    assert not shaft_leak.SHAFT_LEAK.validated


@pytest.mark.parametrize(
    ("thou", "does"),
    [(2.5, "leave it."), (4, "leave it if the idle is steady"), (8, "bush it"), (11, "do not send it out")],
)
def test_shaft_advice_follows_the_shops_rule(thou: float, does: str) -> None:
    assert does in work(shaft_leak.SHAFT_LEAK, play_m=thou * 25.4e-6).says


def test_bush_steps_go_from_boss_to_finished_bore() -> None:
    (steps, _) = work(bush.BUSH, reamers="inch", shaft_m=7.9375 * MM).tables
    assert [row[0] for row in steps.rows if row[0]][:2] == ["Ream the boss", "Turn the bush outside"]
    assert steps.rows[0][1] == "3/8 in"
    metric = work(bush.BUSH, shaft_m=8.0 * MM, worn_bore_m=8.2 * MM)
    assert "adjustable reamer set between 8.025 mm" in metric.says


def test_zinc_boss_is_spared_and_told_to_loosen() -> None:
    notes = " ".join(work(bush.BUSH, boss="zinc", boss_outside_m=13 * MM).notes)
    assert "spare" in notes
    assert "looser in zinc" in notes


def test_thread_shows_both_twins_and_the_look_that_parts_them() -> None:
    answer = work(thread.THREAD)
    assert "UNF #10-32" in answer.says
    assert "BSF 3/16-32" in answer.says
    assert "flank angle" in answer.says
    settled = work(thread.THREAD, flank="55", diameter_m=4.72 * MM)
    assert settled.says.startswith("Most likely BSF 3/16-32 (over 99 in 100)")


def test_thread_by_gauge_by_origin_and_of_a_hole() -> None:
    american = work(thread.THREAD, origin="American", pitch_tool="thread gauge", length_m=7.94 * MM)
    assert american.says.startswith("Most likely UNF #10-32")
    hole = work(thread.THREAD, side="inside", diameter_m=8.6 * MM, length_m=9.07 * MM, taper="parallel")
    assert hole.says.startswith("Most likely BSP 1/8-28")


def test_flatness_says_lap_leave_or_measure_finer() -> None:
    gaps = ("left_m", "right_m", "corners_m", "other_corners_m")
    assert "lap it" in work(flatness.FEELERS).says
    assert "within the limit" in work(flatness.FEELERS, **dict.fromkeys(gaps, 0.03 * MM)).says
    for gap in (0.088, 0.090, 0.094):
        assert "measure finer" in work(flatness.FEELERS, **dict.fromkeys(gaps, gap * MM)).says
    assert "right side" in work(flatness.FEELERS, right_m=0.2 * MM).says


def test_a_point_that_cannot_be_read_is_named() -> None:
    with pytest.raises(Refused, match="point 2 is '60 x 0'"):
        work(flatness.GRID, heights="0 0 0; 60 x 0; 0 40 0; 60 40 0")


def test_jets_of_the_story_of_the_drilled_jet() -> None:
    # Pin gauge 1.26 on a record of 1.10 mm: 31 % more.
    assert "passes 31 % more" in work(jet_flow.PINS).says
    faster = work(jet_flow.BESIDE, time_s=33.0, good_time_s=43.0, good_bore_m=1.1 * MM)
    assert "30 % more" in faster.says
    assert "not the same jet" in faster.says
    assert figure(faster, "bore") == pytest.approx(1.1 * MM * math.sqrt(43 / 33))
    assert "as good" in work(jet_flow.BESIDE, time_s=43.2).says


def test_misprinted_drill_is_flagged_and_a_right_row_agrees() -> None:
    assert "do not copy" in work(jet_flow.DRILL_ROW).says
    assert work(jet_flow.DRILL_ROW, printed_m=0.055 * 0.0254).says.startswith("The row agrees: number 54")


@pytest.mark.parametrize(
    ("one", "told", "says"),
    [
        (seat.DRAIN, {"time_s": 0.0}, "time"),
        (thread.THREAD, {"turns": 9.5}, "whole turns"),
        (shaft_leak.SHAFT_LEAK, {"suction_pa": 120_000.0}, "suction"),
        (shaft_leak.SHAFT_LEAK, {"play_m": 0.02}, "play"),
        (bush.BUSH, {"worn_bore_m": 0.005}, "worn bore"),
        (jet_flow.PINS, {"no_go_m": 0.001}, "measure again"),
        (jet_flow.DRILL_ROW, {"number": "#99"}, "number drill"),
    ],
)
def test_refuses_with_the_reason(one: Calculation, told: dict[str, Told], says: str) -> None:
    with pytest.raises(Refused, match=says):
        work(one, **told)
