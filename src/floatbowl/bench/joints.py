"""The joints that fuel or air could pass: each needs a gasket whose holes a person has checked, not its look alone."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from floatbowl.bench.measurements import table


@dataclass(frozen=True, slots=True)
class Joint:
    """One joint, the kind of part that seals it and a word of the place it goes to, and how the shop makes one."""

    joint: str
    says: str
    kind: str
    position_word: str
    made_here: str
    how_made: str


@cache
def joints() -> tuple[Joint, ...]:
    """All joints, in the order they are closed."""
    return tuple(Joint(**row) for row in table("joints.csv"))


@dataclass(frozen=True, slots=True)
class HolesChecked:
    """A person's tick: the gasket was laid on both castings and every hole of the one is open in the other."""

    joint: str
    by: str


def unchecked(ticks: tuple[HolesChecked, ...]) -> tuple[str, ...]:
    """What is still to be ticked, as sentences. Raises ValueError for a tick without a name or of no known joint.

    >>> unchecked((HolesChecked("bowl", "Tobiah"), HolesChecked("flange", "Tobiah"), HolesChecked("inlet", "Tobiah")))
    ('The main jet in its well: nobody has checked the holes of its gasket against both sides.',)
    """
    known = {joint.joint for joint in joints()}
    for tick in ticks:
        if tick.joint not in known:
            raise ValueError(f"no joint is called {tick.joint!r}; tick one of {', '.join(sorted(known))}")
        if not tick.by.strip():
            raise ValueError(f"the tick of the {tick.joint} joint names nobody; say who checked the holes")
    ticked = {tick.joint for tick in ticks}
    return tuple(
        f"{joint.says}: nobody has checked the holes of its gasket against both sides."
        for joint in joints()
        if joint.joint not in ticked
    )
