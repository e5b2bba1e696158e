"""What must be there before a job goes on; held against the guards of the trade."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.bench.guards import JobRecord, is_asked, still_missing, why_not
from floatbowl.bench.steps import TICKED, Entry, entry_named, step_named, steps

PASSED_ALL = {f"wet-bench.{test}": "passed" for test in ("level tube", "no drip", "passages", "plate")}


def _filled(step: str) -> JobRecord:
    """A job at this step with everything there that the steps so far ask for."""
    entries: dict[str, str] = {}
    photographs = {}
    for entry in (entry for one in steps() for entry in one.entries):
        if entry.kind == "photographs":
            photographs[entry.name] = entry.at_least
        elif entry.kind == "choice":
            entries[entry.name] = next(choice for choice in entry.choices if choice not in entry.refuse)
        else:
            entries[entry.name] = TICKED if entry.kind == "tick" else "1"
    return JobRecord(step=step, entries=entries, photographs=photographs, wrote={"write-down.record": "Tobiah Renn"})


@pytest.mark.parametrize("place", range(len(steps()) - 1))
def test_with_everything_there_it_goes_on(place: int) -> None:
    here, there = steps()[place], steps()[place + 1]
    assert why_not(_filled(here.key), there.key) == ()


def test_no_wash_before_turns_and_photographs() -> None:
    strip = _filled("strip-sheet")
    for gone in ("strip-sheet.idle needle", "strip-sheet.main needle"):
        held = {name: value for name, value in strip.entries.items() if name != gone}
        assert any("turns" in reason for reason in why_not(replace(strip, entries=held), "wash"))
    assert any("photographed" in reason for reason in why_not(replace(strip, photographs={}), "wash"))


def test_not_fitted_is_an_answer_to_turns() -> None:
    strip = _filled("strip-sheet")
    held = {**strip.entries, "strip-sheet.main needle": "not fitted"}
    assert why_not(replace(strip, entries=held), "wash") == ()


@pytest.mark.parametrize("test", sorted(PASSED_ALL))
def test_nothing_is_sent_before_the_wet_tests_are_passed_or_refused(test: str) -> None:
    ready = _filled("on-the-engine")
    for bad in ("", "failed"):
        assert why_not(replace(ready, entries={**ready.entries, test: bad}), "close-and-send")
    refused = {**ready.entries, test: "refused in writing"}
    assert why_not(replace(ready, entries=refused), "close-and-send") == ()


def test_refusing_a_test_wants_its_words() -> None:
    wet = _filled("wet-bench")
    entries = {**wet.entries, "wet-bench.plate": "refused in writing", "wet-bench.refused": ""}
    assert any("refused" in reason for reason in why_not(replace(wet, entries=entries), "on-the-engine"))


def test_a_failed_test_goes_back_to_measure() -> None:
    wet = _filled("wet-bench")
    failed = replace(wet, entries={**wet.entries, "wet-bench.no drip": "failed"})
    assert any("Measure" in reason for reason in why_not(failed, "on-the-engine"))
    assert why_not(failed, "measure", "drips at the seat") == ()


def test_going_back_wants_a_reason_and_nothing_else() -> None:
    empty = JobRecord(step="wet-bench")
    assert why_not(empty, "measure") == ("write why it goes back",)
    assert why_not(empty, "measure", "level crept up") == ()


def test_no_step_is_left_out() -> None:
    assert "Strip sheet" in why_not(_filled("booked-in"), "wash")[0]


def test_on_hold_it_stays() -> None:
    held = replace(_filled("wash"), on_hold="Priya must order a seat")
    for to in ("measure", "strip-sheet"):
        assert "on hold" in why_not(held, to, "any reason")[0]


def test_measuring_deciding_and_parts_hold_it_back() -> None:
    assert why_not(replace(_filled("measure"), unmeasured=("Shaft play",)), "verdict")
    assert why_not(replace(_filled("verdict"), undecided=("Throttle shaft",)), "parts-wanted")
    assert why_not(replace(_filled("parts-wanted"), unready=("Needle",)), "build")
    assert why_not(replace(_filled("parts-wanted"), unchecked=("Bowl",)), "build")


def test_an_empty_list_of_parts_wants_its_reason() -> None:
    empty = replace(_filled("parts-wanted"), nothing_listed=True)
    assert why_not(empty, "build") == ()
    silent = replace(empty, entries={**empty.entries, "parts-wanted.nothing wanted": ""})
    assert "list" in why_not(silent, "build")[0]


def test_over_the_agreed_sum_wants_consent() -> None:
    verdict = _filled("verdict")
    entries = {**verdict.entries, "verdict.over agreed sum": "over it", "verdict.consent": " "}
    assert any("consent" in reason for reason in why_not(replace(verdict, entries=entries), "parts-wanted"))


def test_a_record_is_changed_with_a_second_persons_yes() -> None:
    last = _filled("write-down")
    entries = {
        **last.entries,
        "write-down.changes": "a record should change",
        "write-down.second person": "tobiah renn",
    }
    assert still_missing(step_named("write-down"), replace(last, entries=entries)), "the same person is no second one"
    entries["write-down.second person"] = "Ines Marchbank"
    assert still_missing(step_named("write-down"), replace(last, entries=entries)) == ()


def test_a_light_on_one_side_is_not_built() -> None:
    build = _filled("build")
    entries = {**build.entries, "build.light check": "light on one side"}
    assert any("centre" in reason for reason in why_not(replace(build, entries=entries), "wet-bench"))


@given(st.sampled_from([entry for step in steps() for entry in step.entries if entry.needed]))
def test_every_needed_entry_that_is_asked_holds_the_step(entry: Entry) -> None:
    whole = _filled(entry.step)
    entries = {name: value for name, value in whole.entries.items() if name != entry.name}
    photographs = {name: count for name, count in whole.photographs.items() if name != entry.name}
    without = replace(whole, entries=entries, photographs=photographs)
    assert bool(still_missing(step_named(entry.step), without)) == is_asked(entry, entries)


def test_what_depends_on_another_entry_is_asked_only_then() -> None:
    consent = entry_named("verdict.consent")
    assert not is_asked(consent, {"verdict.over agreed sum": "within the agreed sum"})
    assert is_asked(consent, {"verdict.over agreed sum": "over it"})
