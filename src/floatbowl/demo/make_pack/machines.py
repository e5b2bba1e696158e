"""The machines, and what each came on with: written by hand where a story needs it, by size of engine elsewhere."""

from __future__ import annotations

from math import exp, sqrt
from typing import Final

from floatbowl.demo.make_pack.carburettors import Carburettor
from floatbowl.demo.make_pack.chance import chance_for, pick, whole
from floatbowl.demo.make_pack.tables import Row, hand_written

MOST: Final = 9
#: Bore in mm that suits an engine, from the square root of cm3 times revolutions a minute (rule of thumb, estimate).
BORE_FACTOR: Final = 0.0162


def machine_rows() -> list[Row]:
    """The rows of the table ``machines``; serial numbers and years of building stand in ``came_on``."""
    names = ("machine", "make", "model", "displacement_cm3", "cylinders", "governed_rpm", "share", "source", "page")
    return [{name: row[name] for name in names} for row in hand_written("machines")]


def suiting_bore_mm(machine: dict[str, str]) -> float:
    flow = float(machine["displacement_cm3"]) * float(machine["governed_rpm"])
    return min(30.0, max(19.0, BORE_FACTOR * sqrt(flow)))


def assigned(made: list[Carburettor], machines: list[dict[str, str]]) -> dict[str, list[Carburettor]]:
    """Machine key to the carburettors chosen for it by bore; one carburettor came on none to three machines."""
    chosen: dict[str, list[Carburettor]] = {machine["machine"]: [] for machine in machines}
    for one in made:
        random = chance_for("machines", one.key)
        bore = float(one.family["throat bore"])
        for _ in range(pick(random, (0, 1, 1, 1, 2, 2, 3))):
            open_ = [machine for machine in machines if len(chosen[machine["machine"]]) < MOST]
            weights = [exp(-(((suiting_bore_mm(machine) - bore) / 2.0) ** 2)) + 1e-6 for machine in open_]
            machine = pick(random, open_, weights)["machine"]
            if one not in chosen[machine]:
                chosen[machine].append(one)
    return chosen


def came_on_rows(made: list[Carburettor]) -> list[Row]:
    """The rows of the table ``came_on``."""
    by_hand: list[Row] = list(hand_written("came_on"))
    settled = {row["machine"] for row in by_hand}
    known = {row["carburettor"] for row in by_hand}
    machines = [row for row in hand_written("machines") if row["machine"] not in settled]
    free = [one for one in made if one.key not in known]
    chosen = assigned(free, machines)
    rows = by_hand
    for machine in machines:
        rows = rows + of_machine(machine, chosen[machine["machine"]] or [nearest(free, machine)])
    return rows


def nearest(made: list[Carburettor], machine: dict[str, str]) -> Carburettor:
    return min(made, key=lambda one: abs(float(one.family["throat bore"]) - suiting_bore_mm(machine)))


def of_machine(machine: dict[str, str], takers: list[Carburettor]) -> list[Row]:
    """Up to three factory carburettors one after the other, then options, then what was fitted later."""
    random = chance_for("came on", machine["machine"])
    originals = [one for one in takers if one.maker != "yelbourn"]
    factory = originals[: min(len(originals), whole(random, 1, 3))]
    source = {"source": machine["source"], "page": int(machine["page"]) + 1}
    rows = [factory_row(machine, one, place, len(factory)) | source for place, one in enumerate(factory)]
    for one in takers:
        if one not in factory:
            how = "replacement" if one.maker == "yelbourn" else pick(random, ("option", "option", "replacement"))
            share = pick(random, (0.1, 0.2, 0.3))
            rows.append({"machine": machine["machine"], "carburettor": one.key, "share": share, "how": how, **source})
    return rows


def factory_row(machine: dict[str, str], one: Carburettor, place: int, of: int) -> Row:
    """One factory carburettor's stretch of the serial numbers and years."""
    first, last = int(machine["serial_first"]), int(machine["serial_last"])
    year, last_year = int(machine["year_first"]), int(machine["year_last"])
    step, years = (last - first + 1) // of, last_year - year
    return {
        "machine": machine["machine"],
        "carburettor": one.key,
        "share": 1,
        "how": "factory",
        "serial_from": first + place * step,
        "serial_to": last if place == of - 1 else first + (place + 1) * step - 1,
        "serial_doubt": max(10, step // 20) if of > 1 else None,
        "year_from": year + years * place // of,
        "year_to": year + years * (place + 1) // of,
    }
