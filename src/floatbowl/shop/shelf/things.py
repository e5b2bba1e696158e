"""What the records name as kits and parts: by key, with their names and prices, for one version of the reference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from floatbowl.shelf.recipes import Recipe, recipes_of
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.standing import current_reference

Named = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """A kit or part as the records have it. ``recorded`` is the record's own number on hand, if any."""

    kind: str
    key: str
    name: str
    what: str = ""
    recorded: float | None = None
    price: Decimal | None = None
    cost: Decimal | None = None
    place: str = ""
    searched: str = ""
    known: bool = True

    @property
    def address(self) -> str:
        """The page of this item, without the host."""
        from django.urls import reverse

        return reverse("shelf:item", args=[self.kind, self.key])


@dataclass(frozen=True)
class Things:
    """All kits and parts of one version of the reference."""

    book: Book
    all: Mapping[Named, Thing]
    recipes: Mapping[str, Recipe]

    def of(self, kind: str, key: str) -> Thing:
        """The kit or part; one that left the records keeps its key for a name."""
        found = self.all.get((kind, key))
        return found or Thing(kind=kind, key=key, name=f"{key} (no longer in our records)", known=False)


_last: Things | None = None


def things_now() -> Things:
    """The kits and parts of the reference as it stands now; worked out once for each version of it."""
    global _last
    book = book_of(current_reference())
    if _last is None or _last.book is not book:
        _last = _read(book)
    return _last


def _read(book: Book) -> Things:
    rows = book.reference
    recipes = {recipe.kit: recipe for recipe in recipes_of(row for row in rows.kit_parts if row.quantity > 0)}
    costs = {part.part: money(part.cost) for part in rows.parts}
    parts = {
        (PART, part.part): _thing(PART, part.part, part.name, part.kind, part, costs[part.part]) for part in rows.parts
    }
    kits = {
        (KIT, kit.kit): _thing(KIT, kit.kit, kit.name, _version(kit), kit, _cost(recipes.get(kit.kit), costs))
        for kit in rows.kits
    }
    return Things(book, kits | parts, recipes)


def _version(kit: object) -> str:
    return ", ".join(filter(None, (getattr(kit, "level", ""), getattr(kit, "fuel", ""))))


def _thing(kind: str, key: str, name: str, what: str, fact: object, cost: Decimal | None) -> Thing:
    extra = dict(getattr(fact, "extra", ()))
    return Thing(
        kind=kind,
        key=key,
        name=name,
        what=what,
        recorded=getattr(fact, "on_hand", None),
        price=money(getattr(fact, "price", None)),
        cost=cost,
        place=str(extra.get("place", ""))[:80],
        searched=f"{kind} {key} {name} {what}".casefold(),
    )


def money(number: float | None) -> Decimal | None:
    """A price of the records as an exact decimal, as it was written."""
    return None if number is None else Decimal(str(number))


def _cost(recipe: Recipe | None, costs: Mapping[str, Decimal | None]) -> Decimal | None:
    """What a kit's parts cost together; None where one's cost is not recorded."""
    if recipe is None:
        return None
    total = Decimal(0)
    for part, quantity in recipe.parts:
        cost = costs.get(part)
        if cost is None:
            return None
        total += cost * Decimal(str(quantity))
    return total
