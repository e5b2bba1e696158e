"""The steps of a job: in the trade's order, each with its cautions, asked only when they apply."""

from __future__ import annotations

import pytest

from floatbowl.bench.steps import Entry, When, after, entry_named, place_of, step_named, steps

# The steps of the bench and the order they are gone through: common practice of the trade.
ORDER = [
    "Booked in",
    "Strip sheet",
    "Wash",
    "Measure",
    "Verdict",
    "Parts wanted",
    "Build",
    "Wet bench",
    "On the engine",
    "Close and send",
    "Afterwards",
    "Write-down",
]
ENTRIES = [entry for step in steps() for entry in step.entries]


def test_they_stand_in_the_order_of_the_work() -> None:
    assert [step.title for step in steps()] == ORDER
    assert [place_of(step.key) for step in steps()] == list(range(len(ORDER)))
    assert after("wet-bench") == step_named("on-the-engine")
    assert after("write-down") is None


@pytest.mark.parametrize(
    "key", ["booked-in", "strip-sheet", "wash", "measure", "wet-bench", "on-the-engine", "close-and-send"]
)
def test_a_step_that_can_hurt_somebody_has_its_cautions_and_names_who_rules(key: str) -> None:
    cautions = step_named(key).cautions
    assert cautions
    assert all(caution.says and "decide" in caution.rule for caution in cautions)


@pytest.mark.parametrize(
    ("key", "word"),
    [
        ("booked-in", "drain"),
        ("booked-in", "asbestos"),
        ("booked-in", "restamp"),
        ("strip-sheet", "Springs"),
        ("strip-sheet", "Zinc"),
        ("wash", "gloves"),
        ("wash", "float"),
        ("wash", "lead"),
        ("wet-bench", "petrol"),
        ("on-the-engine", "Carbon monoxide"),
        ("on-the-engine", "governor"),
        ("close-and-send", "vapour"),
        ("afterwards", "tap off"),
    ],
)
def test_what_hurts_people_is_named(key: str, word: str) -> None:
    assert any(word in caution.says for caution in step_named(key).cautions)


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.name)
def test_every_entry_says_what_it_wants(entry: Entry) -> None:
    assert entry.says
    assert entry.missing or not entry.needed
    assert bool(entry.choices) == (entry.kind == "choice")
    assert (entry.kind != "number") or (entry.quantity and entry.high > entry.low)
    assert all(value in entry.choices for value in entry.refuse)
    for when in entry.when:
        asked = entry_named(when.entry)
        assert set(when.values) <= set(asked.choices), "it would never be asked"
        assert place_of(asked.step) <= place_of(entry.step)


def test_a_condition_may_name_several_entries() -> None:
    assert entry_named("wet-bench.refused").when[0] == When("wet-bench.level tube", ("refused in writing",))
    assert len(entry_named("wet-bench.refused").when) == 4


def test_an_unknown_step_is_an_error() -> None:
    with pytest.raises(KeyError):
        step_named("nowhere")
