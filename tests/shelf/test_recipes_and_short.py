"""How many of one kit could be built, and what is short for open jobs and offers."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.reference.facts import KitPart
from floatbowl.shelf.recipes import Recipe, could_build, recipes_of, taken
from floatbowl.shelf.short_of import Want, serve, short_by_part

B11 = Recipe("B-11F", (("bowl gasket", 1.0), ("seat washer", 2.0)))
B12 = Recipe("B-12F", (("bowl gasket", 1.0), ("needle", 1.0)))


def test_a_part_in_two_positions_counts_twice() -> None:
    rows = [KitPart(kit="B-11F", part="washer", quantity=1.0, position=where) for where in ("seat", "jet")]
    assert recipes_of(rows) == (Recipe("B-11F", (("washer", 2.0),)),)


def test_every_part_that_holds_it_is_named() -> None:
    found = could_build(B11, {"bowl gasket": 2, "seat washer": 5})
    assert (found.count, found.held_by) == (2, ("bowl gasket", "seat washer"))
    assert could_build(B11, {"bowl gasket": 2}).count == 0


@settings(max_examples=50, deadline=None)
@given(
    st.dictionaries(st.sampled_from("abcd"), st.integers(1, 5).map(float), min_size=1),
    st.dictionaries(st.sampled_from("abcd"), st.floats(0, 60)),
)
def test_so_many_can_be_built_and_one_more_cannot(needs: dict[str, float], on_hand: dict[str, float]) -> None:
    recipe = Recipe("K", tuple(needs.items()))
    count = could_build(recipe, on_hand).count
    assert all(amount <= on_hand.get(part, 0.0) + 1e-6 for part, amount in taken(recipe, count).items())
    assert any(amount > on_hand.get(part, 0.0) for part, amount in taken(recipe, count + 1).items())


@pytest.mark.parametrize("parts", [(), (("washer", 0.0),), (("washer", -1.0),)])
def test_a_kit_of_nothing_is_refused(parts: tuple[tuple[str, float], ...]) -> None:
    with pytest.raises(Refused, match="kit K"):
        Recipe("K", parts)


def test_packed_kits_go_first_then_loose_parts_then_it_is_short() -> None:
    wants = [Want(for_="job 7", quantity=3, kit="B-11F"), Want(for_="offer 2", quantity=1, kit="B-12F")]
    first, second = serve(wants, {"B-11F": 1}, {"bowl gasket": 2, "seat washer": 3, "needle": 9}, [B11, B12])
    assert (first.packed, first.build) == (1, 1)
    assert [(each.part, each.quantity, each.kit) for each in first.short] == [("seat washer", 1.0, "B-11F")]
    # Both bowl gaskets lie ready for job 7, so the offer is short of one.
    assert (second.build, [(each.for_, each.part, each.quantity) for each in second.short]) == (
        0,
        [("offer 2", "bowl gasket", 1.0)],
    )
    assert short_by_part([first, second]) == {"bowl gasket": 1.0, "seat washer": 1.0}


def test_the_order_of_wants_decides_who_is_short() -> None:
    wants = [Want(for_=name, quantity=2, part="needle") for name in ("job 1", "job 2")]
    served = serve(wants, {}, {"needle": 3}, [])
    assert (served[0].packed, served[0].short) == (2, ())
    assert [(short.for_, short.quantity) for each in served for short in each.short] == [("job 2", 1)]


def test_a_kit_without_recorded_contents_is_short_as_a_whole() -> None:
    (served,) = serve([Want(for_="job 1", quantity=2, kit="X")], {"X": 1}, {}, [])
    assert (served.packed, short_by_part([served])) == (1, {"X": 1})


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(["B-11F", "B-12F", "needle", "bowl gasket"]), st.integers(1, 4)), max_size=6),
    st.dictionaries(st.sampled_from(["bowl gasket", "seat washer", "needle"]), st.integers(0, 6).map(float)),
)
def test_what_is_short_is_just_what_would_serve_everybody(
    asked: list[tuple[str, int]], loose: dict[str, float]
) -> None:
    wants = [
        Want(for_=f"job {n}", quantity=count, **({"kit": name} if name[0] == "B" else {"part": name}))  # type: ignore[arg-type]
        for n, (name, count) in enumerate(asked)
    ]
    missing = short_by_part(serve(wants, {}, loose, [B11, B12]))
    filled = {part: loose.get(part, 0.0) + missing.get(part, 0.0) for part in {*loose, *missing}}
    assert not short_by_part(serve(wants, {}, filled, [B11, B12]))
    for part in missing:
        assert short_by_part(serve(wants, {}, filled | {part: filled[part] - 1}, [B11, B12]))


@pytest.mark.parametrize(
    "wrong", [{}, {"kit": "a", "part": "b"}, {"kit": "a", "quantity": 1.5}, {"part": "a", "quantity": 0}]
)
def test_a_want_names_one_thing_and_how_many(wrong: dict[str, object]) -> None:
    with pytest.raises(Refused, match="job 1"):
        Want(**{"for_": "job 1", "quantity": 1, **wrong})  # type: ignore[arg-type]
