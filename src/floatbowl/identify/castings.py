"""Evidence gathered item by item, and added up casting by casting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Final

import numpy as np

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.catalogue import Catalogue
from floatbowl.identify.features import (
    ChoiceColumn,
    Column,
    choice_likelihood,
    measure_likelihood,
    measure_spread,
    wrong_rate,
)
from floatbowl.identify.readings import reading_likelihood
from floatbowl.identify.wear import ErrorModel, Floats
from floatbowl.reference.observed import PLACE_BOOK, UNINFORMATIVE, Enquiry, Look, Reading

TAG: Final = "tag"
#: Evidence about no one casting.
WHOLE: Final = "whole"
#: Parts that are moved from one carburettor to another so often that they make no carburettor "built from two".
_NOT_A_CASTING: Final = frozenset({"", WHOLE, "context", "tractor", "machine", "joint", "shaft", PLACE_BOOK})
#: Words in an answer about the tag that say it can be moved.
_LOOSE_WORDS: Final = ("wire", "wired", "screw", "loose", "tied", "string", "hung")


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of evidence with its likelihood under every hypothesis."""

    source: Reading | Look
    casting: str
    kind: str
    values: Floats

    @property
    def group(self) -> str:
        return self.source.group


def gather(
    catalogue: Catalogue,
    features: Mapping[str, Column],
    tools: Mapping[str, tuple[float, str]],
    enquiry: Enquiry,
    model: ErrorModel,
    assumptions: Assumptions,
) -> list[Item]:
    """Every informative item of an enquiry, in its order. Unknown features and answers say nothing and are left out."""
    items = []
    for reading in enquiry.readings:
        found = reading_likelihood(catalogue, reading, model, assumptions)
        if found is not None:
            items.append(Item(reading, _casting(reading.part), "number", found.values))
    for look in enquiry.looks:
        column = features.get(look.feature)
        if column is not None:
            items += _look_item(column, look, tools, assumptions)
    return items


def _look_item(
    column: Column, look: Look, tools: Mapping[str, tuple[float, str]], assumptions: Assumptions
) -> list[Item]:
    if look.value in UNINFORMATIVE:
        return []
    wrong = wrong_rate(column.kind, look, assumptions)
    values: Floats | None
    if isinstance(column, ChoiceColumn):
        values = choice_likelihood(column, str(look.value), wrong, assumptions)
        kind = f"look at the {column.kind.part}" if column.kind.part else "look"
    else:
        try:
            measured = float(look.value)
        except ValueError:
            return []
        if not isfinite(measured):
            return []
        values = measure_likelihood(
            column, measured, measure_spread(column.kind, look, tools), _gross(column, look, assumptions), assumptions
        )
        kind = "measure"
    return [] if values is None else [Item(look, _casting(look.part or column.kind.part), kind, values)]


def _gross(column: Column, look: Look, assumptions: Assumptions) -> float:
    """How often a measure is grossly wrong: its own rate when recorded."""
    recorded = column.kind.wrong_coached if look.coached else column.kind.wrong_untold
    return assumptions.measure_wrong if recorded is None else wrong_rate(column.kind, look, assumptions)


def _casting(part: str) -> str:
    return WHOLE if part.strip().lower() in _NOT_A_CASTING else part.strip().lower()


def by_casting(items: list[Item], assumptions: Assumptions) -> dict[str, Floats]:
    """Log-likelihoods of all evidence about each casting.

    Items of one group are not independent: the same question answered twice counts once, readings of one casting in one
    group count once, and everything in a group may be off together.
    """
    found: dict[str, Floats] = {}
    for casting in dict.fromkeys(item.casting for item in items):
        own = [item for item in items if item.casting == casting]
        readings = [item for item in own if item.kind == "number"]
        logs = [_readings(readings, assumptions)] if readings else []
        logs += [_looks(looks, assumptions) for looks in _grouped([item for item in own if item.kind != "number"])]
        found[casting] = sum(logs[1:], logs[0])
    return found


def _grouped(items: list[Item]) -> list[list[Item]]:
    groups: dict[str, list[Item]] = {}
    for number, item in enumerate(items):
        groups.setdefault(item.group or f" {number}", []).append(item)
    return list(groups.values())


def _readings(items: list[Item], assumptions: Assumptions) -> Floats:
    """Readings of one casting share its wear: the first counts whole, further ones less, those of one group once."""
    logs = [_mean([_log(item.values) for item in group]) for group in _grouped(items)]
    if len(logs) == 1:
        return logs[0]
    worth = (1 + assumptions.repeat_worth * (len(logs) - 1)) / len(logs)
    return np.asarray(worth * np.sum(logs, axis=0))


def _looks(items: list[Item], assumptions: Assumptions) -> Floats:
    if len(items) == 1:
        return _log(items[0].values)
    subjects: dict[str, list[Floats]] = {}
    for item in items:
        subject = item.source.feature if isinstance(item.source, Look) else ""
        subjects.setdefault(subject, []).append(_log(item.values))
    together = np.sum([_mean(logs) for logs in subjects.values()], axis=0)
    # If the whole group is off, each answer is as likely as it is on any carburettor.
    off = float(sum(np.log(np.exp(np.mean(logs, axis=0)).mean()) for logs in subjects.values()))
    fault = assumptions.group_fault if len(subjects) > 1 else 0.0
    return np.asarray(np.logaddexp(np.log1p(-fault) + together, np.log(max(fault, 1e-300)) + off))


def _mean(logs: list[Floats]) -> Floats:
    return logs[0] if len(logs) == 1 else np.asarray(np.mean(logs, axis=0))


def tag_factor(logs: Floats, prior: Floats, enquiry: Enquiry, assumptions: Assumptions) -> Floats:
    """A tag may belong to another carburettor, the more so when it is wired on or held by a screw."""
    loose = any(
        word in str(look.value).lower().split() for look in enquiry.looks for word in _LOOSE_WORDS
        if "tag" in look.feature.lower()
    ) or any(r.part == TAG and "loose" in r.form for r in enquiry.readings)  # fmt: skip
    moved = assumptions.loose_tag_moved if loose else assumptions.tag_moved
    top = float(logs.max())
    anyone = top + float(np.log(np.exp(logs - top) @ prior))
    return np.asarray(np.logaddexp(np.log1p(-moved) + logs, np.log(moved) + anyone))


def _log(values: Floats) -> Floats:
    raised = np.maximum(values, 1e-280)
    return np.asarray(np.log(raised, out=raised))
