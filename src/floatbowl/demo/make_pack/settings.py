"""The settings: float level with its datum, idle and main turns with the needle they turn, and jet bore."""

from __future__ import annotations

from typing import Final

from floatbowl.demo.make_pack.carburettors import MANUALS, Carburettor
from floatbowl.demo.make_pack.chance import chance_for, pick
from floatbowl.demo.make_pack.tables import Row, hand_written

DATUM: Final = {
    "tarnsyke": "lid upside down, gasket off, lid face to nearest edge of float, float resting by its own weight",
    "brattock": "lid upside down, gasket on, gasket to far edge of float at the toe",
    "sallowby": "lid upside down, gasket off, lid face to nearest edge of float at the hinge end",
    "cawdle": "bowl upright, fuel level below the bowl's edge, fuel tap on",
    "yelbourn": "lid upside down, gasket on, gasket to nearest edge of float",
}
#: Which needle the idle screw is, and what turning it inward does: makers differ, so it is always said.
IDLE: Final = {
    "tarnsyke": ("fuel", "leaner"),
    "brattock": ("air", "richer"),
    "sallowby": ("air", "richer"),
    "cawdle": ("fuel", "leaner"),
    "yelbourn": ("fuel", "leaner"),
}


def setting_rows(made: list[Carburettor]) -> list[Row]:
    """The rows of the table ``settings``, with the figures on which two sources disagree."""
    rows: list[Row] = [
        {"carburettor": one.key, **row, "source": MANUALS[one.maker], "page": one.page + 1}
        for one in made
        for row in of_one(one)
    ]
    return rows + hand_written("second_opinions")


def of_one(one: Carburettor) -> list[Row]:
    random = chance_for("settings", one.key)
    needle, inward = IDLE[one.maker]
    level, bore = float(one.build["float_level"]), float(one.build["jet_bore"])
    turns = 1.25 if one.by_hand else pick(random, (1.0, 1.25, 1.5))
    if not one.by_hand:
        bore = round(bore + pick(random, (0.0, 0.0, 0.05)), 2)
    rows: list[Row] = [
        {"quantity": "float level", "value": level, "low": level - 0.8, "high": level + 0.8, "unit": "mm"}
        | {"datum": DATUM[one.maker]},
        {"quantity": "idle turns", "value": turns, "low": 0.75, "high": 2.0, "unit": "turns out", "needle": needle}
        | {"inward": inward, "datum": "from lightly seated"},
        {
            "quantity": "jet bore",
            "value": bore,
            "low": round(bore - 0.02, 2),
            "high": round(bore + 0.02, 2),
            "unit": "mm",
        },
    ]
    if one.family["main needle"] != "none":
        rows.append(
            {"quantity": "main turns", "value": 1.5, "low": 1.0, "high": 2.5, "unit": "turns out", "needle": "fuel"}
            | {"inward": "leaner", "datum": "from lightly seated"}
        )
    return rows
