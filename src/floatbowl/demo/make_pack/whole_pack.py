"""All tables of the invented shop, put together."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from floatbowl.demo.make_pack.carburettors import carburettor_rows, feature_rows, make_carburettors
from floatbowl.demo.make_pack.kits import kit_fit_rows, kit_part_rows, kit_rows, make_kits
from floatbowl.demo.make_pack.machines import came_on_rows, machine_rows
from floatbowl.demo.make_pack.marks import mark_rows
from floatbowl.demo.make_pack.parts import all_parts, carburettor_part_rows, part_rows, part_size_rows, replacement_rows
from floatbowl.demo.make_pack.settings import setting_rows
from floatbowl.demo.make_pack.tables import Row, Tables, hand_written, write_pack

PACK: Final = Path(__file__).parent.parent / "pack"
TITLE: Final = "Nettlebeck Carburettor Room: an invented shop; no maker, machine or number in it is real"
CURRENCY: Final = "EUR"


def makes_by_carburettor(machines: list[Row], came_on: list[Row]) -> dict[str, set[str]]:
    """Carburettor key to the makes of the machines that were built with it."""
    make = {row["machine"]: row["make"] for row in machines}
    found: dict[str, set[str]] = {}
    for row in came_on:
        found.setdefault(row["carburettor"], set()).add(make[row["machine"]])
    return found


def make_tables() -> Tables:
    """Every table of the pack as rows."""
    made = make_carburettors()
    kits, parts = make_kits(made), all_parts(made)
    machines, came_on = machine_rows(), came_on_rows(made)
    by_hand: Tables = {
        name: list(hand_written(name)) for name in ("makers", "feature_kinds", "confusions", "tools", "sources")
    }
    return by_hand | {
        "carburettors": carburettor_rows(made),
        "marks": mark_rows(made, makes_by_carburettor(machines, came_on)),
        "features": feature_rows(made),
        "parts": part_rows(parts, made),
        "part_sizes": part_size_rows(parts),
        "carburettor_parts": carburettor_part_rows(made),
        "kits": kit_rows(kits),
        "kit_parts": kit_part_rows(kits),
        "kit_fits": kit_fit_rows(kits),
        "replacements": replacement_rows(),
        "settings": setting_rows(made),
        "machines": machines,
        "came_on": came_on,
    }


def make_pack(folder: Path = PACK) -> None:
    """Write the pack into ``folder``, the same bytes each time."""
    write_pack(folder, make_tables(), TITLE, CURRENCY)
