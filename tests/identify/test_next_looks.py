"""What to look at next: the most about the kit per minute, never what was asked, nothing when all take the same kit."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_bayes import PlainBayes
from small_shop import Known, choice, closed_world, mark, measure, shop
from worked_shop import KINDS, worked_shop

from floatbowl.identify.answer import NextLook
from floatbowl.identify.confirm import confirming_look
from floatbowl.identify.looks import next_looks
from floatbowl.identify.wear import shipped_error_model
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Costs, FeatureKind
from floatbowl.reference.observed import Enquiry, Look, Reading

WEIGHER = Weigher(worked_shop())


def looks(weigher: Weigher, *taken: Look, **more: object) -> tuple[NextLook, ...]:
    return next_looks(weigher.weigh(Enquiry(looks=taken, **more)))  # type: ignore[arg-type]


def pair(*kinds: FeatureKind, one_kit: str = "A", other_kit: str = "B") -> Weigher:
    return Weigher(
        shop(
            Known(
                "one",
                features={kind.feature: ("60" if kind.kind == "measure" else "yes") for kind in kinds},
                kits=(one_kit,),
            ),
            Known(
                "other",
                features={kind.feature: ("54" if kind.kind == "measure" else "no") for kind in kinds},
                kits=(other_kit,),
            ),
            kinds=kinds,
        ),
        assumptions=closed_world(),
    )


def test_nothing_is_asked_when_all_that_remain_share_a_kit() -> None:
    assert looks(pair(choice("x", "yes|no"), one_kit="A", other_kit="A")) == ()
    assert looks(pair(choice("x", "yes|no")))


def test_what_was_asked_is_never_asked_again_even_when_nobody_could_tell() -> None:
    weigher = pair(choice("x", "yes|no"), choice("y", "yes|no"))
    for value in ("unsure", "cannot see", "yes"):
        assert [look.feature for look in looks(weigher, Look("x", value))] == ["y"]


def test_the_quicker_of_two_equal_looks_comes_first() -> None:
    weigher = pair(choice("slow", "yes|no", minutes=5.0), choice("quick", "yes|no", minutes=1.0))
    slow_last = looks(weigher)
    assert [look.feature for look in slow_last] == ["quick", "slow"]
    assert slow_last[0].bits == pytest.approx(slow_last[1].bits)
    assert slow_last[0].bits_per_minute == pytest.approx(5 * slow_last[1].bits_per_minute)


def test_the_surer_and_the_less_harmful_come_first() -> None:
    surer = pair(choice("vague", "yes|no", 0.3, minutes=1.0), choice("sure", "yes|no", 0.02, minutes=1.0))
    assert looks(surer)[0].feature == "sure"
    safer = pair(choice("harmful", "yes|no", minutes=1.0, risk=3), choice("harmless", "yes|no", minutes=1.0, risk=0))
    assert looks(safer)[0].feature == "harmless"
    assert looks(safer)[1].risk == 3


def test_a_measure_that_tells_kits_apart_is_offered() -> None:
    (look,) = looks(pair(measure("bolt spacing", minutes=2.0)))
    assert look.feature == "bolt spacing"
    assert 0.9 < look.bits <= 1.0 + 1e-9


def test_a_look_that_nobody_recorded_is_not_worth_a_callers_time() -> None:
    weigher = Weigher(
        shop(Known("one", kits=("A",)), Known("two", kits=("B",)), kinds=(choice("x", "yes|no"), measure("y"))),
        assumptions=closed_world(),
    )
    assert looks(weigher) == ()


def test_reading_a_mark_is_offered_with_its_caution_and_is_worth_less_again() -> None:
    weigher = Weigher(
        shop(
            Known("one", marks=(mark("K36/118", part="tag"),), kits=("A",)),
            Known("two", marks=(mark("K36/113", part="tag"),), kits=("B",)),
        )
    )
    (first,) = looks(weigher)
    (again,) = looks(weigher, readings=(Reading("K36/11?", part="tag"),))
    assert first.mark == again.mark == "tag"
    assert "wire" in first.caution
    assert again.bits < first.bits


def test_looks_carry_how_to_look() -> None:
    kind = replace(
        choice("x", "yes|no"), minutes=1.5, risk=1, how="With a magnet.", needs="paint off", caution="Engine stopped."
    )
    (look,) = looks(pair(kind))
    assert (look.minutes, look.risk, look.how, look.needs, look.caution, look.question) == (
        1.5, 1, "With a magnet.", "paint off", "Engine stopped.", "x?",
    )  # fmt: skip


features = st.sampled_from([kind.feature for kind in KINDS])


@settings(max_examples=40, deadline=None)
@given(
    asked=st.lists(features, max_size=5, unique=True),
    machine=st.sampled_from(["", "lowfold", "eastacre"]),
    level=st.sampled_from(["", "gaskets", "full"]),
)
def test_ranking_holds_whatever_was_asked(asked: list[str], machine: str, level: str) -> None:
    taken = tuple(Look(feature, "unsure") for feature in asked)
    found = looks(WEIGHER, *taken, machine=machine, want_level=level)
    assert not {look.feature for look in found} & set(asked)
    assert all(look.bits > 0 and look.minutes > 0 for look in found)
    assert all(look.bits_per_minute == pytest.approx(look.bits / look.minutes) for look in found)
    by_risk: dict[int, list[float]] = {}
    for look in found:
        by_risk.setdefault(look.risk, []).append(look.bits_per_minute)
    assert all(rates == sorted(rates, reverse=True) for rates in by_risk.values())


def entropy(chances: list[float]) -> float:
    return -sum(p * math.log2(p) for p in chances if p > 0)


def test_bits_of_a_choice_are_the_expected_drop_of_the_kits_entropy() -> None:
    """Answer by answer, weighing each possible answer as a coached one: the plain meaning of the figure."""
    assumptions = closed_world()
    reference = shop(
        Known("one", share=3.0, features={"x": "yes"}, kits=("A",)),
        Known("two", share=1.0, features={"x": "no"}, kits=("B",)),
        Known("three", share=2.0, features={"x": "maybe"}, kits=("A",)),
        Known("four", share=1.0, features={}, kits=("C",)),
        kinds=(choice("x", "yes|no|maybe", 0.15),),
    )
    weigher, plain = (
        Weigher(reference, assumptions=assumptions),
        PlainBayes(reference, shipped_error_model(), assumptions),
    )
    kits = {"one": "A", "two": "B", "three": "A", "four": "C"}

    def of_kits(posterior: dict[object, float]) -> float:
        return entropy([sum(posterior[k] for k in kits if kits[k] == kit) for kit in "ABC"])

    before = plain.weigh(Enquiry())
    expected = 0.0
    for answer in ("yes", "no", "maybe"):
        after = plain.weigh(Enquiry(looks=(Look("x", answer, coached=True),)))
        given = after.evidence[0].given
        chance = sum(before.posterior[h] * given[h] for h in plain.hypotheses)
        expected += chance * of_kits(after.posterior)  # type: ignore[arg-type]
    (look,) = looks(weigher)
    assert look.bits == pytest.approx(of_kits(before.posterior) - expected, rel=1e-9)  # type: ignore[arg-type]


def test_the_confirming_look_speaks_most_for_the_likeliest_per_minute() -> None:
    """Bits: the logarithm of how much likelier the recorded answer is on it than on the common run."""
    weigher = Weigher(
        shop(
            Known("one", features={"x": "yes", "y": "yes"}, kits=("A",)),
            Known("two", features={"x": "no", "y": "yes"}, kits=("A",)),
            kinds=(choice("x", "yes|no", 0.1, minutes=2.0), choice("y", "yes|no", 0.1, minutes=2.0)),
            costs=Costs(),
        ),
        assumptions=closed_world(),
    )
    look = confirming_look(weigher.weigh(Enquiry()))
    assert look is not None
    assert look.feature == "x"
    assert look.bits == pytest.approx(math.log2(0.9 / (0.5 * 0.9 + 0.5 * 0.1)))
    assert look.bits_per_minute == pytest.approx(look.bits / 2.0)
