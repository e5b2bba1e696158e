"""Reasons in plain words, and any evidence whatever: an answer or a clear error, never a crash."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shop import Known, closed_world, mark, shop
from worked_shop import worked_shop

from floatbowl.identify.answer import Answer, as_result
from floatbowl.identify.consult import consult
from floatbowl.identify.numbers import LONGEST_READING, ReadingError
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import CameOn, CarburettorPart, Machine, Part, Setting
from floatbowl.reference.observed import Enquiry, Look, Reading

WEIGHER = Weigher(worked_shop())
KEYS = ("k118", "k113", "n118", "ring206", "bar207", "s114r", "s114f", "lowfold", "eastacre")


def told(*items: Look | Reading, **more: object) -> Answer:
    looks = tuple(item for item in items if isinstance(item, Look))
    readings = tuple(item for item in items if isinstance(item, Reading))
    return consult(WEIGHER, Enquiry(looks=looks, readings=readings, **more))  # type: ignore[arg-type]


FULL = (
    Reading("K3?/118", part="tag", via="heard"),
    Look("magnet body", "sticks"),
    Look("inlet side", "right"),
    Look("bolt spacing", 60.5, tool="rule"),
)


def test_reasons_name_what_was_said_and_what_is_recorded() -> None:
    says = [reason.says for reason in told(*FULL, machine="lowfold").reasons]
    assert any("The number on the tag was heard as K3?/118" in line and "bears K36/118" in line for line in says)
    assert any(line.startswith("Magnet body: sticks; on Tarnsyke") and "it is sticks" in line for line in says)
    assert any(line.startswith("Bolt spacing: 60.5 mm") and "it is 60.3 mm" in line for line in says)
    assert any("Drumlow Lowfold came with" in line for line in says)


def test_reasons_are_plain_words_without_keys() -> None:
    answer = told(*FULL, machine="lowfold", serial="20417")
    lines = [r.says for r in answer.reasons] + list(answer.warnings) + list(answer.contradictions)
    lines += [answer.advice.why, *(look.why + look.question for look in answer.next)]
    assert not [line for line in lines if any(key in line.split() for key in KEYS)]
    assert not [line for line in lines if "_" in line or "None" in line or "nan" in line.split()]


def test_reasons_come_strongest_first_and_keep_their_sign() -> None:
    answer = told(*FULL, machine="lowfold")
    weights = [abs(reason.decibans) for reason in answer.reasons]
    assert weights == sorted(weights, reverse=True)
    by_start = {reason.says.split(":")[0]: reason.decibans for reason in answer.reasons}
    assert by_start["Magnet body"] > 0 > by_start["Inlet side"]
    assert {reason.for_ for reason in answer.reasons} == {answer.carburettors[0].key}


def test_a_feature_without_a_record_is_said_to_be_unrecorded() -> None:
    answer = told(Reading("N36/118", part="tag", via="bench"), Look("bolt spacing", 30.0))
    lines = [reason.says for reason in answer.reasons if reason.says.startswith("Bolt spacing")]
    assert all("nothing is recorded" in line for line in lines)


def test_a_machine_that_is_not_in_the_records_is_said_to_say_nothing() -> None:
    assert any("not in our records" in warning for warning in told(machine_text="a home-made one").warnings)
    assert not told(machine="lowfold").warnings


def test_differences_name_parts_and_settings_that_differ_and_no_others() -> None:
    reference = shop(
        Known("one", marks=(mark("6.114.2"),)),
        Known("two", marks=(mark("6.114.2"),)),
        parts=(Part(part="p", kind="float", name="Brass float"), Part(part="q", kind="float", name="Cork float")),
        carburettor_parts=(
            CarburettorPart(carburettor="one", part="p"),
            CarburettorPart(carburettor="two", part="q"),
            CarburettorPart(carburettor="one", part="p", position="spare"),
            CarburettorPart(carburettor="two", part="p", position="spare"),
        ),
        settings=(Setting(carburettor="one", quantity="float level", value="12", unit="mm", datum="gasket off"),),
    )
    answer = consult(Weigher(reference), Enquiry(readings=(Reading("6.114.2"),)))
    found = {difference.what: dict(difference.values) for difference in answer.differences}
    assert found == {
        "float": {"Brass float": ("one",), "Cork float": ("two",)},
        "float level": {"12 mm gasket off": ("one",), "not recorded": ("two",)},
    }


def assert_whole(answer: Answer) -> None:
    """Chances are chances, sum to one within what is cut off, and the result line is plain JSON."""
    chances = [c.probability for c in answer.carburettors] + [answer.not_listed, answer.mixed]
    assert all(0.0 <= p <= 1.0 + 1e-9 for p in chances)
    assert sum(chances) == pytest.approx(1.0, abs=0.01)
    assert all(0.0 <= c.probability <= 1.0 + 1e-9 for c in answer.kits)
    assert math.isfinite(answer.advice.expected_cost)
    assert answer.advice.action in ("send", "ask", "bench")
    if answer.advice.action == "send":
        assert len(answer.advice.kinds) >= 2
    json.dumps(as_result(answer), allow_nan=False)


ODD = (
    "", " ", "?", "???", "?" * 60, "*", "***", "[", "]", "[]", "[[83]]", "{", "{}", "{RING", "\\", "\\\\", "\u0000",
    "🔧", "🔧🔧K36", "שלום K36", "٣٦", "Κ36", "К36/118", "ﷺ", "é" * 10, "K\u03361", "\ud800", "-/.", "8" * 60,
    "K36/118\nRING",
)  # fmt: skip


@pytest.mark.parametrize("text", ODD)
@pytest.mark.parametrize("via", ["seen", "heard"])
def test_odd_readings_get_an_answer(text: str, via: str) -> None:
    assert_whole(told(Reading(text, via=via), machine="lowfold"))


@pytest.mark.parametrize("text", ["8" * 500, "?" * 500, "🔧" * 500, "[83]" * 500, "{RING}" * 500])
def test_five_hundred_characters_are_refused_in_words(text: str) -> None:
    with pytest.raises(ReadingError, match="too many for a number"):
        told(Reading(text))


def test_only_unreadable_places_leave_the_order_to_the_prior() -> None:
    """They tell how long the number is, and little else."""
    answer = told(Reading("???", part="tag"))
    assert answer.advice.action != "send"


odd_text = st.one_of(st.text(max_size=70), st.sampled_from(ODD), st.sampled_from(["K36/118", "206-D-3", "6.114.2"]))
odd_cells = st.lists(
    st.dictionaries(st.one_of(st.just(""), st.characters(), st.just("{RING}")), st.floats(0.0, 0.25), max_size=4).map(
        lambda cell: tuple(cell.items())
    ),
    max_size=6,
).map(tuple)
odd_readings = st.builds(
    Reading,
    text=odd_text,
    cells=odd_cells,
    part=st.one_of(odd_text, st.sampled_from(["tag", "bowl", "book"])),
    form=st.sampled_from(["", "stamped", "cast", "printed", "loose", "🔧"]),
    via=st.sampled_from(["seen", "heard", "photo", "bench", "dreamt"]),
    group=st.sampled_from(["", "a", "🔧"]),
)
odd_values = st.one_of(
    st.sampled_from(["sticks", "left", "raised", "yes", "unsure", "cannot see", "loose on a wire", "", "🔧"]),
    st.text(max_size=10),
    st.floats(-1e6, 1e6),
)
odd_looks = st.builds(
    Look,
    feature=st.one_of(
        st.sampled_from(["magnet body", "inlet side", "bolt spacing", "bore", "tag fixing", "vent"]),
        st.text(max_size=5),
    ),
    value=odd_values,
    tool=st.sampled_from(["", "rule", "inch rule", "🔧"]),
    spread=st.one_of(st.none(), st.floats(0.0, 100.0)),
    via=st.sampled_from(["seen", "heard", "photo", "bench", "dreamt"]),
    coached=st.booleans(),
    group=st.sampled_from(["", "a"]),
    part=st.sampled_from(["", "lid", "🔧", "machine"]),
)


@settings(max_examples=120, deadline=None)
@given(
    st.builds(
        Enquiry,
        machine=st.one_of(st.sampled_from(["", "lowfold", "eastacre"]), st.text(max_size=10)),
        machine_text=st.text(max_size=20),
        serial=st.one_of(st.text(max_size=12), st.sampled_from(["20417", "9" * 400])),
        year=st.one_of(st.none(), st.integers(0, 9999)),
        readings=st.lists(odd_readings, max_size=3).map(tuple),
        looks=st.lists(odd_looks, max_size=4).map(tuple),
        bought=st.lists(st.sampled_from(["T-12", "", "🔧"]), max_size=2).map(tuple),
        want_level=st.sampled_from(["", "full", "gaskets", "🔧"]),
        want_fuel=st.sampled_from(["", "petrol", "🔧"]),
    )
)
def test_any_evidence_gets_an_answer_or_a_clear_refusal(enquiry: Enquiry) -> None:
    try:
        assert_whole(consult(WEIGHER, enquiry))
    except ReadingError:
        # What a refusal says is tested above.
        assert any(len(reading.text) > LONGEST_READING for reading in enquiry.readings)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "nan", "inf", 1e308])
def test_a_measure_that_is_no_number_says_nothing(value: float | str) -> None:
    answer = told(Look("bolt spacing", value), machine="lowfold")
    assert_whole(answer)


def test_a_shop_of_one_and_an_empty_one_answer_too() -> None:
    for reference in (
        shop(),
        shop(Known("only")),
        shop(
            Known("only", marks=(mark("K36/118"),), kits=("T",)), machines=(Machine(machine="m", make="A", model="B"),)
        ),
    ):
        weigher = Weigher(reference)
        for enquiry in (Enquiry(), Enquiry(readings=(Reading("K36/118"),), machine="m", looks=(Look("x", "y"),))):
            assert_whole(consult(weigher, enquiry))


def test_a_machines_weight_is_what_it_does_to_the_odds() -> None:
    """Ten times the logarithm of the odds with the machine over the odds without, as for any other evidence."""
    reference = shop(
        Known("one", kits=("A",)),
        Known("two", share=3.0, kits=("B",)),
        machines=(Machine(machine="m", make="Drumlow", model="Lowfold"),),
        came_on=(CameOn(machine="m", carburettor="one"),),
    )
    weigher = Weigher(reference, assumptions=closed_world(swapped=0.2))
    answer = consult(weigher, Enquiry(machine="m"))
    (reason,) = answer.reasons
    with_machine = 0.8 + 0.2 * 0.25
    assert reason.for_ == "one"
    assert reason.decibans == pytest.approx(10 * math.log10(with_machine / (1 - with_machine) / (0.25 / 0.75)))
