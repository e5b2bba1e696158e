"""The service parts of each build, by size, and which carburettor takes which."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from floatbowl.demo.make_pack.carburettors import Carburettor
from floatbowl.demo.make_pack.chance import chance_for, pick
from floatbowl.demo.make_pack.tables import Row, hand_written

#: Outside diameter of a jet washer, mm, to its hole and thickness, mm.
WASHER_SIZES: Final = {"7": (4.5, 0.8), "8": (5.2, 0.8), "10": (6.5, 1.0), "12": (8.2, 1.0)}
STOCK: Final = (0, 0, 0, 1, 2, 2, 3, 4, 5, 6, 8, 12)
STOCK_OF_WASHERS: Final = (0, 8, 14, 22, 35, 60)


@dataclass(frozen=True)
class PartMade:
    """A part with its sizes: quantity to (value, unit, tolerance, thread)."""

    key: str
    kind: str
    name: str
    cost: float
    sizes: dict[str, tuple[str, str, str, str]] = field(default_factory=dict)


def mm(value: float | str, tolerance: str = "", thread: str = "") -> tuple[str, str, str, str]:
    return (f"{float(value):g}", "mm", tolerance, thread)


def key_size(value: float | str) -> str:
    return f"{float(value):g}".replace(".", "-")


def bowl_gasket(one: Carburettor) -> PartMade:
    """Made to the family's lid; a Sallowby with the flat bar has its needle seat and a hole elsewhere."""
    family = one.family
    flat = one.maker == "sallowby" and one.features.get("bar mark") == "flat"
    key = f"bowl-gasket-{family['family']}" + ("-flat" if flat else "")
    across = float(family["throat bore"]) * 2.4
    sizes = {
        "thickness": mm(1.2 if flat else 0.8, "0.1"),
        "hole spacing": mm(round(across, 1), "0.3"),
        "holes": (family["cover screws"], "", "", ""),
        "outside across": mm(round(across + (14 if flat else 11), 1), "0.5"),
    }
    return PartMade(
        key,
        "bowl gasket",
        f"Bowl gasket, {one.family_name}{' flat' if flat else ''}",
        0.9,
        sizes,
    )


def flange_gasket(one: Carburettor) -> PartMade:
    """By bolts, spacing and bore only: makers share them."""
    bolts, spacing = one.family["flange bolts"], one.family["bolt spacing"]
    hole = round(float(one.family["throat bore"]) + 1.5)
    sizes = {
        "hole spacing": mm(spacing, "0.3"),
        "holes": (bolts, "", "", ""),
        "bore": mm(hole, "0.5"),
        "thickness": mm(1.6, "0.2"),
    }
    name = f"Flange gasket, {bolts} bolts at {float(spacing):g} mm, bore {hole} mm"
    return PartMade(f"flange-gasket-{bolts}-{key_size(spacing)}-{hole}", "flange gasket", name, 0.5, sizes)


def jet_washer(one: Carburettor) -> PartMade:
    size = one.build["jet_washer"]
    hole, thickness = WASHER_SIZES[size]
    sizes = {"outside diameter": mm(size, "0.1"), "hole": mm(hole, "0.1"), "thickness": mm(thickness, "0.05")}
    return PartMade(f"jet-washer-{size}", "washer", f"Main jet washer, {size} mm, fibre", 0.08, sizes)


def seat_washer(one: Carburettor) -> PartMade:
    thread = one.build["seat_thread"]
    sizes = {"hole": mm(float(thread) + 0.2, "0.1"), "thickness": mm(1, "0.1")}
    return PartMade(
        f"seat-washer-{key_size(thread)}", "washer", f"Needle seat washer for {thread} mm thread", 0.1, sizes
    )


def needle_seat(one: Carburettor, tip: str = "") -> PartMade:
    thread, bore = one.build["seat_thread"], one.build["seat_bore"]
    sizes = {
        "thread outside diameter": mm(thread, "0.05", f"{float(thread):g} mm by 1 mm"),
        "bore": mm(bore, "0.03"),
        "length under shoulder": mm(round(float(thread) * 1.3, 1), "0.2"),
    }
    key = f"needle-seat-{key_size(thread)}-{key_size(bore)}" + (f"-{tip}" if tip else "")
    name = f"Needle and seat, {float(thread):g} mm thread, {float(bore):g} mm bore" + (f", {tip} needle" if tip else "")
    return PartMade(key, "needle and seat", name, 5.6 if tip else 4.4, sizes)


def main_jet(one: Carburettor) -> PartMade:
    bore = one.build["jet_bore"]
    sizes = {"bore": mm(bore, "0.01"), "washer": mm(one.build["jet_washer"])}
    return PartMade(
        f"main-jet-{key_size(bore)}-{one.build['jet_washer']}", "jet", f"Main jet {float(bore):g} mm", 2.1, sizes
    )


def shaft_bush(one: Carburettor) -> PartMade:
    inside = float(one.family["spindle_mm"])
    sizes = {
        "inside diameter": mm(inside + 0.02, "0.01"),
        "outside diameter": mm(inside + 2.4, "0.01"),
        "length": mm(14, "0.2"),
    }
    return PartMade(
        f"shaft-bush-{key_size(inside)}", "bush", f"Throttle shaft bush for {inside:g} mm shaft", 1.6, sizes
    )


def float_(one: Carburettor) -> PartMade:
    family = one.family
    across = round(float(family["throat bore"]) * 1.7)
    sizes = {"outside diameter": mm(across, "0.5"), "weight": (str(round(across * 0.55)), "g", "1", "")}
    return PartMade(
        f"float-{family['family']}",
        "float",
        f"Float, {one.family_name}",
        8.5,
        sizes,
    )


def tip_for_paraffin(one: Carburettor) -> PartMade:
    return needle_seat(one, "hard")


#: Part, place where it goes, how many.
POSITIONS: Final = (
    (bowl_gasket, "between lid and bowl", 1),
    (flange_gasket, "flange", 1),
    (jet_washer, "under the main jet", 1),
    (seat_washer, "under the needle seat", 1),
    (needle_seat, "inlet", 1),
    (main_jet, "main well", 1),
    (shaft_bush, "throttle body, both ends", 2),
    (float_, "bowl", 1),
)


def carburettor_part_rows(made: list[Carburettor]) -> list[Row]:
    """The rows of the table ``carburettor_parts``."""
    return [
        {"carburettor": one.key, "part": make(one).key, "position": position, "quantity": quantity}
        | {"source": "nettlebeck-bench" if one.by_hand else "gasket-supplier", "page": one.page}
        for one in made
        for make, position, quantity in POSITIONS
    ]


def all_parts(made: list[Carburettor]) -> list[PartMade]:
    """Every part once, in the order of its key."""
    found = {part.key: part for one in made for part in (make(one) for make, _, _ in POSITIONS)}
    hard = [tip_for_paraffin(one) for one in made if one.build["paraffin"]]
    return [part for _, part in sorted((found | {part.key: part for part in hard}).items())]


def part_rows(parts: list[PartMade], made: list[Carburettor]) -> list[Row]:
    """The rows of the table ``parts``: costs, prices and counted stock, then the odd ones written by hand."""
    rows: list[Row] = []
    for part in parts:
        stock = pick(chance_for("stock", part.key), STOCK_OF_WASHERS if part.kind == "washer" else STOCK)
        rows.append(
            {"part": part.key, "kind": part.kind, "name": part.name, "cost": part.cost}
            | {"price": round(part.cost * 2.4, 1), "on_hand": stock}
        )
    rows += [
        {name: row[name] for name in ("part", "kind", "name", "cost", "price", "on_hand")}
        for row in hand_written("odd_parts")
    ]
    return rows + complete_carburettors(made)


def complete_carburettors(made: list[Carburettor]) -> list[Row]:
    """Whole carburettors as parts: the present-day ones are sold, the originals they replace are not made any more."""
    names = {one.key: one.name for one in made}
    replaced = hand_written("replaced")
    keys = dict.fromkeys([row["new"] for row in replaced] + [row["old"] for row in replaced])
    return [
        {"part": f"complete-{key}", "kind": "carburettor", "name": f"{names[key]}, complete"}
        | ({"cost": 92, "price": 168, "on_hand": 2} if names[key].startswith("Yelbourn") else {"on_hand": 0})
        for key in keys
    ]


def part_size_rows(parts: list[PartMade]) -> list[Row]:
    """The rows of the table ``part_sizes``."""
    rows: list[Row] = [
        {"part": part.key, "quantity": quantity, "value": value, "unit": unit, "tolerance": tolerance, "thread": thread}
        | {"source": "nettlebeck-bench", "page": 30 + len(part.key)}
        for part in parts
        for quantity, (value, unit, tolerance, thread) in part.sizes.items()
    ]
    rows += [
        {
            "part": row["part"],
            "quantity": row["quantity"],
            "value": row["value"],
            "unit": row["unit"],
            "source": "nettlebeck-bench",
        }
        for row in hand_written("odd_parts")
    ]
    return rows


def replacement_rows() -> list[Row]:
    """The rows of the table ``replacements``."""
    return [
        {
            "old": f"complete-{row['old']}",
            "new": f"complete-{row['new']}",
            "both_ways": "no",
            "condition": row["condition"],
        }
        | {"source": "yelbourn-sheet", "page": row["page"]}
        for row in hand_written("replaced")
    ]
