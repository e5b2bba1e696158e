"""Draws callers: what they have in hand (known to the simulator alone) and the poor evidence they give.

It takes the catalogue's whole truth, not the records; it imports nothing of the weighing. See ``damage`` and
``answers`` for the noise. Rates are estimates; ``error_factor`` multiplies all of them.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

from benchmarks.evidence import Evidence, Richness
from benchmarks.world import World
from floatbowl.reference.facts import CameOn, Reference
from floatbowl.reference.observed import Enquiry

SWAPPED: Final = 0.15
WITH_MACHINE: Final = {"little": 0.5, "plentiful": 0.8, "castings": 0.8}


@dataclass(frozen=True, slots=True)
class Case:
    """An enquiry and what is true of it. ``kits`` is empty where every kit would be wrong."""

    enquiry: Enquiry
    truth: str | None
    kits: frozenset[str]
    mixed: bool = False
    #: The kinds of trouble the evidence met, for finding out what misleads the weighing.
    troubles: frozenset[str] = frozenset()


def simulate(
    truth: Reference,
    n: int,
    seed: int,
    richness: Richness = "little",
    error_factor: float = 1.0,
    hybrid: bool = False,
    unlisted_share: float = 0.05,
    unlisted: frozenset[str] = frozenset(),
) -> list[Case]:
    """``n`` cases from the truth. ``unlisted`` are the carburettors the records lack; this share of cases has one.

    ``castings`` gives evidence on two castings, as hybrids do; it is the whole carburettors' counterpart to them.
    """
    world = World(truth, unlisted)
    rng = random.Random(f"cases {seed} {richness} {hybrid}")
    return list(_Drawing(world, rng, richness, error_factor).cases(n, hybrid, unlisted_share if unlisted else 0.0))


class _Drawing:
    """Draws with one random source; each method draws one thing."""

    def __init__(self, world: World, rng: random.Random, richness: Richness, factor: float) -> None:
        self.world, self.rng, self.richness, self.factor = world, rng, richness, factor
        truth = world.truth
        listed = [c for c in truth.carburettors if c.carburettor not in world.unlisted]
        self.listed = [c.carburettor for c in listed]
        self.shares = list(accumulate(c.share or 0.0 for c in listed))
        self.by_maker: dict[str, list[str]] = defaultdict(list)
        for c in listed:
            self.by_maker[c.maker].append(c.carburettor)
        self.missing = sorted(world.unlisted)
        self.machines = [m.machine for m in truth.machines]
        self.machine_shares = list(accumulate(m.share or 0.0 for m in truth.machines))
        self.evidence = Evidence(world, rng, richness, factor)

    def cases(self, n: int, hybrid: bool, unlisted_share: float) -> Iterator[Case]:
        for i in range(n):
            name = f"E{i}"
            if hybrid:
                yield self.built_from_two(name)
            elif self.rng.random() < unlisted_share:
                yield self.whole(name, *self.somebody_unlisted())
            else:
                yield self.whole(name, *self.somebody())

    def somebody(self) -> tuple[str, str]:
        """A listed carburettor, and the machine the caller will name (empty: none named)."""
        rng = self.rng
        with_machine = rng.random() < WITH_MACHINE[self.richness]
        anyone = rng.choices(self.listed, cum_weights=self.shares)[0]
        if not with_machine:
            return anyone, ""
        machine = rng.choices(self.machines, cum_weights=self.machine_shares)[0]
        options = [r for r in self.world.options[machine] if r.carburettor not in self.world.unlisted]
        if not options or rng.random() < min(0.5, SWAPPED * self.factor):
            return anyone, machine
        row = rng.choices(options, weights=[r.share or 1.0 for r in options])[0]
        return row.carburettor, machine

    def somebody_unlisted(self) -> tuple[str, str]:
        """A carburettor the records lack, on a machine it came on (if any) or on one it was swapped to."""
        carburettor, rng = self.rng.choice(self.missing), self.rng
        if rng.random() >= WITH_MACHINE[self.richness]:
            return carburettor, ""
        came = self.world.machines_of.get(carburettor)
        if came and rng.random() >= SWAPPED:
            return carburettor, rng.choice(came).machine
        return carburettor, rng.choices(self.machines, cum_weights=self.machine_shares)[0]

    def whole(self, name: str, carburettor: str, machine: str) -> Case:
        troubles: set[str] = set()
        came = {row.carburettor: row for row in self.world.options.get(machine, ())}
        if machine and carburettor not in came:
            troubles.add("swapped")
        readings, looks = self.evidence.draw(carburettor, carburettor, troubles)
        enquiry = Enquiry(name, machine, serial=self.serial(came.get(carburettor)), readings=readings, looks=looks)
        if carburettor in self.world.unlisted:
            return Case(enquiry, None, frozenset(), troubles=frozenset(troubles | {"unlisted"}))
        return Case(enquiry, carburettor, frozenset(self.world.kits[carburettor]), troubles=frozenset(troubles))

    def built_from_two(self, name: str) -> Case:
        """Throttle body and air horn of one, bowl, lid and tag of another of the same maker that needs another kit."""
        upper, machine = self.somebody()
        lower = self.rng.choice(self.by_maker[self.world.maker[upper]])
        while not self.apart(upper, lower):
            upper, machine = self.somebody()
            lower = self.rng.choice(self.by_maker[self.world.maker[upper]])
        troubles = {"hybrid"}
        readings, looks = self.evidence.draw(upper, lower, troubles)
        enquiry = Enquiry(name, machine, readings=readings, looks=looks)
        return Case(enquiry, None, frozenset(), mixed=True, troubles=frozenset(troubles))

    def apart(self, upper: str, lower: str) -> bool:
        """Whether the two need different kits and have no foundry number in common."""
        cast = [{m.text for m in self.world.marks[c] if m.role == "casting"} for c in (upper, lower)]
        return self.world.kits[upper] != self.world.kits[lower] and not cast[0] & cast[1]

    def serial(self, row: CameOn | None) -> str:
        """The machine's serial number, when known: within the row's range, or a little beside it one time in twenty."""
        if row is None or not row.serial_from or self.rng.random() >= 0.5:
            return ""
        low, high = int(row.serial_from), int(row.serial_to)
        beside = self.rng.choice((-400, 400)) if self.rng.random() < 0.05 * self.factor else 0
        return str(max(1, self.rng.randint(low, high) + beside))
