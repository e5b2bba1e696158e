"""One place however it is spelt, kept as it was spelt first."""

from __future__ import annotations

import string

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floatbowl.reference.facts import Reference
from floatbowl.shop.models.shelf import Holding, Item
from floatbowl.shop.shelf.changing import move, receive
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.ledger import About
from floatbowl.shop.shelf.spelling import plainly_spelt
from floatbowl.shop.shelf.things import things_now

PLACES = st.text(alphabet=string.ascii_letters + string.digits + "äÖß-/ ", min_size=1, max_size=12)


@given(place=PLACES, spaces=st.integers(1, 3), other=PLACES)
def test_case_and_spaces_make_no_other_place(place: str, spaces: int, other: str) -> None:
    spelt = [place.upper(), place.swapcase(), f" {place} ", (" " * spaces).join(place.split(" "))]
    assert {plainly_spelt(each) for each in spelt} == {plainly_spelt(place)}
    bare = ["".join(each.casefold().split()) for each in (place, other)]
    if bare[0] != bare[1]:
        assert plainly_spelt(place) != plainly_spelt(other)


@pytest.mark.django_db(transaction=False)
@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(spelt=st.lists(st.sampled_from(["Box 7", "box 7", "BOX7", "bOx  7", "Box 8"]), min_size=1, max_size=5))
def test_whatever_comes_however_it_is_spelt_lies_at_one_place(records: Reference, spelt: list[str]) -> None:
    Holding.objects.all().delete()
    kit = things_now().of("kit", "T-99")
    before = {"Box 7": 0, "Box 8": 0}
    for place in spelt:
        receive(kit, 1, place, About(why="receipt"))
        before["Box 8" if place == "Box 8" else "Box 7"] += 1
    held = dict(Holding.objects.filter(quantity__gt=0).values_list("place", "quantity"))
    assert sorted(held.values()) == sorted(n for n in before.values() if n)
    first = next((place for place in spelt if place != "Box 8"), None)
    assert first is None or held[" ".join(first.split())] == before["Box 7"]


def test_it_is_counted_and_found_under_any_spelling(records: Reference) -> None:
    gasket, washer = things_now().of("part", "G-1"), things_now().of("part", "W-1")
    move(gasket, 3, "", "Box 7", About(why="move"))
    receive(washer, 2, "box 7", About(why="receipt"))
    assert count_at("part", "G-1", 2, "BOX7", About(why="count")).place == "Box 7"
    with pytest.raises(ValueError, match="name two places"):
        move(gasket, 1, "Box 7", "box 7", About(why="move"))
    move(gasket, 1, "box 7", "", About(why="move"))
    assert set(Holding.objects.exclude(place="").values_list("place", flat=True)) == {"Box 7"}
    assert Item.objects.get(key="G-1").on_hand == 7
