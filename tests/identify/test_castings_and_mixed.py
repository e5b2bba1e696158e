"""Evidence that belongs together, castings that disagree, and tags that were moved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_shop import Known, choice, mark, shop

from floatbowl.identify.assumptions import shipped_assumptions
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import Enquiry, Look, Reading

KINDS = (
    choice("a", "yes|no", 0.2, part="bowl"),
    choice("b", "yes|no", 0.2, part="bowl"),
    choice("c", "yes|no", 0.2, part="lid"),
    choice("tag fixing", "riveted|wired on", 0.05, part="tag"),
)
SHOP = shop(
    Known("one", marks=(mark("K36/118", part="tag"),), features={"a": "yes", "b": "yes", "c": "yes"}),
    Known("two", marks=(mark("K28/205", part="tag"),), features={"a": "no", "b": "no", "c": "no"}),
    Known("three", "brattock", marks=(mark("206-D-3", part="lid"),), features={"a": "yes", "b": "no", "c": "no"}),
    kinds=KINDS,
)
WEIGHER = Weigher(SHOP)


def weigh(*items: Look | Reading, weigher: Weigher = WEIGHER) -> Standing:
    looks = tuple(item for item in items if isinstance(item, Look))
    readings = tuple(item for item in items if isinstance(item, Reading))
    return weigher.weigh(Enquiry(looks=looks, readings=readings))


def chance(standing: Standing, key: str = "one") -> float:
    return float(standing.posterior[standing.weigher.catalogue.at[key]])


def test_two_answers_to_one_question_from_one_photograph_count_once() -> None:
    once = weigh(Look("a", "yes", group="photo 1"))
    twice = weigh(Look("a", "yes", group="photo 1"), Look("a", "yes", group="photo 1"))
    apart = weigh(Look("a", "yes", group="photo 1"), Look("a", "yes", group="photo 2"))
    assert list(twice.posterior) == pytest.approx(list(once.posterior))
    assert chance(apart) > chance(twice)


def test_answers_of_one_photograph_say_less_than_answers_apart() -> None:
    together = weigh(Look("a", "yes", group="photo 1"), Look("b", "yes", group="photo 1"))
    apart = weigh(Look("a", "yes"), Look("b", "yes"))
    assert chance(weigh(Look("a", "yes"))) < chance(together) < chance(apart)


def test_contrary_answers_of_one_photograph_leave_each_other_out() -> None:
    nothing = weigh()
    both = weigh(Look("a", "yes", group="photo 1"), Look("a", "no", group="photo 1"))
    assert chance(both) / chance(both, "two") == pytest.approx(chance(nothing) / chance(nothing, "two"))


def test_readings_of_one_casting_share_its_wear() -> None:
    read = Reading("K36/1?8", part="tag")
    once, twice = weigh(read), weigh(read, read)
    grouped = weigh(replace(read, group="photo 1"), replace(read, group="photo 1"))
    weights = [np.log(chance(s) / chance(s, "two")) for s in (once, twice)]
    assert list(grouped.posterior) == pytest.approx(list(once.posterior))
    assert weights[0] < weights[1] < 2 * weights[0]


def test_one_casting_cannot_disagree_with_itself() -> None:
    assert weigh(Look("a", "yes"), Look("b", "no")).mixed == 0.0
    assert weigh(Look("a", "yes"), Reading("K28/205", part="tag")).mixed == 0.0
    assert weigh().mixed == 0.0
    assert weigh(Look("a", "yes"), Look("c", "no")).mixed > 0.0


def pairs() -> Reference:
    """Ten carburettors of one maker, each casting of each with a number of its own."""
    return shop(
        *(
            Known(f"c{n}", marks=(mark(f"{n}3{n}1", part="throttle body"), mark(f"A{n}7{n}", "family", "lid")))
            for n in range(10)
        )
    )


def test_castings_that_disagree_are_likelier_mixed_than_castings_that_agree() -> None:
    weigher = Weigher(pairs())
    agree = weigh(Reading("4341", part="throttle body"), Reading("A474", part="lid"), weigher=weigher)
    disagree = weigh(Reading("4341", part="throttle body"), Reading("A878", part="lid"), weigher=weigher)
    assert agree.mixed < shipped_assumptions().mixed < disagree.mixed
    assert chance(agree, "c4") > chance(disagree, "c4")


def test_which_casting_is_named_first_does_not_matter_to_mixed() -> None:
    weigher = Weigher(pairs())
    readings = (Reading("4341", part="throttle body"), Reading("A878", part="lid"))
    assert weigh(*readings, weigher=weigher).mixed == pytest.approx(weigh(*readings[::-1], weigher=weigher).mixed)


def test_mixed_grows_with_what_is_assumed_of_it() -> None:
    readings = (Reading("4341", part="throttle body"), Reading("A878", part="lid"))
    found = [
        weigh(*readings, weigher=Weigher(pairs(), assumptions=replace(shipped_assumptions(), mixed=mixed))).mixed
        for mixed in (0.0, 0.01, 0.1)
    ]
    assert found[0] == 0.0
    assert found[0] < found[1] < found[2]


def test_a_tag_may_have_been_moved_the_more_so_when_wired_on() -> None:
    tag, body = Reading("K36/118", part="tag"), (Look("a", "no"), Look("b", "no"), Look("c", "no"))
    firm = weigh(tag, *body, Look("tag fixing", "riveted"))
    loose = weigh(tag, *body, Look("tag fixing", "wired on"))
    assert chance(loose) < chance(firm)
    assert chance(loose, "two") > chance(firm, "two")


def test_a_number_on_the_casting_counts_more_than_on_the_tag() -> None:
    reference = shop(
        Known("one", marks=(mark("K36/118", part="tag"),)),
        Known("two", marks=(mark("N28/205", part="bowl"),)),
    )
    weigher = Weigher(reference)
    both = weigh(Reading("K36/118", part="tag"), Reading("N28/205", part="bowl"), weigher=weigher)
    assert chance(both, "two") > chance(both, "one")
