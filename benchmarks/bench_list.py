"""How soon today's bench list and a job's page open: ``python -m benchmarks.bench_list``.

The demo shop's records and so many open jobs are put into a new database; each page is asked for in turn, through the
whole of the shop's own handling, with one job moved between so that nothing is answered from a store.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import tempfile
import time
from datetime import timedelta
from pathlib import Path

GOAL_MS = 300
#: How many of the jobs wait for somebody (made up for this benchmark).
HELD_SHARE = 0.2


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jobs", type=int, default=5_000)
    options.add_argument("--times", type=int, default=20)
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["FLOATBOWL_DATABASE"] = str(Path(folder, "shop.sqlite3"))
        for name, times in measure(asked.jobs, asked.times).items():
            print(f"  {name:32s} median {statistics.median(times):6.1f} ms, most {max(times):6.1f} ms  (aim {GOAL_MS})")
    return 0


def measure(jobs: int, how_often: int) -> dict[str, list[float]]:
    """Milliseconds of each page, so often."""
    from floatbowl.shop.setup import prepare

    prepare(None)
    fill(jobs)
    from django.test import Client

    from floatbowl.shop.models import Job

    client = Client(SERVER_NAME="localhost")
    pages = {
        "today's list": "/bench/",
        "the last page of it": "/bench/?page=100",
        "found by owner": "/bench/?q=Owner+7",
        "one job's measuring sheet": "/bench/17/step/measure/",
    }
    client.get("/bench/")
    found: dict[str, list[float]] = {name: [] for name in pages}
    for turn in range(how_often):
        Job.objects.filter(pk=turn + 1).update(step="build")
        for name, address in pages.items():
            began = time.perf_counter()
            answer = client.get(address)
            found[name].append(1000 * (time.perf_counter() - began))
            assert answer.status_code == 200, (name, answer.status_code)
    return found


def fill(how_many: int) -> None:
    """The demo's records, and jobs at every step, some on hold."""
    from django.utils import timezone

    from floatbowl.bench.steps import steps
    from floatbowl.demo.make_pack.whole_pack import PACK
    from floatbowl.reference.pack import read_pack
    from floatbowl.shop.load import load_reference
    from floatbowl.shop.models import Job

    reference = read_pack(PACK)
    load_reference(reference, "benchmark")
    chance, today = random.Random(1), timezone.localdate()
    keys = [one.carburettor for one in reference.carburettors]
    Job.objects.bulk_create(
        Job(
            owner=f"Owner {number}",
            machine_text="Drumlow Lowfold",
            carburettor=chance.choice(keys),
            step=chance.choice(steps()).key,
            promised=today + timedelta(chance.randint(-20, 60)) if chance.random() < 0.7 else None,
            held_for="Priya Collis" if chance.random() < HELD_SHARE else "",
            held_why="a seat is on order",
        )
        for number in range(how_many)
    )


if __name__ == "__main__":
    raise SystemExit(main())
