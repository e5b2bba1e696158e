"""The invented shop as it is, and the same shop with every maker, key and number renamed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from random import Random
from typing import Any

import pytest

from floatbowl.demo.make_pack.whole_pack import PACK
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import Enquiry
from floatbowl.reference.pack import read_pack

#: Characters change places only within look-alikes (3 with 8, R with K, ...) or with one as unlike, so that what is
#: easily taken for what stays as it was. A hyphen and the like stay.
SWAPPED = ("38", "17", "24", "RK", "MN", "CG", "LT", "VW", "XZ", "PF", "JY")
RENAMED_CHARACTERS = str.maketrans(
    {one: other for pair in SWAPPED for one, other in (pair, pair[::-1])}  # type: ignore[misc]
)


@dataclass(frozen=True)
class World:
    """A reference, and what its keys and its numbers are called there."""

    reference: Reference
    key: Callable[[str], str]
    number: Callable[[str], str]


def _as_it_stands(text: str) -> str:
    return text


def _new_numbers(text: str) -> str:
    return text.translate(RENAMED_CHARACTERS)


@cache
def as_told() -> World:
    return World(read_pack(PACK), _as_it_stands, _as_it_stands)


@cache
def renamed() -> World:
    """Nobody's name survives, and the rows stand in another order; check letters and patterns would not hold, so go."""
    reference = as_told().reference
    random = Random(20)
    names = _new_names(reference, random)
    tables: dict[str, Any] = {}
    for table in Reference.__dataclass_fields__:
        rows = getattr(reference, table)
        if isinstance(rows, tuple):
            changed = [_renamed_row(row, names) for row in rows]
            random.shuffle(changed)
            tables[table] = tuple(changed)
    return World(replace(reference, **tables), lambda key: names[key], _new_numbers)


def _new_names(reference: Reference, random: Random) -> dict[str, str]:
    keys = [
        *(row.maker for row in reference.makers),
        *(row.carburettor for row in reference.carburettors),
        *(row.kit for row in reference.kits),
        *(row.machine for row in reference.machines),
    ]
    places = list(range(len(keys)))
    random.shuffle(places)
    return {key: f"name-{place}" for key, place in zip(keys, places, strict=True)}


def _renamed_row(row: Fact, names: Mapping[str, str]) -> Fact:
    changes: dict[str, Any] = {
        field: names[getattr(row, field)]
        for field in ("maker", "carburettor", "kit", "machine")
        if getattr(row, field, None) in names
    }
    if hasattr(row, "text"):
        changes["text"] = _new_numbers(row.text)
    if hasattr(row, "with_"):
        changes["with_"] = _new_numbers(row.with_)
    if hasattr(row, "pattern"):
        changes |= {"pattern": "", "check": ""}
    if hasattr(row, "name") and "name" in row.__dataclass_fields__:
        changes["name"] = _new_numbers(row.name)
    return replace(row, **changes)


def renamed_enquiry(enquiry: Enquiry, world: World) -> Enquiry:
    """The enquiry as it is told in that world."""
    readings = tuple(
        replace(
            reading,
            text=world.number(reading.text),
            cells=tuple(tuple((world.number(sign), p) for sign, p in cell) for cell in reading.cells),
        )
        for reading in enquiry.readings
    )
    machine = world.key(enquiry.machine) if enquiry.machine else ""
    return replace(enquiry, readings=readings, machine=machine)


@pytest.fixture(params=["as told", "renamed"], scope="session")
def world(request: pytest.FixtureRequest) -> World:
    return as_told() if request.param == "as told" else renamed()


@pytest.fixture(scope="session")
def in_world() -> Callable[[Enquiry, World], Enquiry]:
    return renamed_enquiry
