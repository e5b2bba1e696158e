"""How quick it is, one thread unless said: ``python -m benchmarks.speed --out speed.json``.

Every part runs in a process of its own, so that one part's memory or warm caches do not flatter another. RapidFuzz and
floatbowl answer the same 200 worn readings (no wildcards) over the same normalised, unique marks in the same run,
turn by turn.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

ONE_THREAD = {"NUMBA_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
ROOT = Path(__file__).resolve().parent.parent
QUERIES = 200


def worn_queries(marks: Sequence[str], count: int, seed: int) -> list[str]:
    """Concrete readings of worn marks: a look-alike, a wrong or a lost character in two of three."""
    from benchmarks.damage import LETTERS_AND_DIGITS, LOOKALIKE

    rng = random.Random(f"queries {seed}")
    out = []
    for mark in rng.sample(list(marks), count):
        characters = list(mark)
        for _ in range(rng.choice((0, 1, 2))):
            at = rng.randrange(len(characters))
            like = LOOKALIKE.get(characters[at], LETTERS_AND_DIGITS)
            characters[at] = rng.choice((rng.choice(like), rng.choice(LETTERS_AND_DIGITS), ""))
        out.append("".join(characters) or mark)
    return out


def milliseconds(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return 1000 * (time.perf_counter() - start)


def marks_part(count: int) -> dict[str, float]:
    """Median time of one query over so many marks: floatbowl, RapidFuzz one by one and batched."""
    import numpy as np
    from rapidfuzz import process
    from rapidfuzz.distance import Levenshtein

    from benchmarks.grammar import make_marks
    from floatbowl.identify.marks import MarkIndex

    marks = make_marks(count, seed=1)
    queries = worn_queries(marks, QUERIES, seed=count)
    start = time.perf_counter()
    index = MarkIndex(marks)
    built = time.perf_counter() - start
    index.nearest(queries[0])
    ours, theirs = [], []
    for query in queries:
        ours.append(milliseconds(lambda q=query: index.nearest(q)))  # type: ignore[misc]
        theirs.append(
            milliseconds(lambda q=query: process.extractOne(q, marks, scorer=Levenshtein.distance, processor=None))  # type: ignore[misc]
        )
    # Batches of ten keep the table of distances small (ten bytes a mark).
    batched = []
    for at in range(0, min(QUERIES, 50), 10):
        batch = queries[at : at + 10]
        spent = milliseconds(
            lambda b=batch: process.cdist(b, marks, scorer=Levenshtein.distance, dtype=np.uint8, workers=1)  # type: ignore[misc]
        )
        batched.append(spent / len(batch))
    our_median, their_median = statistics.median(ours), statistics.median(theirs)
    return {
        "marks": count,
        "floatbowl_ms": our_median,
        "rapidfuzz_extract_one_ms": their_median,
        "times_faster": their_median / our_median,
        "median_of_ratios": statistics.median(t / o for t, o in zip(theirs, ours, strict=True)),
        "rapidfuzz_cdist_ms": statistics.median(batched),
        "index_seconds": built,
    }


def memory_part(count: int) -> dict[str, float]:
    """Peak resident memory of a process that holds so many marks and answers ten queries."""
    from benchmarks.grammar import make_marks
    from floatbowl.identify.marks import MarkIndex

    marks = make_marks(count, seed=1)
    held = peak_mb()
    index = MarkIndex(marks)
    for query in worn_queries(marks, 10, seed=count):
        index.log_likelihoods(query)
    return {"marks": count, "peak_mb": peak_mb(), "of_which_before_the_index_mb": held}


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def enquiry_part(carburettors: int) -> dict[str, float]:
    """Time of one enquiry with its next looks ranked."""
    from benchmarks.catalogue import make_catalogue, make_truth
    from benchmarks.simulator import simulate
    from floatbowl.identify.consult import consult
    from floatbowl.identify.weigh import Weigher

    start = time.perf_counter()
    weigher = Weigher(make_catalogue(carburettors, 1))
    built = time.perf_counter() - start
    cases = simulate(make_truth(carburettors, 1), 300, 7, "little")
    cases += simulate(make_truth(carburettors, 1), 100, 7, "plentiful")
    for case in cases[:20]:
        consult(weigher, case.enquiry)
    spent = sorted(milliseconds(lambda e=case.enquiry: consult(weigher, e)) for case in cases)  # type: ignore[misc]
    return {
        "carburettors": carburettors,
        "median_ms": statistics.median(spent),
        "p95_ms": spent[int(len(spent) * 0.95)],
        "longest_ms": spent[-1],
        "catalogue_and_index_seconds": built,
    }


def batch_part(carburettors: int, enquiries: int) -> dict[str, float]:
    """The command line over a pack: a whole batch (all cores), and the first answer of a new process."""
    from benchmarks.catalogue import make_catalogue, make_truth
    from benchmarks.lines import enquiry_line
    from benchmarks.simulator import simulate
    from floatbowl.reference.pack import write_pack

    with tempfile.TemporaryDirectory() as folder:
        pack, many, one = Path(folder, "pack"), Path(folder, "many.jsonl"), Path(folder, "one.jsonl")
        write_pack(make_catalogue(carburettors, 1), pack)
        cases = simulate(make_truth(carburettors, 1), enquiries, 8, "little")
        many.write_text("".join(enquiry_line(c.enquiry) + "\n" for c in cases), encoding="utf-8")
        one.write_text(enquiry_line(cases[0].enquiry) + "\n", encoding="utf-8")
        first = [identify(pack, one, Path(folder, "out")) for _ in range(4)][1:]
        small = Path(folder, "small")
        write_pack(make_catalogue(300, 1), small)
        first_small = [identify(small, one, Path(folder, "out")) for _ in range(4)][1:]
        batch = identify(pack, many, Path(folder, "out"))
        written = len(Path(folder, "out").read_text(encoding="utf-8").splitlines())
    return {
        "carburettors": carburettors,
        "enquiries": written,
        "batch_seconds": batch,
        "first_answer_seconds": statistics.median(first),
        "first_answer_300_carburettors_seconds": statistics.median(first_small),
        "cores": len(os.sched_getaffinity(0)),
    }


def identify(pack: Path, enquiries: Path, out: Path) -> float:
    """Seconds of one ``floatbowl identify``."""
    command = [str(Path(sys.executable).with_name("floatbowl")), "identify"]
    files = ["--pack", str(pack), "--enquiries", str(enquiries), "--out", str(out)]
    start = time.perf_counter()
    subprocess.run([*command, *files], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


PARTS: dict[str, Callable[[], dict[str, float]]] = {
    "marks 100000": lambda: marks_part(100_000),
    "marks 1000000": lambda: marks_part(1_000_000),
    "memory 1000000": lambda: memory_part(1_000_000),
    "enquiry 20000": lambda: enquiry_part(20_000),
    "batch 20000": lambda: batch_part(20_000, 10_000),
}


def apart(name: str) -> dict[str, Any]:
    """One part in a new process (one thread, unless it is the batch)."""
    environment = os.environ | ({} if name.startswith("batch") else ONE_THREAD)
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.speed", "--part", name],
        env=environment, cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        return {"error": done.stderr.strip().splitlines()[-1] if done.stderr.strip() else "no message"}
    figures: dict[str, Any] = json.loads(done.stdout.strip().splitlines()[-1])
    return figures


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", choices=sorted(PARTS), help="run one part in this process and print it as JSON")
    parser.add_argument("--only", choices=sorted(PARTS), nargs="+", default=list(PARTS))
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    if asked.part:
        print(json.dumps(PARTS[asked.part]()))
        return
    results = {}
    for name in asked.only:
        results[name] = apart(name)
        print(f"\n{name}")
        for key, value in results[name].items():
            print(f"  {key.replace('_', ' '):40s} {value if isinstance(value, str) else format(value, '.4g')}")
    if asked.out:
        asked.out.write_text(json.dumps(results, indent=1))


if __name__ == "__main__":
    main()
