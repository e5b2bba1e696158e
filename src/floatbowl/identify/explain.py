"""Why, in plain words: what speaks for and against, what disagrees, and what the remaining ones differ in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

import numpy as np

from floatbowl.identify.answer import BUILT_FROM_TWO, Chance, Difference, Reason
from floatbowl.identify.castings import TAG, WHOLE, Item
from floatbowl.identify.features import ChoiceColumn, MeasureColumn
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Standing, likeliest
from floatbowl.reference.observed import PLACE_BOOK, Look, Reading

#: Weights smaller than this say nothing worth a line.
_LEAST_DECIBANS: Final = 0.5
#: A casting is said to name a carburettor when its own evidence makes it at least this likely.
_NAMES: Final = 0.5
#: How much worse (in decibans) a casting must fit the whole's carburettor than its own best one to be a contradiction.
_DISAGREES_DECIBANS: Final = 10.0
#: Carburettors that one casting's evidence tells apart by less than this are alike to it.
_ALIKE_DECIBANS: Final = 1.0
_DECIBANS_PER_NAT: Final = 10 / math.log(10)
#: Candidates rarer than this are left out when differences are told.
_WORTH_TELLING: Final = 0.02
_MOST_COMPARED: Final = 6
#: A casting's own candidates: so many at most, and none rarer than this.
_OF_A_CASTING: Final = 5
_OF_A_CASTING_LEAST: Final = 0.005


def reasons(standing: Standing) -> tuple[Reason, ...]:
    """Each piece of evidence with its weight for or against the likeliest carburettor, strongest first.

    The weight of evidence is ten times the logarithm of the likelihood against the other carburettors taken together
    (I. J. Good, *Probability and the Weighing of Evidence*, 1950, chapter 6: decibans).
    """
    if not standing.recorded.size:
        return ()
    top = int(np.argmax(standing.recorded))
    key = standing.weigher.catalogue.keys[top]
    others = standing.prior.copy()
    others[top] = 0.0
    others /= max(float(others.sum()), 1e-300)
    found = [Reason(_says(standing, item, top), key, _weight(item.values, top, others)) for item in standing.items]
    machine = _machine_reason(standing, top)
    if machine is not None:
        found.append(machine)
    worth = [reason for reason in found if abs(reason.decibans) >= _LEAST_DECIBANS]
    return tuple(sorted(worth, key=lambda reason: -abs(reason.decibans)))


def _weight(values: Floats, top: int, others: Floats) -> float:
    rest = float(values @ others)
    return 10 * float(np.log10(max(float(values[top]), 1e-280) / max(rest, 1e-280)))


def _says(standing: Standing, item: Item, top: int) -> str:
    if isinstance(item.source, Reading):
        return _reading_says(standing, item.source, top)
    return _look_says(standing, item.source, top)


def _reading_says(standing: Standing, reading: Reading, top: int) -> str:
    text = reading.text or "".join(max(cell, key=lambda pair: pair[1], default=("?", 0.0))[0] for cell in reading.cells)
    if reading.part == PLACE_BOOK:
        place = "The number in the book"
    else:
        place = f"The number on the {reading.part}" if reading.part else "The number given"
    verb = "was heard as" if reading.via == "heard" else "reads"
    marks = standing.weigher.marks_of(top)
    return f"{place} {verb} {text}; {standing.weigher.name(top)} bears {' and '.join(marks) or 'no recorded number'}"


def _look_says(standing: Standing, look: Look, top: int) -> str:
    column = standing.weigher.features[look.feature]
    unit = f" {column.kind.unit or 'mm'}" if isinstance(column, MeasureColumn) else ""
    recorded = "nothing is recorded"
    if isinstance(column, ChoiceColumn) and int(column.code[top]) < len(column.choices):
        recorded = f"it is {column.choices[int(column.code[top])]}"
    elif isinstance(column, MeasureColumn) and not np.isnan(column.value[top]):
        recorded = f"it is {column.value[top]:g}{unit}"
    value = f"{look.value:g}" if isinstance(look.value, float) else str(look.value)
    return f"{look.feature.capitalize()}: {value}{unit}; on {standing.weigher.name(top)} {recorded}"


def _machine_reason(standing: Standing, top: int) -> Reason | None:
    if standing.machine is None:
        return None
    catalogue = standing.weigher.catalogue
    before = float(catalogue.share[top])
    after = float(standing.prior[top])
    decibans = 10 * float(np.log10(max(_odds(after), 1e-280) / max(_odds(before), 1e-280)))
    machine = standing.weigher.machines.names[standing.machine]
    came = top in standing.weigher.came_on(standing.machine)
    says = f"{machine} {'came' if came else 'did not come'} with {standing.weigher.name(top)}"
    return Reason(says, catalogue.keys[top], decibans)


def _odds(p: float) -> float:
    return p / max(1 - p, 1e-12)


def casting_chances(standing: Standing, own: Mapping[str, Floats]) -> Mapping[str, Floats]:
    """What the evidence on each casting (and the tag) says by itself of the recorded ones, their shares as prior."""
    share = standing.weigher.catalogue.share
    found = {}
    for casting, logs in own.items():
        if casting != WHOLE:
            of_recorded = logs[: share.size]
            weights = share * np.exp(of_recorded - of_recorded.max(initial=-np.inf))
            found[casting] = weights / weights.sum()
    return found


def contradictions(standing: Standing) -> tuple[tuple[str, ...], Mapping[str, tuple[Chance, ...]]]:
    """Castings that disagree, said outright, with each casting's own candidates; empty when none do."""
    own = standing.as_they_stand
    apart = sum(casting != WHOLE for casting in own)
    recorded = standing.weigher.catalogue.recorded
    if not recorded or (apart < 2 and standing.mixed < BUILT_FROM_TWO):
        return (), {}
    chances = casting_chances(standing, own)
    named = {casting: _named(standing, casting, p, own[casting]) for casting, p in chances.items()}
    told = {casting: name for casting, name in named.items() if name is not None}
    said = [
        _sentence(standing, first, told[first], second, told[second])
        for first, second in _pairs(tuple(told))
        if _disagree(own[first], own[second], recorded)
    ]
    if not said and standing.mixed < BUILT_FROM_TWO:
        return (), {}
    keys = standing.weigher.catalogue.keys
    parts = {
        casting: tuple(Chance(keys[i], float(p[i])) for i in likeliest(p, _OF_A_CASTING_LEAST)[:_OF_A_CASTING])
        for casting, p in chances.items()
    }
    if not said:
        said.append("The castings do not agree with any one carburettor: perhaps built from two.")
    return tuple(said), parts


def _pairs(castings: tuple[str, ...]) -> list[tuple[str, str]]:
    names = sorted(castings, key=lambda name: name == TAG)
    return [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]


def _named(standing: Standing, casting: str, chances: Floats, logs: Floats) -> tuple[int, bool] | None:
    """What a casting names: a carburettor, and whether others are alike to it (a device in a lid names a family).

    Looks name a carburettor only when no other is nearly as likely; a number or device may name several, and then the
    one likeliest on that machine stands for them.
    """
    recorded = chances.size
    top = int(np.argmax(chances))
    alike = np.flatnonzero(np.abs(logs[:recorded] - logs[top]) * _DECIBANS_PER_NAT <= _ALIKE_DECIBANS)
    by_number = any(item.casting == casting and item.kind == "number" for item in standing.items)
    if chances[top] < _NAMES and not (by_number and float(chances[alike].sum()) >= _NAMES):
        return None
    return int(alike[np.argmax(standing.prior[alike])]), len(alike) > 1


def _disagree(first: Floats, second: Floats, recorded: int) -> bool:
    """Whether no recorded carburettor fits both castings nearly as well as each casting's own best one."""
    short_of_first = first[:recorded].max() - first[:recorded]
    short_of_second = second[:recorded].max() - second[:recorded]
    both = np.maximum(short_of_first, short_of_second).min()
    return bool(both * _DECIBANS_PER_NAT >= _DISAGREES_DECIBANS)


def _sentence(standing: Standing, first: str, a: tuple[int, bool], second: str, b: tuple[int, bool]) -> str:
    """``first`` is never the tag."""

    def says(casting: str, named: tuple[int, bool]) -> str:
        return f"the {casting} says {standing.weigher.name(named[0])}{' or one like it' if named[1] else ''}"

    why = "tags are moved, so the casting counts more" if second == TAG else "perhaps built from two"
    both = f"{says(first, a)}, {says(second, b)}: {why}."
    return both[0].upper() + both[1:]


def differences(standing: Standing) -> tuple[Difference, ...]:
    """Parts and settings in which the remaining carburettors differ."""
    recorded = standing.recorded
    remaining = [int(i) for i in likeliest(recorded, _WORTH_TELLING)[:_MOST_COMPARED]]
    if len(remaining) < 2:
        return ()
    tables = [standing.weigher.fitted(i) for i in remaining]
    found = []
    for what in dict.fromkeys(what for table in tables for what in table):
        values: dict[str, list[str]] = {}
        for i, table in zip(remaining, tables, strict=True):
            values.setdefault(table.get(what, "not recorded"), []).append(standing.weigher.catalogue.keys[i])
        if len(values) > 1:
            found.append(Difference(what, {shown: tuple(keys) for shown, keys in values.items()}))
    return tuple(found)


def warnings(standing: Standing, kit: str | None) -> tuple[str, ...]:
    """What to say besides: unlikely for that engine, petrol or paraffin not told, machine not known."""
    found = []
    top = int(np.argmax(standing.recorded)) if standing.recorded.size else -1
    if standing.machine and top >= 0 and standing.recorded[top] >= 0.5:
        came = standing.weigher.came_on(standing.machine)
        if came and top not in came:
            machine, name = standing.weigher.machines.names[standing.machine], standing.weigher.name(top)
            found.append(
                f"{machine} did not come with {name}. Its kit is right for what is in the hand, but the carburettor "
                "may not suit that engine: somebody swapped it."
            )
    if (standing.enquiry.machine or standing.enquiry.machine_text) and not standing.machine:
        found.append("That machine is not in our records, so it says nothing about the carburettor.")
    if kit is not None and not standing.enquiry.want_fuel and _fuels(standing, kit) > 1:
        found.append("There are petrol and paraffin versions of this kit: ask which fuel the engine runs on.")
    return tuple(found)


def _fuels(standing: Standing, kit: str) -> int:
    kits = standing.weigher.catalogue.kits
    top = int(np.argmax(standing.recorded))
    level = standing.weigher.reference.kits[kits.at[kit]].level
    fitting = set(kits.fits_kit[kits.fits_hypothesis == top].tolist())
    fuels = {
        standing.weigher.reference.kits[i].fuel for i in fitting if standing.weigher.reference.kits[i].level == level
    }
    return len(fuels - {""})
