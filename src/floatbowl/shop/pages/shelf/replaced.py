"""What will do instead of an item, and what an item takes the place of, as the Notebook has it."""

from __future__ import annotations

from dataclasses import dataclass

from floatbowl.engine.refusal import Refused
from floatbowl.reference.facts import Replacement
from floatbowl.shelf.supersede import Substitute, supersession
from floatbowl.shop.shelf.on_hand import Stand, stands_of
from floatbowl.shop.shelf.things import Thing, things_now

#: How the records say that one number may stand for the other and the other for it.
YES = "yes"


@dataclass(frozen=True, slots=True)
class Other:
    """Another number, how it stands to this one, and what lies of it."""

    thing: Thing
    substitute: Substitute
    stand: Stand


@dataclass(frozen=True, slots=True)
class Replaced:
    """Newer and exchangeable numbers, older ones, and what is wrong with the records where they go round."""

    instead: tuple[Other, ...] = ()
    takes_place_of: tuple[Other, ...] = ()
    goes_round: str = ""


def replaced(thing: Thing) -> Replaced:
    """What the records say of an item's number, nearest first; only the next steps where the records go round."""
    rows = things_now().book.reference.replacements
    own = [row for row in rows if thing.key in (row.old, row.new)]
    if not own:
        return Replaced()
    try:
        instead, wrong = supersession(rows).substitutes(thing.key), ""
    except Refused as refused:
        instead, wrong = _next_steps(thing.key, own), str(refused)
    older = [Substitute(row.old, 1, "newer", _condition(row)) for row in own if _is_older(row, thing.key)]
    return Replaced(_others(thing, instead), _others(thing, tuple(older)), wrong)


def _is_older(row: Replacement, key: str) -> bool:
    return row.new == key and row.old != key and row.both_ways != YES


def _next_steps(key: str, own: list[Replacement]) -> tuple[Substitute, ...]:
    return tuple(
        Substitute(row.new if row.old == key else row.old, 1, "exchange" if row.both_ways == YES else "newer",
                   _condition(row))
        for row in own
        if row.old != row.new and (row.old == key or row.both_ways == YES)
    )  # fmt: skip


def _condition(row: Replacement) -> tuple[str, ...]:
    return (row.condition,) if row.condition else ()


def _others(thing: Thing, found: tuple[Substitute, ...]) -> tuple[Other, ...]:
    others = [things_now().of(thing.kind, one.part) for one in found]
    stands = stands_of(thing.kind, {other.key: other.recorded for other in others})
    return tuple(Other(other, one, stands[other.key]) for other, one in zip(others, found, strict=True))
