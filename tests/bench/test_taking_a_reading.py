"""What is written down at the bench is understood, or asked back with the reason."""

from __future__ import annotations

import pytest
from bench_shop import rows
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.bench.measurements import COUNT, YES_NO
from floatbowl.bench.taking import AskBack, Taken, take, written

ROWS = rows(float_shape="twin", float_material="brass")
PLACE = "lever end, up and down"


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("float_level", "5/8", 0.015875),
        ("float_level", "5/32", 0.00396875),
        ("float_level", ".156", 0.0039624),
        ("float_level", "4 mm", 0.004),
        ("float_level", "15.9", 0.0159),
        ("float_level", "1 1/8 in", 0.028575),
        ("idle_turns_set", "1 1/2 turns", 1.5),
        ("idle_turns_set", "1½", 1.5),
        ("idle_turns_set", "1.25 turns out", 1.25),
        ("float_weight", "26", 0.026),
        ("float_weight", "1 oz", 0.028349523125),
        ("head_hold", "10 min", 600.0),
        ("head_hold", "12", 720.0),
        ("seat_vacuum_loss", "2 inHg", 6772.777280682),
        ("bowl_screw_torque", "25 in-lb", 2.824621),
        ("passages_blocked", "2", 2.0),
        ("wet_level", "-2", -0.002),
        ("float_bubbles", "Yes", 1.0),
        ("float_bubbles", "n", 0.0),
    ],
)
def test_readings_as_people_write_them(key: str, text: str, value: float) -> None:
    taken = take(text, ROWS[key])
    assert isinstance(taken, Taken)
    assert taken.value == pytest.approx(value, rel=1e-6)
    assert taken.text == text


def test_a_bare_number_is_in_the_tools_unit() -> None:
    thou = take("3", ROWS["shaft_play"], place=PLACE, unit="thou")
    assert isinstance(thou, Taken)
    assert thou.value == pytest.approx(76.2e-6)
    assert take("3 thou", ROWS["shaft_play"], place=PLACE) == take("3 thou", ROWS["shaft_play"], place=PLACE, unit="mm")


def test_without_a_tool_the_roughest_is_taken() -> None:
    rough, fine = (take("0.2", ROWS["shaft_play"], place=PLACE, tool=tool) for tool in ("", "dial gauge"))
    assert isinstance(rough, Taken)
    assert isinstance(fine, Taken)
    assert rough.tool == "feeler"
    assert rough.sd > fine.sd > 0


@pytest.mark.parametrize(
    ("key", "text", "reason", "meant"),
    [
        ("shaft_play", "25 mm", "cannot be, it is more than 1 mm", "0.25 mm"),
        ("shaft_play", "3", "cannot be, it is more than 1 mm", "0.0762 mm"),
        ("float_level", "0.625", "it is less than 3 mm", "15.875 mm"),
        ("main_jet_bore", "110", "it is more than 4 mm", "1.1 mm"),
        ("head_hold", "36000 min", "it is more than", "600 min"),
    ],
)
def test_a_slip_of_unit_or_point_is_asked_back(key: str, text: str, reason: str, meant: str) -> None:
    asked = take(text, ROWS[key], place=PLACE if key == "shaft_play" else "")
    assert isinstance(asked, AskBack)
    assert reason in asked.reason
    assert meant in asked.did_you_mean


@pytest.mark.parametrize(
    ("key", "text", "reason"),
    [
        ("shaft_play", "-0.1", "is below nothing"),
        ("shaft_play", "40 mm", "cannot be"),
        ("shaft_play", "0,25", "for a decimal comma write 0.25"),
        ("shaft_play", "", "no length was given"),
        ("shaft_play", "5 psi", "psi"),
        ("passages_blocked", "1.5", "is not a whole number"),
        ("float_bubbles", "maybe", "Answer yes or no"),
        ("idle_turns_set", "lots", "is no turns"),
    ],
)
def test_what_cannot_be_is_asked_back_with_the_reason(key: str, text: str, reason: str) -> None:
    asked = take(text, ROWS[key], place=PLACE if key == "shaft_play" else "")
    assert isinstance(asked, AskBack)
    assert reason in asked.reason


def test_what_the_record_says_orders_the_suggestions() -> None:
    asked = take("260", rows()["float_weight"])
    assert isinstance(asked, AskBack)
    assert asked.did_you_mean[0] == "26 g"


@pytest.mark.parametrize(("name", "value"), [("tool", "feeler gauge"), ("place", "the middle"), ("unit", "furlong")])
def test_what_the_row_does_not_have_is_refused_by_name(name: str, value: str) -> None:
    told = {"place": PLACE} | {name: value}
    with pytest.raises(ValueError, match=value):
        take("0.2", ROWS["shaft_play"], **told)


MEASURED = [row for row in ROWS.values() if row.measure.kind not in (YES_NO, COUNT)]


@settings(max_examples=60)
@given(st.sampled_from(MEASURED), st.floats(0.01, 0.99))
def test_a_written_reading_is_taken_as_the_same_reading(row, part) -> None:
    low, high = row.measure.si(row.measure.low), row.measure.si(row.measure.high)
    value = low + part * (high - low)
    taken = take(written(value, row.measure), row, place=row.measure.places[0])
    assert isinstance(taken, Taken)
    assert taken.value == pytest.approx(value, rel=1e-6, abs=1e-12)


@settings(max_examples=60)
@given(st.sampled_from(MEASURED), st.floats(-1e3, 1e3, allow_nan=False))
def test_nothing_outside_what_can_be_is_ever_taken(row, number) -> None:
    taken = take(f"{number:.4f}", row, place=row.measure.places[0])
    if isinstance(taken, Taken):
        assert row.measure.si(row.measure.low) - 1e-9 <= taken.value <= row.measure.si(row.measure.high) + 1e-9
    else:
        assert taken.reason


@settings(max_examples=60)
@given(st.sampled_from(MEASURED), st.text(max_size=20))
def test_any_text_is_taken_or_asked_back_with_a_reason(row, text) -> None:
    answer = take(text, row, place=row.measure.places[0])
    assert isinstance(answer, Taken) or answer.reason


@settings(max_examples=60)
@given(st.sampled_from(MEASURED), st.floats(1.001, 1e4))
def test_every_suggestion_would_be_taken(row, times) -> None:
    asked = take(written(row.measure.si(row.measure.high) * times, row.measure), row, place=row.measure.places[0])
    assert isinstance(asked, AskBack)
    for meant in asked.did_you_mean:
        assert isinstance(take(meant, row, place=row.measure.places[0]), Taken)
