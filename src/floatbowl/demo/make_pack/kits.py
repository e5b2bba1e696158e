"""The kits: one of gaskets and one full for each set of parts, and a paraffin version where the engine burns it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from floatbowl.demo.make_pack import parts
from floatbowl.demo.make_pack.carburettors import MANUALS, Carburettor
from floatbowl.demo.make_pack.chance import chance_for, pick
from floatbowl.demo.make_pack.tables import Row, hand_written

GASKETS: Final = parts.POSITIONS[:4]
LETTERS: Final = {"gaskets": "G", "full": "F", "paraffin": "P"}
STOCK: Final = (0, 0, 1, 1, 2, 3, 3, 4, 5, 6, 7, 9)


@dataclass(frozen=True)
class KitMade:
    """A kit and the carburettors that take it, the first of which stands for all."""

    key: str
    level: str
    fuel: str
    takers: tuple[Carburettor, ...]

    @property
    def contents(self) -> list[tuple[parts.PartMade, int, str]]:
        """Part, how many, where it goes."""
        first = self.takers[0]
        inside = [(make(first), quantity, position) for make, position, quantity in GASKETS]
        if self.level == "full":
            inlet = parts.tip_for_paraffin(first) if self.fuel == "paraffin" else parts.needle_seat(first)
            inside.append((inlet, 1, "inlet"))
        return inside

    @property
    def price(self) -> float:
        """A little under its parts bought singly, to the half, in the shop's currency."""
        singly = sum(part.cost * 2.4 * quantity for part, quantity, _ in self.contents)
        return round(singly * 0.92 * 2) / 2 + 2


def make_kits(made: list[Carburettor]) -> list[KitMade]:
    """Kits by what is in them: builds whose parts are all the same share theirs."""
    groups: dict[tuple[str, ...], list[Carburettor]] = {}
    for one in made:
        if one.build["kit"] == "yes":
            contents = tuple(make(one).key for make, _, _ in (*GASKETS, (parts.needle_seat, "", 1)))
            groups.setdefault(contents, []).append(one)
    kits: list[KitMade] = []
    counted: dict[str, int] = {}
    for group in groups.values():
        maker = group[0].maker
        counted[maker] = counted.get(maker, 0) + 1
        stem = f"{maker[0].upper()}-{counted[maker] + 10}"
        kits.append(KitMade(f"{stem}{LETTERS['gaskets']}", "gaskets", "petrol", tuple(group)))
        kits.append(KitMade(f"{stem}{LETTERS['full']}", "full", "petrol", tuple(group)))
        paraffin = tuple(one for one in group if one.build["paraffin"])
        if paraffin:
            kits.append(KitMade(f"{stem}{LETTERS['paraffin']}", "full", "paraffin", paraffin))
    return kits


def kit_name(kit: KitMade) -> str:
    first = kit.takers[0]
    what = "Gasket kit" if kit.level == "gaskets" else "Full kit"
    fuel = ", paraffin" if kit.fuel == "paraffin" else ""
    more = " and its like" if len(kit.takers) > 1 else ""
    best = next((one for one in kit.takers if one.by_hand), first)
    return f"{what}, {best.name}{more}{fuel}"


def kit_rows(kits: list[KitMade]) -> list[Row]:
    """The rows of the table ``kits``."""
    return [
        {"kit": kit.key, "name": kit_name(kit), "level": kit.level, "fuel": kit.fuel, "price": kit.price}
        | {"on_hand": pick(chance_for("kit stock", kit.key), STOCK), "source": "nettlebeck-notes"}
        for kit in kits
    ]


def kit_part_rows(kits: list[KitMade]) -> list[Row]:
    """The rows of the table ``kit_parts``."""
    return [
        {"kit": kit.key, "part": part.key, "quantity": quantity, "position": position, "source": "nettlebeck-notes"}
        for kit in kits
        for part, quantity, position in kit.contents
    ]


def kit_fit_rows(kits: list[KitMade]) -> list[Row]:
    """The rows of the table ``kit_fits``, with the few conditions somebody has written down."""
    notes = {(row["carburettor"], row["level"]): row for row in hand_written("fit_notes")}
    rows: list[Row] = []
    for kit in kits:
        for one in kit.takers:
            note = notes.get((one.key, kit.level), {})
            noted = {name: note.get(name, "") for name in ("condition", "extra_parts", "doubt")}
            rows.append(
                {"kit": kit.key, "carburettor": one.key, **noted, "source": MANUALS[one.maker], "page": one.page}
            )
    return rows
