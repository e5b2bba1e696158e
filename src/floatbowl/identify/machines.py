"""What a machine says about its carburettor: it orders the candidates and never decides."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import erf, sqrt
from typing import Final

import numpy as np
from rapidfuzz import fuzz, process, utils

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.compiled import Numbers
from floatbowl.identify.wear import Floats
from floatbowl.reference.facts import CameOn, Reference
from floatbowl.reference.observed import Enquiry

#: One standard deviation of a remembered year of make, in years (estimate).
_YEAR_DOUBT: Final = 1.0
#: What is left of a carburettor's share far outside its serial numbers or years (estimate).
_OUTSIDE: Final = 0.03
#: How alike (0-100) a machine's typed name must be to a recorded one.
_ALIKE_ENOUGH: Final = 72.0


@dataclass(frozen=True, slots=True)
class Machines:
    """Machines with the carburettors they came with. ``written`` are their names as they are compared."""

    names: Mapping[str, str]
    written: Mapping[str, str]
    came_on: Mapping[str, tuple[CameOn, ...]]


def compile_machines(reference: Reference) -> Machines:
    """The machines of a reference by key, and what came on each."""
    came: dict[str, list[CameOn]] = {}
    for row in reference.came_on:
        came.setdefault(row.machine, []).append(row)
    names = {m.machine: f"{m.make} {m.model}" for m in reference.machines}
    return Machines(
        names,
        {key: utils.default_process(name) for key, name in names.items()},
        {key: tuple(rows) for key, rows in came.items()},
    )


def find_machines(machines: Machines, typed: str, limit: int = 8) -> tuple[tuple[str, float], ...]:
    """Machines whose name is like what was typed, with how alike (0-100), best first."""
    wanted = utils.default_process(typed)
    found = process.extract(
        wanted, machines.written, scorer=fuzz.WRatio, processor=None, limit=limit, score_cutoff=_ALIKE_ENOUGH
    )
    return tuple((key, float(score)) for _, score, key in found)


def machine_of(machines: Machines, enquiry: Enquiry) -> str | None:
    """The machine an enquiry means: by key, else by the one name that is clearly the most alike."""
    if enquiry.machine in machines.names:
        return enquiry.machine
    typed = enquiry.machine_text or enquiry.machine
    if not typed:
        return None
    found = find_machines(machines, typed, limit=2)
    if not found or (len(found) > 1 and found[0][1] - found[1][1] < 1.0):
        return None
    return found[0][0]


def machine_prior(
    machines: Machines,
    enquiry: Enquiry,
    at: Mapping[str, int],
    share: Floats,
    maker_of: Numbers,
    makers: int,
    assumptions: Assumptions,
) -> tuple[Floats, str | None]:
    """Prior probability of every hypothesis, and the machine that was taken.

    With a known machine: what it came with (by shares, serial number and year), unless it was swapped; then, and
    without a machine, how common each carburettor is at this counter. Something stays for carburettors not in the
    records.
    """
    machine = machine_of(machines, enquiry)
    prior = share.copy()
    rows = machines.came_on.get(machine, ()) if machine else ()
    factory = _factory_shares(rows, enquiry, at, share.shape[0])
    if factory is not None:
        prior = (1 - assumptions.swapped) * factory + assumptions.swapped * share
    named = bool(enquiry.machine or enquiry.machine_text)
    unlisted = assumptions.unlisted_machine if named and not rows else assumptions.unlisted
    by_maker = np.bincount(maker_of[: share.shape[0]], prior, minlength=makers + 1)
    by_maker = (1 - assumptions.unlisted_maker) * by_maker / max(by_maker.sum(), 1e-300)
    by_maker[-1] += assumptions.unlisted_maker
    return np.concatenate(
        [
            (1 - unlisted) * prior,
            unlisted * assumptions.unlisted_sibling * prior,
            unlisted * (1 - assumptions.unlisted_sibling) * by_maker,
        ]
    ), machine


def _factory_shares(rows: tuple[CameOn, ...], enquiry: Enquiry, at: Mapping[str, int], recorded: int) -> Floats | None:
    found = np.zeros(recorded)
    for row in rows:
        if row.carburettor in at:
            plain = 1.0 if row.share is None else row.share
            found[at[row.carburettor]] += plain * _in_serials(row, enquiry.serial) * _in_years(row, enquiry.year)
    total = float(found.sum())
    return found / total if total > 0 else None


def _in_serials(row: CameOn, serial: str) -> float:
    number = _number(serial)
    if number is None or not (row.serial_from or row.serial_to):
        return 1.0
    return _within(number, _number(row.serial_from), _number(row.serial_to), row.serial_doubt or 0.0)


def _in_years(row: CameOn, year: int | None) -> float:
    if year is None or (row.year_from is None and row.year_to is None):
        return 1.0
    low = None if row.year_from is None else row.year_from - 0.5
    high = None if row.year_to is None else row.year_to + 0.5
    return _within(year, low, high, _YEAR_DOUBT)


def _within(value: float, low: float | None, high: float | None, doubt: float) -> float:
    inside = 1.0
    if low is not None:
        inside *= _above(value - low, doubt)
    if high is not None:
        inside *= _above(high - value, doubt)
    return _OUTSIDE + (1 - _OUTSIDE) * inside


def _above(distance: float, doubt: float) -> float:
    if doubt <= 0:
        return 1.0 if distance >= 0 else 0.0
    return 0.5 * (1 + erf(distance / (doubt * sqrt(2))))


def _number(text: str) -> float | None:
    digits = re.sub(r"[^0-9]", "", text)
    return float(digits) if digits else None
