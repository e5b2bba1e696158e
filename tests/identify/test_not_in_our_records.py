"""Carburettors that nobody recorded: numbers of a known grammar, check letters, and unknown makers."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_shop import Known, mark, shop

from floatbowl.identify.assumptions import shipped_assumptions
from floatbowl.identify.numbers import Places, places_of_text
from floatbowl.identify.wear import shipped_error_model
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.facts import Maker
from floatbowl.reference.observed import Enquiry, Reading

NUMBERS = (206, 213, 227, 234, 255, 268, 276, 283)


def letter(number: int) -> str:
    return "ABCDEFG"[number % 7]


def brattocks(check: str = "mod7:A-G") -> Weigher:
    reference = shop(
        *(
            Known(f"b{n}", "brattock", marks=(mark(f"{n}-{letter(n)}-{1 + n % 4}", part="throttle body"),))
            for n in NUMBERS
        ),
        *(Known(f"k{n}", marks=(mark(f"K36/1{n}", part="tag"),)) for n in (11, 18, 42)),
        makers=(Maker(maker="brattock", name="Brattock", check=check),),
    )
    return Weigher(reference)


def weigh(text: str, weigher: Weigher, **more: object) -> Standing:
    return weigher.weigh(Enquiry(readings=(Reading(text, **more),)))  # type: ignore[arg-type]


def grammar(weigher: Weigher, text: str) -> float:
    """How likely a reading is for some unlisted number of the first maker."""
    unlisted = weigher.catalogue.unlisted
    places: Places = places_of_text(text, weigher.catalogue.alphabet)
    return float(unlisted.likelihoods(places, text, "seen", shipped_error_model().seen)[0])


def test_a_wholly_read_number_that_nobody_recorded_is_likely_unlisted() -> None:
    weigher = brattocks()
    recorded, unlisted = weigh("206-D-3", weigher), weigh("941-D-2", weigher)
    assert recorded.not_listed < 0.2 < unlisted.not_listed
    assert unlisted.not_listed > 5 * recorded.not_listed


def test_a_right_check_letter_speaks_for_an_unlisted_number_of_that_maker_a_wrong_one_against() -> None:
    with_rule, without = brattocks(), brattocks(check="")
    right, wrong = "241-D-2", "241-E-2"
    assert letter(241) == "D"
    assert grammar(with_rule, right) == pytest.approx(7 * grammar(without, right))
    assert grammar(with_rule, wrong) < 0.5 * grammar(without, wrong)
    assert weigh(right, with_rule).not_listed > weigh(right, without).not_listed


def test_the_check_letter_is_not_judged_while_the_number_is_in_doubt() -> None:
    with_rule, without = brattocks(), brattocks(check="")
    for text in ("24?-D-2", "24[18]-D-2", "241"):
        assert grammar(with_rule, text) == pytest.approx(grammar(without, text))


def test_a_number_of_the_grammar_is_likelier_than_one_of_none() -> None:
    weigher = brattocks()
    assert grammar(weigher, "291E1") > 20 * grammar(weigher, "PWKBZ")


def test_more_of_a_lost_number_leaves_more_to_the_records() -> None:
    weigher = brattocks()
    clear, worn = weigh("941-D-2", weigher), weigh("9??-?-2", weigher)
    assert worn.not_listed < clear.not_listed


def test_nothing_unlisted_when_nothing_is_assumed_unlisted() -> None:
    assumptions = replace(shipped_assumptions(), unlisted=0.0, unlisted_machine=0.0)
    weigher = Weigher(brattocks().reference, assumptions=assumptions)
    assert weigh("941-D-2", weigher).not_listed == 0.0


def test_an_empty_shop_knows_nothing_and_says_so() -> None:
    for reference in (shop(), shop(makers=(Maker(maker="cawdle", name="Cawdle"),))):
        standing = Weigher(reference).weigh(Enquiry(readings=(Reading("PWK-BZM", part="tag"),), machine_text="a pump"))
        assert standing.not_listed == pytest.approx(1.0)
        assert standing.carburettors() == ()
        assert standing.kits() == ()


def test_a_carburettor_without_a_number_can_still_be_the_one() -> None:
    reference = shop(Known("bare"), Known("k118", marks=(mark("K36/118", part="tag"),)))
    standing = Weigher(reference).weigh(Enquiry(readings=(Reading("ZZZZ", part="lid"),)))
    assert standing.posterior[0] > standing.posterior[1] > 0
