"""Chances, not bare comparisons: sure, unlikely, between, and at last the careful side."""

from __future__ import annotations

import pytest
from bench_shop import play, reading, rows
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.judging import SURE, UNLIKELY, Word, chance_outside, judge
from floatbowl.bench.limit import Beyond
from floatbowl.engine.doubt import Doubtful

ROWS = rows(float_material="brass", float_shape="twin")
PLAY = ROWS["shaft_play"]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("2 thou", Word.LEAVE),
        ("4 thou", Word.NOTE),
        ("5 thou", Word.AGAIN),
        ("6 thou", Word.REPAIR),
        ("9 thou", Word.REPAIR),
        ("12 thou", Word.REFUSE),
    ],
)
def test_the_shops_rule_for_shaft_play(text: str, word: Word) -> None:
    """Trade map 3.2: .003 leave; .003 to .005 leave if idle is steady, note; over .005 rebush; over .010 refuse."""
    assert judge(PLAY, play(PLAY, text)).word is word


def test_between_note_and_rebush_an_unsteady_idle_decides() -> None:
    unsteady = rows(idle="unsteady")["shaft_play"]
    assert judge(unsteady, play(unsteady, "4.5 thou")).word is Word.REPAIR
    assert judge(unsteady, play(unsteady, "2 thou")).word is Word.LEAVE


def test_a_rough_tool_astride_the_limit_names_the_finer_one() -> None:
    judged = judge(PLAY, play(PLAY, "0.14 mm", tool="feeler"))
    assert judged.word is Word.AGAIN
    assert UNLIKELY < judged.chance < SURE
    assert judged.again_with == "dial gauge"


@pytest.mark.parametrize(
    ("spreads_below", "word"), [(2.0, Word.NOTE), (1.3, Word.AGAIN), (-1.3, Word.AGAIN), (-2.0, Word.REPAIR)]
)
def test_five_and_ninety_five_in_100_are_where_a_reading_is_taken_again(spreads_below: float, word: Word) -> None:
    """One reading, sd 0.007 mm, so many spreads below .005 in: 2 is 2 in 100, 1.3 is 10 in 100 (normal tables)."""
    mm = 0.127 - 0.007 * spreads_below
    assert judge(PLAY, play(PLAY, f"{mm} mm")).word is word


def test_after_three_readings_of_the_finest_tool_the_careful_side_is_taken() -> None:
    once = play(PLAY, "5 thou")
    assert judge(PLAY, once * 2).word is Word.AGAIN
    settled = judge(PLAY, once * 3)
    assert settled.word is Word.REPAIR
    assert settled.on_the_careful_side


def test_one_bad_place_is_enough_and_missing_places_keep_it_open() -> None:
    bad_end = judge(PLAY, play(PLAY, "2 thou", "2 thou", "8 thou", "2 thou"))
    assert bad_end.word is Word.REPAIR
    assert bad_end.worst is not None
    assert bad_end.worst.place.startswith("other end")
    assert judge(PLAY, play(PLAY, "2 thou")[:3]).word is Word.NOT_YET
    assert judge(PLAY, play(PLAY, "8 thou")[:1]).word is Word.REPAIR


def test_contradicting_readings_are_measured_again() -> None:
    level = ROWS["float_level"]
    judged = judge(level, [reading(level, text, tool="caliper") for text in ("15.9", "16.3")])
    assert judged.word is Word.AGAIN
    assert "differ by more than the tool explains" in judged.why


def test_yes_and_no() -> None:
    bubbles = ROWS["float_bubbles"]
    assert judge(bubbles, []).word is Word.NOT_YET
    assert judge(bubbles, [reading(bubbles, "no")]).word is Word.LEAVE
    assert judge(bubbles, [reading(bubbles, "yes")]).word is Word.REPLACE
    assert judge(bubbles, [reading(bubbles, "yes"), reading(bubbles, "no")]).word is Word.AGAIN


def test_ten_minutes_under_the_head() -> None:
    head = ROWS["head_hold"]
    assert judge(head, [reading(head, "11 min")]).word is Word.LEAVE
    assert judge(head, [reading(head, "4 min")]).word is Word.REPLACE


def test_a_level_may_be_wrong_either_way() -> None:
    level = ROWS["float_level"]

    def word(text: str) -> Word:
        return judge(level, [reading(level, text, tool="caliper")] * 2).word

    assert [word(text) for text in ("14", "15.9", "18")] == [Word.REPAIR, Word.LEAVE, Word.REPAIR]


@given(st.floats(0, 0.9e-3), st.floats(0, 0.9e-3), st.sampled_from(["feeler", "dial gauge"]), st.integers(1, 4))
def test_more_play_never_gives_a_milder_verdict(one, other, tool, times) -> None:
    less, more = sorted((one, other))
    words = [judge(PLAY, play(PLAY, f"{each * 1e3:.7f} mm", tool=tool) * times).word for each in (less, more)]
    assert words[0].severity <= words[1].severity


@given(
    st.sampled_from(["float_weight", "flange_gap", "joint_gap", "plate_gap", "seat_vacuum_loss"]),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_further_over_a_one_sided_limit_is_never_milder(key, one, other) -> None:
    row = ROWS[key]
    low, high = row.measure.low, row.measure.high

    def word(part: float) -> Word:
        text = f"{low + part * (high - low):.9f} {row.measure.unit}"
        return judge(row, [reading(row, text, place) for place in row.measure.places]).word

    less, more = sorted((one, other))
    assert word(less).severity <= word(more).severity


@given(
    st.permutations(range(4)),
    st.lists(st.sampled_from(["2 thou", "4 thou", "5 thou", "8 thou"]), min_size=4, max_size=4),
)
def test_the_order_of_readings_does_not_matter(order, texts) -> None:
    taken = play(PLAY, *texts)
    mixed = [taken[place] for place in order]
    assert judge(PLAY, taken) == judge(PLAY, mixed)


@given(st.floats(-1, 1), st.floats(0.001, 1), st.floats(-1, 0), st.floats(0, 1))
def test_the_chance_of_being_outside_is_that_of_both_sides(value, sd, low, high) -> None:
    figure = Doubtful(value, sd)
    both = chance_outside(figure, Beyond("repair", low, high))
    sides = chance_outside(figure, Beyond("repair", low)) + chance_outside(figure, Beyond("repair", None, high))
    assert both == pytest.approx(min(1.0, sides))
    assert 0 <= both <= 1


def test_an_exact_figure_on_the_limit_is_within_it() -> None:
    assert chance_outside(Doubtful(1.0), Beyond("repair", 1.0, 1.0)) == 0
