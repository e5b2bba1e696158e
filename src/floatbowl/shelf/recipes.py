"""What goes into a kit, and how many of one kit could be put together from the loose parts on hand."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from floatbowl.engine.refusal import Refused
from floatbowl.reference.facts import KitPart

#: Quantities such as 0.1 m of cord are no exact binary numbers: so much of one is forgiven when they are counted out.
_FORGIVEN: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Recipe:
    """One kit's parts, each with how many (or how much) of it goes in. ``Refused`` for none, or none of one."""

    kit: str
    parts: tuple[tuple[str, float], ...]

    def __post_init__(self) -> None:
        if not self.parts:
            raise Refused(f"kit {self.kit} has no parts in the records; add what goes into it")
        for part, quantity in self.parts:
            if not (math.isfinite(quantity) and quantity > 0):
                raise Refused(f"kit {self.kit}: the quantity of {part} is {quantity:g}; it must be above 0")


@dataclass(frozen=True, slots=True)
class CouldBuild:
    """How many of a kit the parts on hand allow, and the parts that hold it there."""

    kit: str
    count: int
    held_by: tuple[str, ...]


def recipes_of(rows: Iterable[KitPart]) -> tuple[Recipe, ...]:
    """Recipes from the records: the same part in two positions of a kit is added up.

    >>> recipes_of([KitPart("K1", "washer", 1.0, "seat"), KitPart("K1", "washer", 1.0, "jet")])
    (Recipe(kit='K1', parts=(('washer', 2.0),)),)
    """
    needs: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for row in rows:
        needs[row.kit][row.part] += row.quantity
    return tuple(Recipe(kit, tuple(parts.items())) for kit, parts in needs.items())


def could_build(recipe: Recipe, on_hand: Mapping[str, float]) -> CouldBuild:
    """How many of this kit could be built now, if nothing else were; a part not on hand counts as none.

    >>> could_build(Recipe("K1", (("washer", 2), ("needle", 1))), {"washer": 7, "needle": 9})
    CouldBuild(kit='K1', count=3, held_by=('washer',))
    """
    counts = {part: _times(on_hand.get(part, 0.0), quantity) for part, quantity in recipe.parts}
    fewest = min(counts.values())
    return CouldBuild(recipe.kit, fewest, tuple(part for part, count in counts.items() if count == fewest))


def _times(stock: float, quantity: float) -> int:
    return max(0, math.floor(stock / quantity + _FORGIVEN))


def taken(recipe: Recipe, count: int) -> dict[str, float]:
    """How much of each part so many of the kit take."""
    return {part: quantity * count for part, quantity in recipe.parts}
