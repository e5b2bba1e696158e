"""The posterior equals plain Bayes arithmetic written independently, and a Bayesian network library on a small net."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from plain_bayes import PlainBayes
from small_shop import closed_world, other_assumptions
from worked_shop import CAME_ON, KINDS, worked_shop

from floatbowl.identify import features as stated_for_features
from floatbowl.identify.assumptions import Assumptions, shipped_assumptions
from floatbowl.identify.wear import shipped_error_model
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.observed import Enquiry, Look, Reading

ASSUMED = {"shipped": shipped_assumptions(), "others": other_assumptions()}
CLOSE = {"rel": 1e-8, "abs": 1e-12}


@pytest.fixture(scope="module", params=sorted(ASSUMED))
def assumed(request: pytest.FixtureRequest) -> Assumptions:
    return ASSUMED[request.param]


@pytest.fixture(scope="module")
def weigher(assumed: Assumptions) -> Weigher:
    return Weigher(worked_shop(), assumptions=assumed)


@pytest.fixture(scope="module")
def plain(assumed: Assumptions) -> PlainBayes:
    return PlainBayes(worked_shop(), shipped_error_model(), assumed)


def assert_same(standing: Standing, plain: PlainBayes, enquiry: Enquiry) -> None:
    expected = plain.weigh(enquiry)
    assert list(standing.prior) == pytest.approx([expected.prior[h] for h in plain.hypotheses], **CLOSE)
    assert list(standing.posterior) == pytest.approx([expected.posterior[h] for h in plain.hypotheses], **CLOSE)
    assert standing.mixed == pytest.approx(expected.mixed, **CLOSE)
    kits = {k.kit: 0.0 for k in plain.reference.kits}
    for fit in plain.reference.kit_fits:
        kits[fit.kit] += expected.posterior[fit.carburettor]
    assert {c.key: c.probability for c in standing.kits()} == pytest.approx(kits, **CLOSE)


WORKED = {
    "nothing": Enquiry(),
    "machine": Enquiry(machine="lowfold"),
    "machine, serial": Enquiry(machine="lowfold", serial="29 800".replace(" ", "")),
    "machine, year": Enquiry(machine="lowfold", year=1950),
    "machine of no records": Enquiry(machine="wellhead"),
    "machine, bought": Enquiry(machine="eastacre", year=1951, bought=("T-12",)),
    "tag": Enquiry(readings=(Reading("K3?/11[83]", part="tag", form="stamped"),)),
    "heard": Enquiry(readings=(Reading("N36/118", via="heard"),)),
    "book": Enquiry(readings=(Reading("D40771", part="book"),)),
    "decoy": Enquiry(machine="lowfold", readings=(Reading("2063", part="bowl", form="cast"),)),
    "check letter": Enquiry(readings=(Reading("208-F-3", part="throttle body"),)),
    "device": Enquiry(readings=(Reading("RING 206-D-3"),)),
    "upside down": Enquiry(readings=(Reading("9H6O"), Reading("61"))),
    "cells": Enquiry(
        readings=(Reading(cells=((("6", 0.8), ("8", 0.1)), (("1", 0.9),), (("1", 0.6), ("", 0.4)), (("4", 1.0),))),)
    ),
    "two readings of one casting": Enquiry(
        readings=(Reading("K36/11?", part="tag"), Reading("K36/113", part="tag", via="photo"))
    ),
    "two readings of one photograph": Enquiry(
        readings=(Reading("K36/11?", part="tag", group="p"), Reading("K36/113", part="tag", group="p"))
    ),
    "usual wrong answer": Enquiry(looks=(Look("inlet side", "front"), Look("bar on bowl", "none", coached=True))),
    "bench": Enquiry(looks=(Look("inlet side", "right", via="bench"), Look("drain plug", "steel", via="bench"))),
    "one photograph": Enquiry(
        looks=(
            Look("inlet side", "right", group="p"),
            Look("inlet side", "left", group="p"),
            Look("magnet body", "sticks", group="p"),
        )
    ),
    "measures": Enquiry(
        looks=(
            Look("bolt spacing", 61.0, tool="rule"),
            Look("bore", 1.13, tool="rule"),
            Look("bore", 1.24, tool="inch rule", coached=True),
            Look("bolt spacing", 54.2),
            Look("bore", 1.2),
            Look("bore", 1.3, spread=0.05),
        )
    ),
    "moved tag": Enquiry(
        readings=(Reading("K36/118", part="tag"),),
        looks=(Look("tag fixing", "loose on a wire"), Look("magnet body", "falls off")),
    ),
    "built from two": Enquiry(
        machine="lowfold",
        readings=(
            Reading("206-D-3", part="throttle body"),
            Reading("207", part="lid"),
            Reading("6.114.2", part="bowl"),
        ),
        looks=(Look("bar on bowl", "raised"),),
    ),
    "everything": Enquiry(
        machine="lowfold",
        serial="31000",
        year=1948,
        readings=(Reading("K3*8", part="tag"), Reading("K36", via="heard", group="c")),
        looks=(
            Look("magnet body", "sticks", group="c"),
            Look("vent", "unsure"),
            Look("bolt spacing", 60.5, tool="rule", part="lid"),
            Look("no such look", "yes"),
        ),
        bought=("T-13", "T-12"),
    ),
}


@pytest.mark.parametrize("case", sorted(WORKED))
def test_worked_enquiries_equal_plain_arithmetic(case: str, weigher: Weigher, plain: PlainBayes) -> None:
    assert_same(weigher.weigh(WORKED[case]), plain, WORKED[case])


readings = st.builds(
    Reading,
    text=st.sampled_from(
        ["K36/118", "K3?118", "206-D-3", "RING 206", "6.114.2", "2063", "8?", "[83]1*", "68-9", "D40"]
    ),
    part=st.sampled_from(["", "tag", "bowl", "throttle body", "lid", "book", "somewhere"]),
    form=st.sampled_from(["", "stamped", "cast", "printed"]),
    via=st.sampled_from(["seen", "heard", "photo", "bench"]),
    group=st.sampled_from(["", "", "a"]),
)
choices = {kind.feature: kind.choice_list for kind in KINDS if kind.kind == "choice"}
choice_looks = st.sampled_from(sorted(choices)).flatmap(
    lambda feature: st.builds(
        Look,
        feature=st.just(feature),
        value=st.sampled_from([*choices[feature], "unsure", "cannot see"]),
        via=st.sampled_from(["seen", "heard", "photo", "bench"]),
        coached=st.booleans(),
        group=st.sampled_from(["", "", "a", "b"]),
        part=st.sampled_from(["", "", "lid"]),
    )
)
measures = st.builds(
    Look,
    feature=st.sampled_from(["bolt spacing", "bore"]),
    value=st.floats(0.5, 70.0),
    tool=st.sampled_from(["", "rule", "inch rule", "unknown tool"]),
    coached=st.booleans(),
    group=st.sampled_from(["", "a"]),
)
enquiries = st.builds(
    Enquiry,
    machine=st.sampled_from(["", "lowfold", "eastacre", "wellhead"]),
    serial=st.sampled_from(["", "100", "29500", "30400", "90000"]),
    year=st.sampled_from([None, 1940, 1949, 1952, 1960]),
    readings=st.lists(readings, max_size=3).map(tuple),
    looks=st.lists(st.one_of(choice_looks, measures), max_size=5).map(tuple),
    bought=st.sampled_from([(), ("T-12",), ("S-14R", "B-3"), ("nothing",)]),
)
#: Failing examples are not made smaller: each costs seconds of plain Python.
QUICK = settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


@QUICK
@given(enquiry=enquiries)
def test_any_enquiry_equals_plain_arithmetic(enquiry: Enquiry, weigher: Weigher, plain: PlainBayes) -> None:
    assert_same(weigher.weigh(enquiry), plain, enquiry)


@settings(QUICK, max_examples=60)
@given(enquiry=enquiries)
def test_chances_sum_to_one(enquiry: Enquiry, weigher: Weigher) -> None:
    standing = weigher.weigh(enquiry)
    assert float(standing.posterior.sum()) + standing.mixed == pytest.approx(1.0, abs=1e-9)
    assert float(standing.recorded.sum()) + standing.not_listed + standing.mixed == pytest.approx(1.0, abs=1e-9)
    assert (standing.posterior >= 0).all()
    assert standing.no_kit <= float(standing.recorded.sum()) + 1e-12


@settings(QUICK, max_examples=40)
@given(enquiry=enquiries, order=st.randoms(use_true_random=False))
def test_the_order_of_the_evidence_does_not_matter(enquiry: Enquiry, order: object, weigher: Weigher) -> None:
    shuffled_readings, shuffled_looks = list(enquiry.readings), list(enquiry.looks)
    order.shuffle(shuffled_readings)  # type: ignore[attr-defined]
    order.shuffle(shuffled_looks)  # type: ignore[attr-defined]
    other = replace(enquiry, readings=tuple(shuffled_readings), looks=tuple(shuffled_looks))
    one, two = weigher.weigh(enquiry), weigher.weigh(other)
    assert list(one.posterior) == pytest.approx(list(two.posterior), rel=1e-9, abs=1e-12)
    assert one.mixed == pytest.approx(two.mixed, rel=1e-9, abs=1e-12)


@settings(QUICK, max_examples=40)
@given(enquiry=enquiries, feature=st.sampled_from(sorted(choices)), value=st.sampled_from(["unsure", "cannot see"]))
def test_unsure_and_cannot_see_change_nothing(enquiry: Enquiry, feature: str, value: str, weigher: Weigher) -> None:
    more = replace(enquiry, looks=(*enquiry.looks, Look(feature, value)))
    assert list(weigher.weigh(more).posterior) == list(weigher.weigh(enquiry).posterior)


def test_renaming_keys_and_reordering_rows_only_permutes_the_answer(weigher: Weigher, assumed: Assumptions) -> None:
    reference = worked_shop()
    new = {c.carburettor: f"x{9 - at}" for at, c in enumerate(reference.carburettors)}

    def renamed(rows: tuple[object, ...]) -> tuple[object, ...]:
        return tuple(replace(row, carburettor=new[row.carburettor]) for row in reversed(rows))  # type: ignore[attr-defined,type-var]

    other = replace(
        reference,
        carburettors=renamed(reference.carburettors),
        marks=renamed(reference.marks),
        came_on=renamed(reference.came_on),
        kit_fits=renamed(reference.kit_fits),
        # Which of two disagreeing sources comes first counts for the maker's frequencies, so that order is kept.
        features=tuple(replace(row, carburettor=new[row.carburettor]) for row in reference.features),
        makers=tuple(reversed(reference.makers)),
    )
    elsewhere = Weigher(other, assumptions=assumed)
    for enquiry in WORKED.values():
        mine = {new[c.key]: c.probability for c in weigher.weigh(enquiry).carburettors()}
        theirs = {c.key: c.probability for c in elsewhere.weigh(enquiry).carburettors()}
        assert theirs == pytest.approx(mine, rel=1e-9, abs=1e-12)


@settings(QUICK, max_examples=25)
@given(enquiry=enquiries, feature=st.sampled_from(["magnet body", "vent"]))
def test_an_answer_for_a_carburettor_never_speaks_against_it(enquiry: Enquiry, feature: str, weigher: Weigher) -> None:
    """Two-way looks whose answer is more often right than wrong: the one recorded cannot make it less likely than the
    other answer would."""
    enquiry = replace(enquiry, looks=tuple(look for look in enquiry.looks if look.feature != feature))
    at = {"magnet body": ("k118", "sticks", "falls off"), "vent": ("ring206", "yes", "no")}[feature]
    mine = weigher.catalogue.at[at[0]]
    right, wrong = (
        weigher.weigh(replace(enquiry, looks=(*enquiry.looks, Look(feature, value)))).posterior[mine]
        for value in at[1:]
    )
    assert right >= wrong - 1e-12


def test_evidence_that_only_one_carburettor_explains_leads_to_it(weigher: Weigher) -> None:
    before = weigher.weigh(Enquiry(machine="lowfold"))
    after = weigher.weigh(Enquiry(machine="lowfold", readings=(Reading("N36/118", part="tag", via="bench"),)))
    mine = weigher.catalogue.at["n118"]
    assert int(np.argmax(before.posterior)) != mine
    assert int(np.argmax(after.posterior)) == mine
    assert after.posterior[mine] > 5 * before.posterior[mine]


def test_a_network_library_gives_the_same_answer() -> None:
    """pyAgrum's exact inference on: swapped? -> carburettor -> true choice -> answer, one answer a look."""
    gum = pytest.importorskip("pyagrum")
    assumptions = closed_world(swapped=0.19, usual_wrong_share=0.73, unlisted=0.05, unlisted_maker=0.23)
    weigher = Weigher(worked_shop(), assumptions=assumptions)
    plain = PlainBayes(worked_shop(), shipped_error_model(), assumptions)
    enquiry = Enquiry(
        machine="eastacre",
        looks=(Look("inlet side", "front"), Look("bar on bowl", "raised", coached=True), Look("vent", "no")),
    )
    net = gum.BayesNet("enquiry")
    names = [str(h) for h in plain.hypotheses]
    for name, values in (("listed", ["yes", "no"]), ("swapped", ["no", "yes"]), ("carburettor", names)):
        net.add(gum.LabelizedVariable(name, name, values))
    net.addArc("listed", "carburettor")
    net.addArc("swapped", "carburettor")
    net.cpt("listed").fillWith([1 - assumptions.unlisted, assumptions.unlisted])
    net.cpt("swapped").fillWith([1 - assumptions.swapped, assumptions.swapped])
    came = {row.carburettor: row.share or 1.0 for row in CAME_ON if row.machine == "eastacre"}
    for listed, swapped in itertools.product(("yes", "no"), ("yes", "no")):
        by_key = plain.share if swapped == "yes" else {k: came.get(k, 0.0) / sum(came.values()) for k in plain.keys}
        net.cpt("carburettor")[{"listed": listed, "swapped": swapped}] = [
            _chance(plain, h, by_key, listed == "yes", assumptions) for h in plain.hypotheses
        ]
    kinds = {kind.feature: kind for kind in KINDS}
    for look in enquiry.looks:
        _add_look(gum, net, plain, kinds[look.feature], look)
    inference = gum.LazyPropagation(net)
    inference.setEvidence({f"answer {look.feature}": str(look.value) for look in enquiry.looks})
    inference.makeInference()
    expected = inference.posterior("carburettor").toarray()
    assert list(weigher.weigh(enquiry).posterior) == pytest.approx(list(expected), rel=1e-9)


def _chance(plain: PlainBayes, h: object, by_key: dict[str, float], listed: bool, assumptions: Assumptions) -> float:
    if isinstance(h, str):
        return by_key[h] if listed else 0.0
    if listed:
        return 0.0
    kind, whose = h  # type: ignore[misc]
    if kind == "like":
        return assumptions.unlisted_sibling * by_key[whose]
    own = sum(p for key, p in by_key.items() if plain.maker(key) == whose)
    known_maker = 1 - assumptions.unlisted_maker
    return (1 - assumptions.unlisted_sibling) * (known_maker * own if whose else assumptions.unlisted_maker)


def _add_look(gum: object, net: object, plain: PlainBayes, kind: object, look: Look) -> None:
    """True choice given the carburettor, and answer given the true choice."""
    choice_names = plain.choices(kind)
    true, answer = f"true {kind.feature}", f"answer {kind.feature}"
    for name in (true, answer):
        net.add(gum.LabelizedVariable(name, name, choice_names))
    net.addArc("carburettor", true)
    net.addArc(true, answer)
    recorded = plain._recorded(kind.feature)
    differs = stated_for_features._SIBLING_DIFFERS
    for at, h in enumerate(plain.hypotheses):
        often = plain.frequencies(kind, plain.maker(h))
        values = recorded.get(plain._like(h))
        like = {c: values.count(c) / len(values) if values else often[c] for c in choice_names}
        mix = 0.0 if isinstance(h, str) else differs
        net.cpt(true)[{"carburettor": at}] = [(1 - mix) * like[c] + mix * often[c] for c in choice_names]
    wrong = plain.wrong(kind, look)
    for at, c in enumerate(choice_names):
        net.cpt(answer)[{true: at}] = [plain.said(kind, c, said, wrong) for said in choice_names]


def test_the_prior_and_the_kits_survive_shares_of_nothing() -> None:
    reference = worked_shop()
    nothing = replace(reference, carburettors=tuple(replace(c, share=0.0) for c in reference.carburettors))
    standing = Weigher(nothing).weigh(Enquiry())
    assert np.isfinite(standing.posterior).all()
    assert float(standing.posterior.sum()) == pytest.approx(1.0)
