"""Answers about features: usual wrong answers, gaps, disagreeing sources, tools, and who was told how to look."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shop import Known, choice, closed_world, measure, shop

from floatbowl.identify.features import ChoiceColumn, answer_table
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Confusion, FeatureKind, Reference, Tool
from floatbowl.reference.observed import Enquiry, Look

SIDES = choice("inlet side", "left|right|front|none", 0.2)


def odds(reference: Reference, look: Look, one: str = "one", other: str = "other") -> float:
    """How many times likelier an answer makes one carburettor against another."""
    weigher = Weigher(reference, assumptions=closed_world(usual_wrong_share=0.8))
    before, after = weigher.weigh(Enquiry()).posterior, weigher.weigh(Enquiry(looks=(look,))).posterior
    a, b = weigher.catalogue.at[one], weigher.catalogue.at[other]
    return float(after[a] / after[b] / (before[a] / before[b]))


def two(
    kind: FeatureKind, one: str | tuple[str, ...] | None, other: str | tuple[str, ...] | None, **more: object
) -> Reference:
    known = [
        Known(key, features={} if value is None else {kind.feature: value})
        for key, value in (("one", one), ("other", other))
    ]
    return shop(*known, kinds=(kind,), **more)  # type: ignore[arg-type]


def test_the_usual_wrong_answer_counts_more_than_any_other() -> None:
    usual = (Confusion(feature="inlet side", true="left", said="right", weight=3.0),)
    with_usual = odds(two(SIDES, "left", "front", confusions=usual), Look("inlet side", "right"))
    without = odds(two(SIDES, "left", "front"), Look("inlet side", "right"))
    unusual = odds(two(SIDES, "left", "front", confusions=usual), Look("inlet side", "none"))
    assert without == pytest.approx(1.0)
    assert with_usual > 1.0 > unusual


def test_the_more_usual_the_likelier() -> None:
    usual = (
        Confusion(feature="inlet side", true="left", said="right", weight=3.0),
        Confusion(feature="inlet side", true="left", said="none", weight=1.0),
    )
    reference = two(SIDES, "left", "front", confusions=usual)
    assert odds(reference, Look("inlet side", "right")) > odds(reference, Look("inlet side", "none"))


@given(st.floats(0.0, 1.0), st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.floats(0, 9)), max_size=8))
def test_answers_to_a_true_choice_sum_to_one(wrong: float, rows: list[tuple[int, int, float]]) -> None:
    choices = SIDES.choice_list
    pairs = {(a, b): w for a, b, w in rows}
    confusions = tuple(
        Confusion(feature="inlet side", true=choices[a], said=choices[b], weight=w) for (a, b), w in pairs.items()
    )
    weigher = Weigher(two(SIDES, "left", "front", confusions=confusions))
    column = weigher.features["inlet side"]
    assert isinstance(column, ChoiceColumn)
    table = answer_table(column, wrong, weigher.assumptions)
    assert (table >= 0).all()
    assert table.sum(axis=1) == pytest.approx([1.0] * 4)
    assert table.diagonal() == pytest.approx([1 - wrong] * 4)


def test_a_feature_nobody_recorded_goes_by_its_makers_others() -> None:
    """Never a mismatch: likely where the maker's others have it, unlikely where they do not."""
    reference = shop(
        *(Known(f"left {n}", "tarnsyke", features={"inlet side": "left"}) for n in range(4)),
        *(Known(f"right {n}", "brattock", features={"inlet side": "right"}) for n in range(4)),
        Known("blank t", "tarnsyke"),
        Known("blank b", "brattock"),
        kinds=(SIDES,),
    )
    left = Look("inlet side", "left")
    assert odds(reference, left, "blank t", "blank b") > 1.5
    assert odds(reference, left, "left 0", "blank t") > 1.0
    assert odds(reference, left, "blank b", "right 0") > 1.0


def test_a_feature_nobody_recorded_for_anybody_says_nothing() -> None:
    assert odds(two(SIDES, None, None), Look("inlet side", "left")) == pytest.approx(1.0)


def test_sources_that_disagree_stand_between() -> None:
    left = Look("inlet side", "left")
    sure, torn, against = (odds(two(SIDES, value, "front"), left) for value in ("left", ("left", "right"), "right"))
    assert sure > torn > against
    assert torn == pytest.approx((sure + against) / 2)
    assert odds(two(SIDES, ("right", "left"), "front"), left) == pytest.approx(torn)


def test_an_answer_that_is_no_choice_and_a_look_nobody_knows_say_nothing() -> None:
    reference = two(SIDES, "left", "right")
    for look in (Look("inlet side", "sideways"), Look("inlet side", 3.0), Look("no such look", "left"), Look("", "")):
        assert odds(reference, look) == pytest.approx(1.0)


def test_who_was_told_how_to_look_counts_more_and_our_bench_most() -> None:
    kind = replace(SIDES, wrong_untold=0.3, wrong_coached=0.1)
    reference = two(kind, "left", "right")
    untold, coached, bench = (
        odds(reference, Look("inlet side", "left", coached=coached, via=via))
        for coached, via in ((False, "seen"), (True, "seen"), (False, "bench"))
    )
    assert 1.0 < untold < coached < bench


def test_rates_that_nobody_recorded_are_assumed() -> None:
    kind = replace(SIDES, wrong_untold=None, wrong_coached=None)
    reference = two(kind, "left", "right")
    assert 1.0 < odds(reference, Look("inlet side", "left")) < odds(reference, Look("inlet side", "left", coached=True))


MM = measure("bolt spacing", spread=0.2)


def test_the_nearer_measure_is_the_likelier() -> None:
    reference = two(MM, "60", "54")
    nearer = [odds(reference, Look("bolt spacing", value, spread=1.0)) for value in (54.0, 56.0, 57.0, 58.0, 60.0)]
    assert nearer == sorted(nearer)
    assert nearer[2] == pytest.approx(1.0)


def test_a_coarser_tool_says_less() -> None:
    reference = two(MM, "60", "58", tools=(Tool(tool="calliper", spread=0.1), Tool(tool="rule", spread=0.8)))
    fine, coarse = (odds(reference, Look("bolt spacing", 60.0, tool=tool)) for tool in ("calliper", "rule"))
    assert fine > coarse > 1.0


@pytest.mark.parametrize(("unit", "spread"), [("in", 0.5 / 25.4), ("inch", 0.5 / 25.4), ("mm", 0.5), ("", 0.5)])
def test_tools_in_inches_and_in_millimetres_are_one(unit: str, spread: float) -> None:
    reference = two(MM, "60", "58.5", tools=(Tool(tool="rule", spread=spread, unit=unit),))
    plain = odds(two(MM, "60", "58.5"), Look("bolt spacing", 59.9, spread=0.5))
    assert odds(reference, Look("bolt spacing", 59.9, tool="rule")) == pytest.approx(plain, rel=1e-9)


def test_a_feature_in_inches_measured_with_a_millimetre_tool() -> None:
    kind = measure("bore", unit="in", spread=0.005)
    reference = two(kind, "1.125", "1.0", tools=(Tool(tool="rule", spread=0.5, unit="mm"),))
    plain = odds(two(kind, "1.125", "1.0"), Look("bore", 1.1, spread=0.5 / 25.4))
    assert odds(reference, Look("bore", 1.1, tool="rule")) == pytest.approx(plain, rel=1e-9)


def test_a_measure_far_from_all_is_a_gross_error_and_decides_nothing() -> None:
    reference = two(MM, "60", "54")
    assert odds(reference, Look("bolt spacing", 900.0, spread=0.2)) == pytest.approx(1.0, rel=0.05)
    assert 1.0 < odds(reference, Look("bolt spacing", 60.0, spread=0.2)) < 1e4


@pytest.mark.parametrize("value", ["sixty", "", 0.0, -5.0, 1e12, "60"])
def test_odd_measures_do_no_harm(value: str | float) -> None:
    weigher = Weigher(two(MM, "60", "54"))
    standing = weigher.weigh(Enquiry(looks=(Look("bolt spacing", value),)))
    assert float(standing.posterior.sum()) + standing.mixed == pytest.approx(1.0)
