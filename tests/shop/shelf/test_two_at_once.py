"""Two processes want the last of something in the same moment: one gets it, the other is told, and no sum is wrong."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

#: Waits for a word on its input, so that all begin together, then does that to the shop and says how it went.
WORKER = """
import sys
from pathlib import Path
from floatbowl.shop.setup import prepare
prepare(Path(sys.argv[1]))
from floatbowl.shop.shelf.building import build
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, take
from floatbowl.shop.shelf.things import things_now
things_now()
kit, who = item_of("kit", "T-25G"), sys.argv[2]
print("ready", flush=True)
for word in sys.stdin:
    try:
        if word.strip() == "build":
            build("T-25G", 2, "", who, f"sent by {who}")
        else:
            take(kit, 2, About(why="sale", who=who))
        print("done", flush=True)
    except NotEnoughError as told:
        print(f"told {told}", flush=True)
"""

FILL = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from floatbowl.shop.setup import prepare
prepare(Path(sys.argv[1]))
from floatbowl.shop.load import load_reference
from floatbowl.shop.shelf.beginning import begin
from tests.shop.shelf.conftest import RECORDS
load_reference(RECORDS, "Ines")
begin("Ines")
"""

AT_ONCE = 2


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with one packed gasket kit, and loose parts for two more."""
    path = tmp_path_factory.mktemp("shop") / "shop.sqlite3"
    root = str(Path(__file__).parents[3])
    subprocess.run([sys.executable, "-c", FILL, str(path), root], check=True, timeout=120, env=_environment())
    return path


def _environment() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}


Process = subprocess.Popen[str]


@pytest.fixture(scope="module")
def people(database: Path) -> Iterator[list[Process]]:
    """Processes of their own, each like a page that somebody has open."""
    found = [
        subprocess.Popen(
            [sys.executable, "-c", WORKER, str(database), f"person {number}"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=_environment(),
        )
        for number in range(AT_ONCE)
    ]  # fmt: skip
    try:
        assert [_said(one) for one in found] == ["ready"] * AT_ONCE
        yield found
    finally:
        for one in found:
            one.communicate(timeout=60)


def _said(one: Process) -> str:
    assert one.stdout
    return one.stdout.readline().strip()


def together(people: list[Process], word: str) -> list[str]:
    """What they say that all do the same in one moment."""
    for one in people:
        assert one.stdin
        one.stdin.write(f"{word}\n")
        one.stdin.flush()
    return sorted(_said(one) for one in people)


def numbers(database: Path) -> dict[str, int]:
    """On hand by item, each held against its places and its lines."""
    with closing(sqlite3.connect(database)) as opened:
        found = dict(opened.execute("SELECT key, on_hand FROM shop_item WHERE key IN ('T-25G', 'G-1', 'W-1')"))
        for table in ("shop_ledgerline", "shop_holding"):
            sums = opened.execute(
                f"SELECT key, SUM(quantity) FROM {table} t JOIN shop_item i ON i.id = t.item_id GROUP BY key"
            )
            assert {key: count for key, count in sums if key in found} == found
    return found


def test_the_last_parts_and_the_last_kits_go_to_one_of_two(database: Path, people: list[Process]) -> None:
    assert numbers(database) == {"T-25G": 1, "G-1": 8, "W-1": 5}
    said = together(people, "build")
    # Two kits take four washers of five: only one of the two can build.
    assert [line.split()[0] for line in said] == ["done", "told"], said
    assert "Seat washer: 4 wanted, 1 free" in said[1]
    assert numbers(database) == {"T-25G": 3, "G-1": 6, "W-1": 1}
    said = together(people, "sell")
    # Both sell two of three.
    assert [line.split()[0] for line in said] == ["done", "told"], said
    assert numbers(database) == {"T-25G": 1, "G-1": 6, "W-1": 1}
