"""How soon the shelf's pages open with a long ledger: ``python -m benchmarks.shelf_page``.

The demo shop's records, so many invented parts more, and so many ledger lines are put into a new database; each page is
asked for in turn, through the whole of the shop's own handling, with one line written between so that nothing is
answered from a store, except what is expected: that is worked out anew for new ledger lines every ten minutes at most,
so its cost shows under ``first``, the first answer of a new process, which also compiles what was not compiled yet.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import tempfile
import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

GOAL_MS = 300
LEFT_SHARE = 0.7
YEARS = 4


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--lines", type=int, default=200_000)
    options.add_argument("--parts", type=int, default=5_000)
    options.add_argument("--times", type=int, default=10)
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["FLOATBOWL_DATABASE"] = str(Path(folder, "shop.sqlite3"))
        for name, times in measure(asked.lines, asked.parts, asked.times).items():
            rest = times[1:]
            print(
                f"  {name:34s} first {times[0]:8.1f} ms, then median {statistics.median(rest):7.1f} ms, "
                f"most {max(rest):7.1f} ms  (aim {GOAL_MS})"
            )
    return 0


def measure(lines: int, parts: int, how_often: int) -> dict[str, list[float]]:
    """Milliseconds of each page, so often."""
    from floatbowl.shop.setup import prepare

    prepare(None)
    fill(lines, parts)
    from django.test import Client

    from floatbowl.shop.shelf.ledger import About, item_of, write

    client = Client(SERVER_NAME="localhost")
    pages = {
        "the list": "/shelf/",
        "the list's last page": "/shelf/?page=9999",
        "found by name": "/shelf/?q=bowl+gasket",
        "one item, its ledger and drawings": "/shelf/part/p-00001/",
        "kits and shortages": "/shelf/kits/",
        "what to build": "/shelf/build/",
        "what to buy": "/shelf/buy/",
    }
    found: dict[str, list[float]] = {name: [] for name in pages}
    for turn in range(how_often + 1):
        write(item_of("part", f"p-{turn:05}"), 1, About(why="receipt"), "A1")
        for name, address in pages.items():
            began = time.perf_counter()
            answer = client.get(address)
            found[name].append(1000 * (time.perf_counter() - began))
            assert answer.status_code == 200, (name, answer.status_code)
    return found


def fill(lines: int, parts: int) -> None:
    """The demo's records and invented parts, with a ledger of receipts and sales over some years."""
    from floatbowl.demo.make_pack.whole_pack import PACK
    from floatbowl.reference.facts import Part
    from floatbowl.reference.pack import read_pack
    from floatbowl.shop.load import load_reference
    from floatbowl.shop.models.shelf import Item

    reference = read_pack(PACK)
    more = tuple(Part(part=f"p-{n:05}", kind="gasket", name=f"Gasket {n}", cost=1.0, price=2.5) for n in range(parts))
    load_reference(replace(reference, parts=reference.parts + more), "benchmark")
    keys = [("part", part.part) for part in reference.parts + more] + [("kit", kit.kit) for kit in reference.kits]
    Item.objects.bulk_create(Item(kind=kind, key=key) for kind, key in keys)
    _ledger(lines, list(Item.objects.values_list("pk", flat=True)))


def _ledger(lines: int, items: list[int]) -> None:
    from django.db.models import F, Sum
    from django.utils import timezone

    from floatbowl.shop.models.shelf import Holding, Item, LedgerLine

    chance, now = random.Random(1), timezone.now()
    asked = [chance.gammavariate(0.5, 1.0) for _ in items]
    rows: list[Any] = []
    stock = dict.fromkeys(items, 0)
    days = sorted(chance.uniform(0, YEARS * 365) for _ in range(lines))
    for at, item in zip(reversed(days), chance.choices(items, asked, k=lines), strict=True):
        leaves = stock[item] > 0 and chance.random() < LEFT_SHARE
        quantity = -min(stock[item], chance.choice((1, 1, 1, 2))) if leaves else chance.randint(2, 12)
        stock[item] += quantity
        why = "sale" if leaves else "receipt"
        rows.append(LedgerLine(item_id=item, place="A1", quantity=quantity, why=why, at=now - timedelta(days=at)))
    LedgerLine.objects.bulk_create(rows, batch_size=5000)
    Holding.objects.bulk_create(Holding(item_id=item, place="A1", quantity=count) for item, count in stock.items())
    sums = LedgerLine.objects.order_by().values_list("item").annotate(Sum("quantity"))
    assert all(stock[item] == total for item, total in sums)
    for item, count in stock.items():
        Item.objects.filter(pk=item).update(on_hand=F("on_hand") + count)


if __name__ == "__main__":
    raise SystemExit(main())
