"""How many are on hand: what the ledger says where an item has lines, else what the records say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import Exists, OuterRef, QuerySet

from floatbowl.bench.on_record import OnRecord
from floatbowl.shop.models.shelf import PART, Item, LedgerLine
from floatbowl.shop.shelf.things import Named, Things

#: SQLite takes some thousands of values in one question; fewer are asked at once.
AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Stand:
    """One item's numbers. ``counted``: the ledger has lines; else ``on_hand`` is the record's own, or not known."""

    on_hand: float | None
    promised: int = 0
    on_order: int = 0
    counted: bool = False

    @property
    def free(self) -> float | None:
        """On hand less promised; below nothing where more is promised than there is."""
        return None if self.on_hand is None else self.on_hand - self.promised

    @property
    def short_by(self) -> float:
        """How many fewer are there than are promised."""
        return max(0.0, -(self.free or 0.0))


def with_lines(items: QuerySet[Item]) -> QuerySet[Item]:
    """The items with ``has_lines`` told."""
    return items.annotate(has_lines=Exists(LedgerLine.objects.filter(item=OuterRef("pk"))))


def all_stands(things: Things) -> dict[Named, Stand]:
    """Every item of the records and of the shelf."""
    found = {named: Stand(thing.recorded) for named, thing in things.all.items()}
    rows = with_lines(Item.objects.order_by()).values_list(
        "kind", "key", "on_hand", "promised", "on_order", "has_lines"
    )
    for kind, key, on_hand, promised, on_order, has_lines in rows:
        recorded = found.get((kind, key), Stand(None)).on_hand
        found[kind, key] = Stand(on_hand if has_lines else recorded, promised, on_order, has_lines)
    return found


def stands_of(kind: str, recorded: dict[str, float | None]) -> dict[str, Stand]:
    """Some items of one kind, by key; ``recorded`` are the records' own numbers for the rest."""
    found = {key: Stand(number) for key, number in recorded.items()}
    for some in _in_portions(list(recorded)):
        for item in with_lines(Item.objects.filter(kind=kind, key__in=some).order_by()):
            has_lines = bool(getattr(item, "has_lines", False))
            on_hand = item.on_hand if has_lines else recorded[item.key]
            found[item.key] = Stand(on_hand, item.promised, item.on_order, has_lines)
    return found


def _in_portions(keys: list[str]) -> Iterable[list[str]]:
    return (keys[start : start + AT_ONCE] for start in range(0, len(keys), AT_ONCE))


def with_the_shelf(known: OnRecord) -> OnRecord:
    """A carburettor's records with every part's number on hand as the ledger has it, less what is promised."""
    stands = stands_of(PART, {each.part.part: each.part.on_hand for each in known.parts})
    parts = tuple(
        replace(each, part=replace(each.part, on_hand=None if free is None else max(0.0, float(free))))
        for each in known.parts
        for free in (stands[each.part.part].free,)
    )
    return replace(known, parts=parts)
