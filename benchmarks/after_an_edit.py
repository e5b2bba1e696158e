"""How soon every web process answers from an edited record: ``python -m benchmarks.after_an_edit --out edit.json``.

A catalogue is loaded into a new database. A second process holds its weigher and follows the database as the pages do;
the first one edits records of several tables. For each edit the time runs from the moment it is committed until the
second process holds a weigher of the new version, and so answers from it.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import IO, Any

from floatbowl.reference.fact import Fact

GOAL_SECONDS = 1.0
PATIENCE_SECONDS = 60.0
#: Pause between edits, so that each is met by a process that has nothing left to do.
PAUSE_SECONDS = 1.5


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--carburettors", type=int, default=20_000)
    options.add_argument("--edits", type=int, default=5, help="edits of each kind")
    options.add_argument("--out", type=Path)
    options.add_argument("--follow", action="store_true", help=argparse.SUPPRESS)
    asked = options.parse_args()
    if asked.follow:
        follow()
        return 0
    with tempfile.TemporaryDirectory() as folder:
        os.environ["FLOATBOWL_DATABASE"] = str(Path(folder, "shop.sqlite3"))
        figures = measure(asked.carburettors, asked.edits)
    for name, value in figures.items():
        print(f"  {name:45s} {value}")
    if asked.out:
        asked.out.write_text(json.dumps(figures, indent=1), encoding="utf-8")
    return 0


def follow() -> None:
    """Say each version whose weigher this process holds, with the time and the processor's seconds it took."""
    from floatbowl.shop.setup import prepare

    prepare(None)
    from floatbowl.shop import standing

    standing.keep_up()
    told = -1
    while True:
        held = standing._held
        if held is not None and held.weigher is not None and held.version.number != told:
            told = held.version.number
            print(told, time.time(), time.process_time(), flush=True)
        time.sleep(0.01)


def measure(carburettors: int, edits: int) -> dict[str, Any]:
    from benchmarks.catalogue import make_catalogue
    from floatbowl.shop.setup import prepare

    prepare(None)
    from floatbowl.shop.load import load_reference

    load_reference(make_catalogue(carburettors, 1), "benchmark")
    command = [sys.executable, "-m", "benchmarks.after_an_edit", "--follow"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as follower:
        assert follower.stdout is not None
        try:
            next_version(follower.stdout)
            figures: dict[str, Any] = {"carburettors": carburettors}
            slowest = 0.0
            for name, edit in EDITS.items():
                waits, spent = timed(follower.stdout, edit, edits)
                slowest = max(slowest, *waits)
                figures[f"{name}: seconds until answered from"] = [round(wait, 2) for wait in waits]
                figures[f"{name}: of them processor"] = [round(seconds, 2) for seconds in spent]
            figures["slowest seconds"] = round(slowest, 2)
            figures["within a second"] = slowest <= GOAL_SECONDS
        finally:
            follower.kill()
    return figures


def timed(told: IO[str], edit: Any, edits: int) -> tuple[list[float], list[float]]:
    """Seconds from each commit until the other process holds its weigher, and the processor's share of them."""
    waits, spent = [], []
    busy_before = 0.0
    for number in range(edits + 1):
        time.sleep(PAUSE_SECONDS)
        edit(number)
        committed = time.time()
        at, busy = next_version(told)
        if number:  # The first edit warms up.
            waits.append(at - committed)
            spent.append(busy - busy_before)
        busy_before = busy
    return waits, spent


def next_version(told: IO[str]) -> tuple[float, float]:
    """When the other process held a further version, and its processor seconds until then."""
    line = told.readline()
    if not line:
        raise SystemExit("the process that follows the database has stopped")
    _, at, busy = line.split()
    return float(at), float(busy)


def change(table: str, number: int, **values: object) -> None:
    """Edit one row of a table: another one each time."""
    from floatbowl.shop import records

    shown = records.rows_where(table, **keys_of(table, number))[0]
    after: Fact = replace(shown.fact, **values)  # type: ignore[arg-type]
    records.change(table, shown.row, shown=shown.print, after=after, who="benchmark")


def keys_of(table: str, number: int) -> dict[str, str]:
    """What names the row to edit."""
    from floatbowl.shop import standing

    row = getattr(standing.current_reference(), table)[1000 + 7 * number]
    names = {"features": ("carburettor", "feature"), "marks": ("carburettor", "text"), "carburettors": ("carburettor",)}
    return {name: getattr(row, name) for name in names[table]}


EDITS = {
    "a feature's value": lambda n: change("features", n, value="unlike any other", doubt=f"edit {n}"),
    "a mark's text": lambda n: change("marks", n, text=f"EDIT{n}"),
    "a carburettor's name": lambda n: change("carburettors", n, name=f"Edit {n}"),
}


if __name__ == "__main__":
    raise SystemExit(main())
