"""What to carry: against every possible set on small shops."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.carry import Enquiry, kits_to_carry, lost_but_fillable, one_more

KITS = "ABCDE"
SHOPS = st.lists(st.frozensets(st.sampled_from(KITS), max_size=3), min_size=1, max_size=14).map(
    lambda sets: [Enquiry(str(number), kits) for number, kits in enumerate(sets)]
)


def covered(enquiries: list[Enquiry], kits: tuple[str, ...]) -> int:
    return sum(bool(each.kits & set(kits)) for each in enquiries)


def fewest(enquiries: list[Enquiry], goal: float, keep: tuple[str, ...] = ()) -> int | None:
    """The size of the smallest set that covers so many, by trying all."""
    for size in range(len(KITS) + 1):
        for kits in itertools.combinations(KITS, size):
            if set(keep) <= set(kits) and covered(enquiries, kits) >= goal - 1e-9:
                return size
    return None


@settings(max_examples=40, deadline=None)
@given(SHOPS, st.sampled_from([0.0, 0.5, 0.8, 0.9, 1.0]), st.sampled_from([(), ("A",), ("A", "C")]))
def test_no_smaller_set_covers_the_share(shop: list[Enquiry], share: float, keep: tuple[str, ...]) -> None:
    found = kits_to_carry(shop, share, keep=keep)
    best = fewest(shop, share * len(shop), keep)
    assert found.reachable == (best is not None)
    goal = share * len(shop) if found.reachable else covered(shop, tuple(KITS))
    assert len(found.kits) == fewest(shop, goal, keep)
    assert found.covered == covered(shop, found.kits) >= goal - 1e-9
    assert set(keep) <= set(found.kits)
    assert found.proven
    assert len(found.greedy) >= len(found.kits)


def test_the_greedy_rule_can_be_beaten() -> None:
    """The usual picture of it: two rows of seven enquiries, and a kit across both that looks best at first."""
    top, bottom = [frozenset("A")] * 0, []
    for place in range(14):
        row = "A" if place < 7 else "B"
        column = "C" if place % 7 < 4 else "D" if place % 7 < 6 else "E"
        (top if row == "A" else bottom).append(frozenset((row, column)))
    shop = [Enquiry(str(number), kits) for number, kits in enumerate([*top, *bottom])]
    found = kits_to_carry(shop, 1.0)
    assert (found.kits, found.greedy, found.proven) == (("A", "B"), ("C", "D", "E"), True)


def test_an_enquiry_that_no_kit_fits_counts_but_cannot_be_covered() -> None:
    shop = [Enquiry("1", frozenset("A")), Enquiry("2", frozenset())]
    half, all_ = kits_to_carry(shop, 0.5), kits_to_carry(shop, 0.9)
    assert (half.kits, half.reachable) == (("A",), True)
    assert (all_.kits, all_.covered, all_.reachable) == (("A",), 1, False)


def test_what_one_more_kit_adds() -> None:
    sets = ["A", "A", "AB", "B", "BC", "C", "C", "C"]
    shop = [Enquiry(str(number), frozenset(kits)) for number, kits in enumerate(sets)]
    assert [(each.kit, each.adds, each.share_then) for each in one_more(shop, ["A"])] == [
        ("C", 4, 7 / 8),
        ("B", 2, 5 / 8),
    ]
    assert one_more(shop, ["A", "B", "C"]) == ()


@settings(max_examples=50, deadline=None)
@given(SHOPS, st.frozensets(st.sampled_from(KITS)))
def test_one_more_adds_what_counting_again_says(shop: list[Enquiry], have: frozenset[str]) -> None:
    for each in one_more(shop, have):
        assert each.adds == covered(shop, (*have, each.kit)) - covered(shop, tuple(have)) > 0
        assert each.share_then == pytest.approx(covered(shop, (*have, each.kit)) / len(shop))


def test_lost_enquiries_that_would_have_been_filled_name_the_kits() -> None:
    shop = [
        Enquiry("1", frozenset("AB"), lost=True),
        Enquiry("2", frozenset("C"), lost=True),
        Enquiry("3", frozenset("A")),
    ]
    assert lost_but_fillable(shop, "AB") == ((shop[0], ("A", "B")),)


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_a_share_that_is_none_is_refused(share: float) -> None:
    with pytest.raises(Refused, match="share of enquiries"):
        kits_to_carry([Enquiry("1", frozenset("A"))], share)


def test_without_enquiries_there_is_nothing_to_cover() -> None:
    with pytest.raises(Refused, match="no enquiries"):
        kits_to_carry([], 0.8)
