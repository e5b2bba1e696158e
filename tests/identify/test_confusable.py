"""Marks taken for one another: the same as trying every mark against every other, where kits differ."""

from __future__ import annotations

import math
import random

import pytest
from small_shop import Known, mark, shop

from floatbowl.identify.confusable import confusable_pairs
from floatbowl.identify.marks import MarkIndex
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Reference


def numbered(*numbers: tuple[str, str], shares: dict[str, float] | None = None) -> Reference:
    """Carburettors by number, each with its kit; the key is the number in small letters."""
    shares = shares or {}
    return shop(
        *(
            Known(number.lower(), share=shares.get(number), marks=(mark(number),), kits=(kit,))
            for number, kit in numbers
        )
    )


def texts(reference: Reference, limit: int = 200) -> list[tuple[str, str]]:
    return [(pair.a_text, pair.b_text) for pair in confusable_pairs(Weigher(reference), limit)]


def test_look_alikes_come_before_what_is_merely_one_apart() -> None:
    found = texts(numbered(("K36/118", "A"), ("K36/113", "B"), ("K36/114", "C")))
    assert frozenset(found[0]) == {"K36/118", "K36/113"}


def test_numbers_that_take_the_same_kits_are_no_trouble() -> None:
    assert texts(numbered(("K36/118", "A"), ("K36/113", "A"))) == []


def test_commoner_marks_come_first() -> None:
    numbers = (("K36/118", "A"), ("K36/113", "B"), ("N24/118", "C"), ("N24/113", "D"))
    common = texts(numbered(*numbers, shares={"N24/118": 90.0, "N24/113": 90.0, "K36/118": 1.0, "K36/113": 1.0}))
    assert frozenset(common[0]) == {"N24/118", "N24/113"}
    rare = texts(numbered(*numbers, shares={"N24/118": 1.0, "N24/113": 1.0, "K36/118": 90.0, "K36/113": 90.0}))
    assert frozenset(rare[0]) == {"K36/118", "K36/113"}


@pytest.mark.parametrize(
    ("one", "other"),
    [("68611", "11989"), ("PWK-BZM", "BZM-PWK"), ("PWK-BZM", "PKW-BZM"), ("K36/118", "K36/18"), ("6891", "1689")],
)
def test_turned_exchanged_and_lost_characters_are_thought_of(one: str, other: str) -> None:
    assert [frozenset(pair) for pair in texts(numbered((one, "A"), (other, "B")))] == [{one, other}]


def test_one_number_issued_twice_is_no_misreading() -> None:
    reference = shop(
        Known("flat", marks=(mark("6.114.2"),), kits=("A",)), Known("raised", marks=(mark("6.114.2"),), kits=("B",))
    )
    assert texts(reference) == []


def test_a_device_and_its_number_are_one_mark() -> None:
    def stamped(key: str, number: str, kit: str) -> Known:
        return Known(key, marks=(mark("{RING}", "family", with_=key), mark(number, with_=key)), kits=(kit,))

    (pair,) = confusable_pairs(Weigher(shop(stamped("a", "206-D-3", "A"), stamped("b", "208-D-3", "B"))))
    assert {pair.a_text, pair.b_text} == {"{RING} 206-D-3", "{RING} 208-D-3"}


def test_carburettors_with_and_without_kits_are_told_apart() -> None:
    reference = shop(Known("a", marks=(mark("K36/118"),), kits=("A",)), Known("b", marks=(mark("K36/113"),)))
    (pair,) = confusable_pairs(Weigher(reference))
    assert {pair.a_carburettor, pair.b_carburettor} == {"a", "b"}


def test_it_finds_what_trying_every_pair_finds() -> None:
    rng = random.Random(5)
    numbers = sorted({f"{rng.choice('KN')}{rng.choice((24, 36))}/{rng.randint(100, 199)}" for _ in range(80)})
    reference = numbered(*((number, rng.choice("AB")) for number in numbers))
    weigher = Weigher(reference)
    index = MarkIndex(numbers)
    kit = {fit.carburettor: fit.kit for fit in reference.kit_fits}
    brute: dict[frozenset[str], float] = {}
    for said in numbers:
        for meant, log in zip(numbers, index.log_likelihoods(said), strict=True):
            if kit[meant.lower()] != kit[said.lower()]:
                pair = frozenset((meant, said))
                brute[pair] = max(brute.get(pair, 0.0), math.exp(log))
    # Pairs two characters apart come to at most about one in five thousand readings.
    expected = sorted((chance for chance in brute.values() if chance > 2e-4), reverse=True)
    assert len(expected) >= 10
    found = confusable_pairs(weigher, limit=len(expected))
    assert [pair.probability for pair in found] == pytest.approx(expected, rel=1e-9)
    for pair in found:
        assert pair.probability == pytest.approx(brute[frozenset((pair.a_text, pair.b_text))], rel=1e-9)


def test_no_more_than_asked_for() -> None:
    reference = numbered(*((f"K36/11{n}", str(n)) for n in range(10)))
    assert len(confusable_pairs(Weigher(reference), limit=7)) == 7
    assert confusable_pairs(Weigher(Reference())) == ()
