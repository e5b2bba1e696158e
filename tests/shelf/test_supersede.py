"""Supersession: present numbers, merged demand, substitutes, and cycles refused by name."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.reference.facts import Replacement
from floatbowl.shelf.supersede import ReplacementCycles, merged_demand, supersession


def step(old: str, new: str, condition: str = "") -> Replacement:
    return Replacement(old=old, new=new, both_ways="no", condition=condition)


def swap(one: str, other: str, condition: str = "") -> Replacement:
    return Replacement(old=one, new=other, both_ways="yes", condition=condition)


def test_a_chain_leads_to_its_last_number() -> None:
    known = supersession([step("a", "b"), step("b", "c")])
    found = known.present("a")
    assert (found.present, found.chain, found.either) == ("c", ("a", "b", "c"), ())
    assert known.present("c").chain == ("c",)
    assert known.present("unheard of").present == "unheard of"


def test_exchanges_are_one_thing_and_go_on_together() -> None:
    known = supersession([swap("a", "b"), step("b", "c")])
    assert {part: known.present(part).present for part in "abc"} == {"a": "c", "b": "c", "c": "c"}
    assert known.present("a").chain == ("a", "b", "c")


def test_an_exchange_that_is_also_superseded_one_way_ends_at_the_newer() -> None:
    for rows in ([swap("a", "b"), step("b", "a")], [step("b", "a"), swap("a", "b")]):
        known = supersession(rows)
        assert {known.present(part).present for part in "ab"} == {"a"}


def test_two_new_numbers_are_not_chosen_between() -> None:
    known = supersession([step("a", "b"), step("a", "c"), step("z", "a")])
    assert (known.present("a").present, known.present("a").either) == ("a", ("b", "c"))
    assert (known.present("z").present, known.present("z").either) == ("z", ("b", "c"))
    joined = supersession([step("a", "b"), step("a", "c"), step("b", "c")])
    assert (joined.present("a").present, joined.present("a").either) == ("c", ())


def test_a_condition_keeps_the_demand_apart_unless_it_is_merged() -> None:
    rows = [step("a", "b", "new throttle rod end"), step("b", "c")]
    assert supersession(rows).present("a").present == "a"
    assert supersession(rows, merge_conditional=True).present("a").present == "c"


def test_substitutes_go_forward_with_their_conditions_and_never_back() -> None:
    known = supersession([step("a", "b", "new rod end"), step("b", "c", "elbow"), swap("a", "x"), step("old", "a")])
    assert [(s.part, s.steps, s.way, s.conditions) for s in known.substitutes("a")] == [
        ("x", 1, "exchange", ()),
        ("b", 1, "newer", ("new rod end",)),
        ("c", 2, "newer", ("new rod end", "elbow")),
    ]
    assert known.substitutes("c") == ()
    assert [s.part for s in known.substitutes("old")] == ["a", "x", "b", "c"]


def test_demand_is_merged_before_it_is_forecast() -> None:
    known = supersession([step("a", "b"), swap("b", "c")])
    demand = {"a": [1, 0, 2], "b": [0, 1, 0], "c": [0, 0, 5], "d": [7, 7, 7]}
    found = merged_demand(demand, known)
    now = known.present("a").present
    assert {part: list(series) for part, series in found.items()} == {now: [1, 1, 7], "d": [7, 7, 7]}
    assert demand["a"] == [1, 0, 2]


def test_series_of_other_lengths_are_refused() -> None:
    with pytest.raises(Refused, match="the demand of b has 2 periods, others of b have 3"):
        merged_demand({"a": [1, 2, 3], "b": [1, 2]}, supersession([step("a", "b")]))


@pytest.mark.parametrize(
    ("rows", "cycle"),
    [
        ([step("a", "b"), step("b", "c"), step("c", "a")], "a -> b -> c -> a"),
        ([step("a", "a")], "a -> a"),
        ([step("a", "b", "when raised"), step("b", "a", "when flat")], "a -> b -> a"),
        ([step("a", "b"), swap("b", "c"), swap("c", "d"), step("d", "a")], "a -> b = c = d -> a"),
    ],
)
def test_a_cycle_is_refused_with_every_name_on_it(rows: list[Replacement], cycle: str) -> None:
    with pytest.raises(ReplacementCycles, match="None of these is the newest") as told:
        supersession([step("x", "a"), *rows, step("c", "z")])
    assert told.value.cycles == (cycle,)
    assert cycle in str(told.value)


def test_two_cycles_are_both_told() -> None:
    with pytest.raises(ReplacementCycles) as told:
        supersession([step("a", "b"), step("b", "a"), step("p", "q"), step("q", "p")])
    assert told.value.cycles == ("a -> b -> a", "p -> q -> p")


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 30), st.integers(1, 5), st.booleans()), max_size=40),
    st.lists(st.integers(0, 5), min_size=31, max_size=31),
)
def test_demand_is_neither_lost_nor_made_and_rests_where_nothing_newer_is(
    steps: list[tuple[int, int, bool]], sold: list[int]
) -> None:
    """Numbers only ever rise along a step, and no step joins two exchange groups the wrong way: no cycles."""
    rows = [swap(f"p{n:02}", f"p{n:02}x") if both else step(f"p{n:02}", f"p{n + up:02}") for n, up, both in steps]
    known = supersession(rows)
    demand = {f"p{n:02}": [float(count)] for n, count in enumerate(sold)}
    merged = merged_demand(demand, known)
    assert sum(series[0] for series in merged.values()) == sum(sold)
    for part in merged:
        assert known.present(part).present == part
        newer = {s.part for s in known.substitutes(part) if s.way == "newer"}
        assert not newer or known.present(part).either
    for part in demand:
        chain = known.present(part).chain
        assert (chain[0], chain[-1]) == (part, known.present(part).present)


def test_thirty_thousand_parts_in_half_a_second() -> None:
    """Processor time, the better of two, since other work may share the machine."""
    draw = np.random.default_rng(7)
    rows = []
    for n in range(29_999):
        rows.append(swap(f"p{n}", f"p{n}x") if draw.random() < 0.2 else step(f"p{n}", f"p{n + 1 + draw.integers(3)}"))
    taken = []
    for _ in range(2):
        began = time.process_time()
        supersession(rows)
        taken.append(time.process_time() - began)
    assert min(taken) < 0.5
