"""Whether a job may go on: what is still missing at a step, and where it may go from there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from floatbowl.bench.steps import TICKED, Entry, Step, place_of, step_named, steps

PASSED: Final = "passed"
REFUSED_IN_WRITING: Final = "refused in writing"
#: The choices with which a wet test lets the unit go on.
LETS_GO: Final = (PASSED, REFUSED_IN_WRITING)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRecord:
    """What a job holds now: entries by name, photographs counted by entry, and what the sheet and the parts list say.

    ``unmeasured`` names rows of the measuring sheet without a reading or a written reason; ``undecided`` parts whose
    verdict nobody has taken; ``unready`` parts wanted that are not here; ``unchecked`` joints whose gasket holes nobody
    has held against the castings; ``nothing_listed`` that no part was put on the list;
    ``not_right`` rows measured after the work that are still outside their limits.
    """

    step: str
    entries: Mapping[str, str] = field(default_factory=dict)
    photographs: Mapping[str, int] = field(default_factory=dict)
    wrote: Mapping[str, str] = field(default_factory=dict)
    unmeasured: Sequence[str] = ()
    undecided: Sequence[str] = ()
    unready: Sequence[str] = ()
    unchecked: Sequence[str] = ()
    nothing_listed: bool = False
    not_right: Sequence[str] = ()
    on_hold: str = ""


def is_asked(entry: Entry, entries: Mapping[str, str]) -> bool:
    """Whether an entry is asked for, given what the others hold."""
    return not entry.when or any(entries.get(when.entry) in when.values for when in entry.when)


def still_missing(step: Step, record: JobRecord) -> tuple[str, ...]:
    """What must still be there before the job may leave this step, in plain words; empty when nothing is."""
    asked = (entry for entry in step.entries if is_asked(entry, record.entries))
    missing = [said for entry in asked if (said := _lacks(entry, record))]
    return (*missing, *_of_the_step(step, record))


def _lacks(entry: Entry, record: JobRecord) -> str:
    held = record.entries.get(entry.name, "")
    if entry.kind == "photographs":
        return entry.missing if record.photographs.get(entry.name, 0) < entry.at_least else ""
    if held in entry.refuse and held:
        return entry.refusal
    if not entry.needed:
        return ""
    if entry.kind == "tick":
        return "" if held == TICKED else entry.missing
    if entry.kind == "person":
        return _second_person(entry, held, record)
    return "" if held.strip() and len(held.strip()) >= entry.least else entry.missing


def _second_person(entry: Entry, held: str, record: JobRecord) -> str:
    proposer = record.wrote.get("write-down.record", "")
    same = held.strip().casefold() == proposer.strip().casefold()
    return entry.missing if not held.strip() or same else ""


def _of_the_step(step: Step, record: JobRecord) -> tuple[str, ...]:
    """Guards that no single entry tells."""
    if step.key == "measure":
        return tuple(f"measure it or write why not: {row}" for row in record.unmeasured)
    if step.key == "verdict":
        return tuple(f"decide: {part}" for part in record.undecided)
    if step.key == "build":
        unread = tuple(f"measure it or write why not: {row}" for row in record.unmeasured)
        return (*unread, *(f"not as it must be: {row}" for row in record.not_right))
    if step.key == "parts-wanted":
        if record.nothing_listed and not record.entries.get("parts-wanted.nothing wanted", "").strip():
            return ("put what is wanted on the list, or write why nothing is",)
        waiting = tuple(f"not here yet: {part}" for part in record.unready)
        return (*waiting, *(f"hold the gasket's holes against the castings: {joint}" for joint in record.unchecked))
    if step.key == "wet-bench":
        failed = [entry for entry in step.entries if record.entries.get(entry.name) == "failed"]
        back = tuple(f"a test failed, so it goes back to Measure: {entry.says}" for entry in failed)
        return (*back, *(f"not as it must be: {row}" for row in record.not_right))
    return ()


def why_not(record: JobRecord, to: str, reason: str = "") -> tuple[str, ...]:
    """Why the job may not go from its step to ``to``; empty when it may. Raises KeyError for an unknown step.

    Onward one step at a time, each with its guard. Back to any earlier step with a written reason. A job on hold stays.
    """
    if record.on_hold:
        return (f"it is on hold: {record.on_hold}. Take it off hold first",)
    here, there = place_of(record.step), place_of(to)
    if there == here:
        return (f"it is at {step_named(to).title} already",)
    if there < here:
        return () if reason.strip() else ("write why it goes back",)
    if there > here + 1:
        return (f"after {step_named(record.step).title} comes {steps()[here + 1].title}",)
    return still_missing(step_named(record.step), record) + _before_sending(record, to)


def _before_sending(record: JobRecord, to: str) -> tuple[str, ...]:
    """Nothing is sent before every wet test is passed or refused in writing, whatever happened since."""
    if to not in ("close-and-send", "afterwards"):
        return ()
    tests = [entry for entry in step_named("wet-bench").entries if PASSED in entry.choices]
    return tuple(
        f"not passed and not refused in writing on the wet bench: {entry.says}"
        for entry in tests
        if record.entries.get(entry.name) not in LETS_GO
    )
