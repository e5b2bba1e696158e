"""What is short for jobs and promises: packed kits go first, then kits built from loose parts, then it is short."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.recipes import Recipe, could_build, taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A job or an offer wants so much of a kit (``kit``) or of a loose part (``part``): one of the two is named."""

    for_: str
    quantity: float
    kit: str = ""
    part: str = ""

    def __post_init__(self) -> None:
        within(f"{self.for_}: the quantity wanted", self.quantity, 0.0, open_low=True)
        if bool(self.kit) == bool(self.part):
            raise Refused(f"{self.for_}: name a kit or a part, one of the two")
        if self.kit and self.quantity != round(self.quantity):
            raise Refused(f"{self.for_}: {self.quantity:g} of kit {self.kit}; kits are counted whole")


@dataclass(frozen=True, slots=True)
class Short:
    """So much of a part is missing for this job or offer; ``kit`` is the kit it would have gone into, if any.

    A kit whose contents are not recorded is short as a whole: then ``part`` is empty.
    """

    for_: str
    part: str
    quantity: float
    kit: str = ""


@dataclass(frozen=True, slots=True)
class Served:
    """How one want is met: so many as packed, so many to build now; for the rest see ``short``."""

    want: Want
    packed: float
    build: int
    short: tuple[Short, ...]


def serve(
    wants: Sequence[Want], packed: Mapping[str, float], loose: Mapping[str, float], recipes: Iterable[Recipe]
) -> tuple[Served, ...]:
    """Each want in the order given (promised first, so the caller sorts), from what the earlier ones left.

    Parts lie ready for a kit that lacks others: what is there is kept for it, so that what is short is only told once.
    """
    shelf, kits = dict(loose), dict(packed)
    known = {recipe.kit: recipe for recipe in recipes}
    return tuple(_kit(want, kits, shelf, known) if want.kit else _part(want, shelf) for want in wants)


def _part(want: Want, shelf: dict[str, float]) -> Served:
    given = min(want.quantity, max(0.0, shelf.get(want.part, 0.0)))
    shelf[want.part] = shelf.get(want.part, 0.0) - given
    missing = want.quantity - given
    return Served(want, given, 0, (Short(want.for_, want.part, missing),) if missing > 0 else ())


def _kit(want: Want, kits: dict[str, float], shelf: dict[str, float], known: Mapping[str, Recipe]) -> Served:
    whole = round(want.quantity)
    from_packed = min(whole, max(0, int(kits.get(want.kit, 0))))
    kits[want.kit] = kits.get(want.kit, 0) - from_packed
    wanted = whole - from_packed
    recipe = known.get(want.kit)
    if recipe is None:
        return Served(want, from_packed, 0, (Short(want.for_, "", wanted, want.kit),) if wanted else ())
    build = min(wanted, could_build(recipe, shelf).count)
    short = []
    for part, quantity in taken(recipe, wanted).items():
        there = max(0.0, shelf.get(part, 0.0))
        shelf[part] = there - min(there, quantity)
        if quantity - there > 1e-9:
            short.append(Short(want.for_, part, quantity - there, want.kit))
    return Served(want, from_packed, build, tuple(short))


def short_by_part(served: Iterable[Served]) -> dict[str, float]:
    """How much of each part is short in all, most first; kits short as a whole stand under their own name."""
    totals: dict[str, float] = {}
    for each in served:
        for short in each.short:
            name = short.part or short.kit
            totals[name] = totals.get(name, 0.0) + short.quantity
    return dict(sorted(totals.items(), key=lambda item: (-item[1], item[0])))
