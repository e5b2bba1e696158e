"""Writers killed at random moments with SIGKILL: what was committed is there, nothing is half there."""

from __future__ import annotations

import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

WRITER = Path(__file__).with_name("writing_process.py")
LONGEST_SECONDS = 0.5


class Writers:
    """The process that forks writers, seen from here."""

    def __init__(self, database: Path) -> None:
        self.database = database
        self.process = subprocess.Popen(
            [sys.executable, str(WRITER), str(database)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def start(self, jobs: str) -> None:
        assert self.process.stdin
        self.process.stdin.write(f"{jobs}\n")
        self.process.stdin.flush()

    def line(self) -> list[str]:
        assert self.process.stdout
        said = self.process.stdout.readline().split()
        assert said, "the writers' process ended"
        return said

    def killed(self, job: str, after_seconds: float) -> tuple[int, int, bool]:
        """Let a writer begin, kill it; the last numbers begun and done, and whether it died by the kill."""
        self.start(job)
        begun, done, child = -1, -1, 0
        while begun < 0 or not child:
            word, number, *_ = self.line()
            assert word != "over", "the writer ended by itself"
            child = int(number) if word == "child" else child
            begun = int(number) if word == "begin" else begun
        time.sleep(after_seconds)
        os.kill(child, signal.SIGKILL)
        while True:
            word, number, *rest = self.line()
            if word == "over":
                return begun, done, rest == [str(int(signal.SIGKILL))]
            begun, done = (int(number), done) if word == "begin" else (begun, int(number))

    def finished(self, job: str) -> float:
        """Let a writer do its first write whole, kill it, and return how many seconds that write took."""
        self.start(job)
        child, began = 0, 0.0
        while True:
            word, number, *_ = self.line()
            if word == "child":
                child = int(number)
            assert word != "over", "the writer ended by itself"
            if word == "begin":
                began = time.monotonic()
            elif word == "done":
                took = time.monotonic() - began
                os.kill(child, signal.SIGKILL)
                while self.line()[0] != "over":
                    pass
                return took

    def close(self) -> None:
        assert self.process.stdin
        self.process.stdin.close()
        self.process.wait(timeout=20)
        assert self.process.stdout
        self.process.stdout.close()

    def ask(self, question: str) -> list[tuple]:
        with closing(sqlite3.connect(self.database)) as connection:
            return connection.execute(question).fetchall()


@pytest.fixture
def writers(tmp_path: Path) -> Iterator[Writers]:
    started = Writers(tmp_path / "shop.sqlite3")
    yield started
    started.close()


def whole_and_sound(writers: Writers) -> None:
    assert writers.ask("PRAGMA integrity_check") == [("ok",)]
    # Each version left its changes: neither a counted version without one, nor a change of a version never reached.
    [(versions, highest)] = writers.ask("SELECT COUNT(DISTINCT version), MAX(version) FROM changes")
    assert writers.ask("SELECT number FROM reference_version") == [(highest,)]
    assert versions == highest


def loaded_number(writers: Writers) -> int:
    """The number that every row of every table tells; fails when two rows tell different ones."""
    words = writers.ask(
        'SELECT DISTINCT note FROM makers UNION SELECT note FROM carburettors UNION SELECT "with" FROM marks'
        " UNION SELECT how FROM feature_kinds UNION SELECT value FROM features UNION SELECT name FROM kits"
        " UNION SELECT extra_parts FROM kit_fits UNION SELECT currency FROM reference_version"
    )
    assert len(words) == 1, words
    counts = [writers.ask(f"SELECT COUNT(*) FROM {t}")[0][0] for t in ("carburettors", "marks", "features", "kit_fits")]
    assert counts == [250, 250, 2000, 250]
    found = re.fullmatch("load ([0-9]+)", words[0][0])
    assert found
    return int(found[1])


def test_twenty_loads_killed(writers: Writers) -> None:
    chance = random.Random(20)
    writers.finished("load 0")
    number = loaded_number(writers) + 1
    seconds = writers.finished(f"load {number}")  # With another pack there already, as in what follows.
    number, unfinished = loaded_number(writers) + 1, 0
    for _ in range(20):
        begun, done, by_kill = writers.killed(f"load {number}", chance.uniform(0, 2 * seconds))
        assert by_kill
        whole_and_sound(writers)
        there = loaded_number(writers)
        assert there in {done, begun} if done >= 0 else there in {number - 1, begun}
        unfinished += there != begun
        number = there + 1
    assert unfinished > 3, "hardly a load was cut off: the kills would prove little"
    assert number > 4, "hardly a load was finished: the kills would prove little"


def test_a_first_load_killed_leaves_nothing(writers: Writers) -> None:
    writers.killed("load 0", 0.02)
    assert writers.ask("PRAGMA integrity_check") == [("ok",)]
    assert [writers.ask(f"SELECT COUNT(*) FROM {table}") for table in ("makers", "features", "changes")] == [[(0,)]] * 3


@pytest.mark.parametrize("job", ["edit", "save"])
def test_ten_rounds_of_edits_killed(writers: Writers, job: str) -> None:
    chance = random.Random(10)
    writers.finished("load 0")
    [(row,)] = writers.ask("SELECT MIN(id) FROM carburettors")
    number, first_version = 0, writers.ask("SELECT number FROM reference_version")[0][0]
    for _ in range(10):
        begun, done, by_kill = writers.killed(f"{job} {number} carburettors {row}", chance.uniform(0, LONGEST_SECONDS))
        assert by_kill
        whole_and_sound(writers)
        [(note,)] = writers.ask(f"SELECT note FROM carburettors WHERE id = {row}")
        there = int(note.removeprefix("edit ")) if note.startswith("edit ") else -1
        assert there in {done, begun} if done >= 0 else there in {number - 1, begun}
        number = there + 1
        assert writers.ask("SELECT number FROM reference_version") == [(first_version + number,)]
    told = writers.ask("SELECT json_extract(after, '$.note') FROM changes WHERE \"table\" = 'carburettors' AND row > 0")
    assert told == [(f"edit {n}",) for n in range(number)]
    assert number > 10


def test_ten_rounds_of_enquiries_killed(writers: Writers) -> None:
    chance = random.Random(30)
    number = 0
    for _ in range(10):
        begun, done, by_kill = writers.killed(f"enquire {number}", chance.uniform(0, LONGEST_SECONDS))
        assert by_kill
        callers = writers.ask("SELECT caller FROM shop_enquiry ORDER BY id")
        assert callers == writers.ask("SELECT label FROM shop_inhand ORDER BY id")
        there = len(callers)
        assert callers == [(f"caller {n}",) for n in range(there)]
        assert there in {done + 1, begun + 1} if done >= 0 else there in {number, begun + 1}
        number = there
    assert number > 10


def test_writers_that_contend_all_succeed(writers: Writers) -> None:
    """Four processes, forty edits each: all 160 are kept and counted."""
    writers.finished("load 0")
    rows = [row for (row,) in writers.ask("SELECT id FROM carburettors ORDER BY id LIMIT 4")]
    [(before,)] = writers.ask("SELECT number FROM reference_version")
    writers.start("; ".join(f"edit 0 carburettors {row} 40" for row in rows))
    ended = []
    while len(ended) < len(rows):
        word, _, *rest = writers.line()
        if word == "over":
            ended.append(rest)
    assert ended == [["0"]] * len(rows)
    assert writers.ask("SELECT number FROM reference_version") == [(before + 160,)]
    whole_and_sound(writers)
    notes = writers.ask(f"SELECT note FROM carburettors WHERE id IN ({', '.join(map(str, rows))})")
    assert notes == [("edit 39",)] * 4
