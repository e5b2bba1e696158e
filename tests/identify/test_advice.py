"""Send, ask or bench: what may be sent, which evidence is independent, and what it costs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_shop import Known, choice, closed_world, mark, measure, shop

from floatbowl.identify.answer import Answer
from floatbowl.identify.consult import consult
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import CameOn, Costs, Kit, Machine, Reference
from floatbowl.reference.observed import Enquiry, Look, Reading

MAGNET = choice("magnet body", "sticks|falls off", 0.02, part="throttle body", minutes=0.5)
SIDE = choice("inlet side", "left|right", 0.02, part="throttle body", minutes=1.0)
BAR = choice("bar", "raised|flat", 0.02, part="bowl", minutes=1.0)
BORE = measure("bore", part="throttle body", minutes=2.0)
NUMBERS = {"k118": "K36/118", "n205": "N28/205", "d771": "D40/771", "v332": "V24/332"}
TAG = Reading("K36/118", part="tag")


def four(costs: Costs | None = None, **kits: str) -> Reference:
    """Four carburettors told apart by number, magnet, side, bar and bore; a kit for each unless told."""
    known = [
        Known(
            key,
            marks=(mark(number, part="tag"),),
            features={
                "magnet body": ("sticks", "falls off")[n > 0],
                "inlet side": ("left", "right")[n > 1],
                "bar": ("raised", "flat")[n > 0],
                "bore": str(20 + 4 * n),
            },
            kits=(kits.get(key, f"kit {key}"),),
        )
        for n, (key, number) in enumerate(NUMBERS.items())
    ]
    return shop(
        *known,
        kinds=(MAGNET, SIDE, BAR, BORE),
        machines=(Machine(machine="lowfold", make="Drumlow", model="Lowfold"),),
        came_on=(CameOn(machine="lowfold", carburettor="k118"),),
        costs=costs,
    )


#: Everything is listed and whole, so that what is sure is sure.
ASSUMED = closed_world(usual_wrong_share=0.85)
WEIGHER = Weigher(four(), assumptions=ASSUMED)


def told(*items: Look | Reading, weigher: Weigher = WEIGHER, **more: object) -> Answer:
    looks = tuple(item for item in items if isinstance(item, Look))
    readings = tuple(item for item in items if isinstance(item, Reading))
    return consult(weigher, Enquiry(looks=looks, readings=readings, **more))  # type: ignore[arg-type]


def test_two_kinds_of_evidence_send() -> None:
    answer = told(TAG, Look("magnet body", "sticks"))
    assert (answer.advice.action, answer.advice.kit) == ("send", "kit k118")
    assert len(answer.advice.kinds) == 2
    assert answer.advice.expected_cost == pytest.approx((1 - answer.kits[0].probability) * Costs().wrong_kit)


def test_one_kind_never_sends_however_sure() -> None:
    answer = told(TAG)
    assert answer.kits[0].probability > ASSUMED.send_at_least
    assert answer.advice.action == "ask"
    assert answer.advice.kinds == ("number",)
    assert answer.advice.ask_feature or answer.advice.ask_mark
    assert answer.next


def test_two_readings_of_one_tag_are_one_kind() -> None:
    answer = told(TAG, replace(TAG, via="photo"), replace(TAG, text="K36/11[83]", via="heard"))
    assert answer.advice.kinds == ("number",)
    assert answer.advice.action != "send"


def test_a_machine_is_no_kind_of_its_own() -> None:
    answer = told(TAG, machine="lowfold")
    assert answer.kits[0].probability > ASSUMED.send_at_least
    assert answer.advice.kinds == ("number",)
    assert answer.advice.action != "send"
    assert told(machine="lowfold").advice.kinds == ()


def test_what_was_bought_before_is_no_kind_of_its_own() -> None:
    assert told(TAG, bought=("kit k118",)).advice.action != "send"


def test_items_of_one_group_are_one_kind() -> None:
    grouped = told(replace(TAG, group="photo 1"), Look("magnet body", "sticks", group="photo 1"))
    assert len(grouped.advice.kinds) == 1
    assert grouped.advice.action != "send"
    apart = told(replace(TAG, group="photo 1"), Look("magnet body", "sticks", group="photo 2"))
    assert apart.advice.action == "send"


def test_two_looks_at_one_part_are_one_kind_and_at_two_parts_two() -> None:
    one = told(Look("magnet body", "sticks"), Look("inlet side", "left"))
    two = told(Look("magnet body", "sticks"), Look("bar", "raised"))
    assert len(one.advice.kinds) == 1
    assert len(two.advice.kinds) == 2


def test_a_measure_is_a_kind_of_its_own() -> None:
    assert told(Look("magnet body", "sticks"), Look("bore", 20.0)).advice.kinds == (
        "look at the throttle body",
        "measure",
    )


def test_evidence_against_the_kit_is_no_kind_for_it() -> None:
    answer = told(TAG, Look("magnet body", "falls off"))
    assert answer.advice.kit == "kit k118"
    assert answer.advice.kinds == ("number",)


def test_not_sure_enough_asks() -> None:
    weigher = Weigher(four(), assumptions=replace(ASSUMED, send_at_least=0.999_999_999))
    answer = told(TAG, Look("magnet body", "sticks"), weigher=weigher)
    assert answer.advice.action != "send"


def test_the_fuller_kit_of_those_that_fit_alike_unless_another_is_wanted() -> None:
    reference = shop(
        Known("one", marks=(mark("K36/118", part="tag"),), kits=("gaskets", "full", "paraffin")),
        Known("two", marks=(mark("N28/205", part="tag"),)),
        kits=(
            Kit(kit="gaskets", name="Gaskets", level="gaskets", fuel="petrol"),
            Kit(kit="paraffin", name="Full, paraffin", level="full", fuel="paraffin"),
            Kit(kit="full", name="Full", level="full", fuel="petrol"),
        ),
    )
    weigher = Weigher(reference, assumptions=ASSUMED)
    assert told(TAG, weigher=weigher).advice.kit == "full"
    assert told(TAG, weigher=weigher, want_level="gaskets").advice.kit == "gaskets"
    assert told(TAG, weigher=weigher, want_fuel="paraffin").advice.kit == "paraffin"
    assert any("petrol and paraffin" in warning for warning in told(TAG, weigher=weigher).warnings)
    assert not any("paraffin" in warning for warning in told(TAG, weigher=weigher, want_fuel="petrol").warnings)


def test_no_kit_is_said_and_never_sent() -> None:
    reference = shop(
        Known("ghv", "cawdle", marks=(mark("GHV-LPD", part="tag"),), features={"bar": "flat"}),
        Known("pwk", "cawdle", marks=(mark("PWK-BZM", part="tag"),), features={"bar": "raised"}, kits=("C-1",)),
        kinds=(BAR,),
    )
    weigher = Weigher(reference, assumptions=ASSUMED)
    answer = told(Reading("GHV-LPD", part="tag"), Look("bar", "flat"), weigher=weigher)
    assert answer.no_kit > 0.9
    assert answer.advice.action != "send"
    assert answer.advice.kit is None


def test_the_bench_when_no_look_would_settle_it() -> None:
    alike = shop(
        Known("one", marks=(mark("K36/118", part="tag"),), kits=("A",)),
        Known("two", marks=(mark("K36/118", part="tag"),), kits=("B",)),
        costs=Costs(bench=12.0),
    )
    answer = told(TAG, weigher=Weigher(alike, assumptions=ASSUMED))
    assert answer.advice.action == "bench"
    assert answer.advice.expected_cost == 12.0
    assert answer.next == ()


def test_the_bench_when_asking_costs_more() -> None:
    dear = Costs(wrong_kit=1000.0, minute=0.5, bench=1.0)
    assert told(weigher=Weigher(four(dear), assumptions=ASSUMED)).advice.action == "bench"
    cheap = Costs(wrong_kit=1000.0, minute=0.5, bench=10_000.0)
    assert told(weigher=Weigher(four(cheap), assumptions=ASSUMED)).advice.action == "ask"


def test_asking_costs_its_minutes_and_what_is_still_wrong_after() -> None:
    """Two kits as likely as each other, a look wrong one time in ten: 2 minutes at 0.5, then 0.1 of a wrong kit."""
    reference = shop(
        Known("one", features={"x": "yes"}, kits=("A",)),
        Known("two", features={"x": "no"}, kits=("B",)),
        kinds=(choice("x", "yes|no", 0.1, minutes=2.0),),
        costs=Costs(wrong_kit=30.0, minute=0.5, bench=1000.0),
    )
    answer = told(weigher=Weigher(reference, assumptions=ASSUMED))
    assert answer.advice.ask_feature == "x"
    assert answer.advice.expected_cost == pytest.approx(2.0 * 0.5 + 0.1 * 30.0)
