"""What people write for a calculation, and what comes of it."""

from __future__ import annotations

import pytest

from floatbowl.engine.doubt import COVER_95
from floatbowl.engine.refusal import within
from floatbowl.work_out.as_json import as_object
from floatbowl.work_out.asking import asks_by_name, usual, with_unit, worked
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure
from floatbowl.work_out.everything import calculations


def _area(*, hole_m: float, depth_m: float, fluid: str, colour: str = "") -> Answer:
    within("the hole", hole_m, 0.0001, 0.1, "m")
    volume = 0.7853981633974483 * hole_m**2 * depth_m
    return Answer(f"{fluid} {colour}".strip(), (Figure("volume", "Volume", volume, "volume", "cm3"),))


HOLE = Calculation(
    key="hole",
    title="What a hole holds",
    asks=(
        Asked("hole_m", "Hole", "length", "mm", usual=0.01, spread=0.0001),
        Asked("depth_m", "Depth", "length", "mm"),
        Asked("fluid", "Fluid", choices=("petrol", "E10"), usual="petrol"),
        Asked("colour", "Colour", kind="text", optional=True),
    ),
    work=_area,
    equation="V = pi d^2 h / 4",
    holds="round holes",
    source="geometry",
)


def test_names_have_no_si_unit_and_stay_apart() -> None:
    assert list(asks_by_name(HOLE)) == ["hole", "depth", "fluid", "colour"]
    asks = tuple(Asked(name, name) for name in ("level_m", "level_kg", "flow_kg_s", "rho_kg_m3", "idle_turns_s", "rpm"))
    two = Calculation(key="k", title="T", asks=asks, work=_area, equation="", holds="", source="")
    assert list(asks_by_name(two)) == ["level-m", "level-kg", "flow", "rho", "idle", "rpm"]


def test_bare_numbers_are_in_the_chosen_unit() -> None:
    mm = worked(HOLE, {"hole": "10", "depth": "25.4 mm"}, {})
    inch = worked(HOLE, {"hole": "10 mm", "depth": "1"}, {}, "inch")
    assert mm.answer
    assert inch.answer
    assert mm.answer.figures[0].value == pytest.approx(inch.answer.figures[0].value)


def test_a_doubt_means_the_same_written_as_shown() -> None:
    beside = worked(HOLE, {"hole": "10 +- 0.2", "depth": "10"}, {})
    apart = worked(HOLE, {"hole": "10", "depth": "10"}, {"hole": "0.2"})
    assert beside.answer
    assert apart.answer
    assert beside.spreads["hole_m"] == pytest.approx(0.0002 / COVER_95)
    assert apart.answer.figures[0].sd == pytest.approx(beside.answer.figures[0].sd)
    # V goes with the square of the hole: 2 in 100 on it make 4 in 100.
    figure = beside.answer.figures[0]
    assert figure.sd * COVER_95 / figure.value == pytest.approx(0.04, rel=1e-3)
    shown = next(ask for ask in as_object(HOLE, beside)["asked"] if ask["name"] == "hole")
    assert shown["shown"] == "10.0 mm, give or take 0.2"
    assert shown["told"]


def test_a_doubt_alone_is_taken_for_the_usual_figure() -> None:
    outcome = worked(HOLE, {"depth": "10"}, {"hole": "1 mm"})
    assert outcome.spreads["hole_m"] == pytest.approx(0.001 / COVER_95)
    assert outcome.told == {"depth_m"}


@pytest.mark.parametrize(
    ("written", "name", "why"),
    [
        ({"depth": "much"}, "depth", "'much' is not a length"),
        ({}, "depth", "is needed: Depth, in mm"),
        ({"depth": "5", "fluid": "tea"}, "fluid", "'tea' is not one of petrol, E10"),
        ({"depth": "5 +- x"}, "depth", "'x' is not a length"),
    ],
)
def test_each_fault_stands_at_its_own_ask(written: dict[str, str], name: str, why: str) -> None:
    outcome = worked(HOLE, written, {})
    assert outcome.answer is None
    assert list(outcome.faults) == [name]
    assert outcome.faults[name].startswith(why)


def test_outside_the_range_is_refused_with_the_range() -> None:
    outcome = worked(HOLE, {"hole": "2 m", "depth": "5"}, {})
    assert outcome.answer is None
    assert outcome.refused == "the hole is 2000 mm; it must be between 0.1 and 100 mm"


def test_turning_to_inches_leaves_lengths_what_they_were() -> None:
    hole = HOLE.ask("hole_m")
    for text in ("28", "28.5 ± 0.1", "1 1/8", ".156", "5/32 in +- .003"):
        before = worked(HOLE, {"hole": text, "depth": "1"}, {})
        after = worked(HOLE, {"hole": with_unit(hole, text, "mm"), "depth": "1 mm"}, {}, "inch")
        assert before.values["hole_m"] == pytest.approx(after.values["hole_m"]), text
        assert before.spreads["hole_m"] == pytest.approx(after.spreads["hole_m"]), text


def test_the_usual_figure_is_shown_with_its_doubt_in_the_chosen_unit() -> None:
    assert usual(HOLE.ask("hole_m")) == "10.0 mm, give or take 0.2"
    assert usual(HOLE.ask("hole_m"), "inch") == ".394 in, give or take .008"
    assert usual(HOLE.ask("fluid")) == "petrol"
    assert usual(HOLE.ask("depth_m")) == ""


def test_there_is_no_object_without_an_answer() -> None:
    with pytest.raises(ValueError, match="no answer"):
        as_object(HOLE, worked(HOLE, {}, {}))


def test_what_is_measured_on_the_thing_itself_is_never_filled_in_beside_what_was_told() -> None:
    thread = calculations()["thread"]
    half = worked(thread, {"diameter": "7/16"}, {})
    assert half.answer is None
    assert set(half.faults) == {"length", "turns"}
    assert worked(thread, {"diameter": "7/16", "length": "1/2 in", "turns": "10"}, {}).answer is not None
    assert worked(thread, {}, {}).is_example
