"""Building kits from loose parts and taking one apart: parts and kit change in one transaction, or neither does."""

from __future__ import annotations

from django.db import transaction

from floatbowl.shelf.recipes import Recipe, taken
from floatbowl.shop.models.shelf import KIT, PART, Item, LedgerLine
from floatbowl.shop.shelf.beginning import first_count
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, take, write
from floatbowl.shop.shelf.things import Things, things_now


class CannotBuildError(ValueError):
    """The kit has no parts in the records, or takes a part by the fraction; says what to do."""


def build(kit: str, count: int, place: str, who: str, sent: str) -> LedgerLine:
    """Build so many of a kit. The same ``sent`` again changes nothing.

    Raises CannotBuildError, and NotEnoughError naming every part that is short; then nothing is changed.
    """
    things = things_now()
    needs = _pieces(kit, count, things)
    with transaction.atomic():
        if known := LedgerLine.objects.filter(sent=f"{sent}/kit").first():
            return known
        items = {part: _begun(PART, part, who, things) for part in needs}
        _refuse_short(needs, items, things)
        says = f"for {count} of {things.of(KIT, kit).name}"
        for number, (part, pieces) in enumerate(needs.items()):
            take(items[part], pieces, About(why="taken for a kit", who=who, says=says, sent=f"{sent}/{number}"))
        about = About(why="built", who=who, says="from loose parts", sent=f"{sent}/kit")
        return write(_begun(KIT, kit, who, things), count, about, place)


def take_apart(kit: str, count: int, place: str, who: str, sent: str) -> None:
    """Take so many of a kit apart; its parts go to ``place``. Raises CannotBuildError, NotEnoughError."""
    things = things_now()
    needs = _pieces(kit, count, things)
    with transaction.atomic():
        if LedgerLine.objects.filter(sent=f"{sent}/0").exists():
            return
        about = About(why="taken apart", who=who, says="into its parts", sent=f"{sent}/kit")
        take(_begun(KIT, kit, who, things), count, about)
        says = f"out of {count} of {things.of(KIT, kit).name}"
        for number, (part, pieces) in enumerate(needs.items()):
            about = About(why="taken apart", who=who, says=says, sent=f"{sent}/{number}")
            write(_begun(PART, part, who, things), pieces, about, place)


def _begun(kind: str, key: str, who: str, things: Things) -> Item:
    first_count(things.of(kind, key), who)
    return item_of(kind, key)


def _pieces(kit: str, count: int, things: Things) -> dict[str, int]:
    """How many pieces of each part so many kits take."""
    if count <= 0:
        raise CannotBuildError("write how many, 1 or more")
    recipe = things.recipes.get(kit)
    if recipe is None:
        raise CannotBuildError("no parts are recorded for this kit: write them down in the Notebook first")
    return {part: _whole(part, quantity, recipe, things) for part, quantity in taken(recipe, count).items()}


def _whole(part: str, quantity: float, recipe: Recipe, things: Things) -> int:
    if abs(quantity - round(quantity)) > 1e-9:
        raise CannotBuildError(
            f"{quantity:g} of {things.of(PART, part).name} would be taken; the shelf counts whole pieces. "
            "Build as many kits as make it whole, or record the part in smaller pieces"
        )
    return round(quantity)


def _refuse_short(needs: dict[str, int], items: dict[str, Item], things: Things) -> None:
    short = [
        f"{things.of(PART, part).name}: {pieces} wanted, {max(0, items[part].free)} free"
        for part, pieces in needs.items()
        if items[part].free < pieces
    ]
    if short:
        raise NotEnoughError(f"Not built. Too few of: {'; '.join(short)}.")
