"""A drilled jet, as a calculation."""

from __future__ import annotations

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.work_out.calculation import DIRECTION_ONLY, answered
from floatbowl.work_out.drilled_jet import DRILLED_JET


def test_the_story_of_the_drilled_jet() -> None:
    """Worked by hand: 1.26 on a record of 1.10 mm is (1.26/1.10)^2 - 1 = 31 in 100 more."""
    answer, _ = answered(DRILLED_JET, {"measured_m": 0.00126, "recorded_m": 0.0011})
    assert answer.figures[0].value == pytest.approx(0.312, abs=0.001)
    assert "31 in 100 more" in answer.says
    assert answer.figures[1].value == pytest.approx(1 / 1.312 - 1, abs=0.001)


def test_a_setting_under_half_a_turn_is_explained() -> None:
    answer, _ = answered(DRILLED_JET, {"usual_turns": 1.5, "needle_share": 0.3})
    turns = next(figure for figure in answer.figures if figure.name == "turns")
    assert 0 < turns.value < 0.5
    assert any(DIRECTION_ONLY in note for note in answer.notes)


def test_no_setting_left_is_said() -> None:
    answer, _ = answered(DRILLED_JET, {"usual_turns": 1.5, "needle_share": 0.2})
    assert "no setting is left" in answer.says


def test_one_of_the_two_alone_asks_for_the_other() -> None:
    answer, _ = answered(DRILLED_JET, {"usual_turns": 1.5})
    assert any("give both" in note for note in answer.notes)
    assert [figure.name for figure in answer.figures] == ["flow", "mixture"]


@pytest.mark.parametrize(
    ("measured_m", "says"), [(0.0011, "as recorded"), (0.00105, "in 100 less"), (0.00112, "in 100 more")]
)
def test_it_says_which_way(measured_m: float, says: str) -> None:
    answer, _ = answered(DRILLED_JET, {"measured_m": measured_m})
    assert says in answer.says


def test_a_hundredth_on_a_jet_is_two_in_a_hundred_of_flow() -> None:
    """Measures table: 0.01 mm on 1.10 mm is about 2 in 100; here as the doubt of the flow."""
    answer, _ = answered(DRILLED_JET, {"measured_m": 0.0011}, {"measured_m": 0.00001, "recorded_m": 0.0})
    assert answer.figures[0].sd == pytest.approx(2 * 0.01 / 1.10, rel=0.01)


def test_millimetres_for_metres_and_a_share_of_nothing_are_refused() -> None:
    with pytest.raises(Refused, match="jet bore is 1260 mm"):
        answered(DRILLED_JET, {"measured_m": 1.26})
    with pytest.raises(Refused, match="share of the fuel"):
        answered(DRILLED_JET, {"usual_turns": 1.5, "needle_share": 0.0})


def test_it_says_never_to_drill() -> None:
    assert any("Never drill" in caution.says for caution in DRILLED_JET.cautions)
