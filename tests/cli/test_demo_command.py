"""``floatbowl demo``: the invented shop in a new database, its stories told, its pages served."""

from __future__ import annotations

import re
import signal
import sqlite3
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from floatbowl.demo.stories import read_stories

COMMAND = [sys.executable, "-u", "-c", "from floatbowl.cli import main; main()", "demo"]


def run(folder: Path, *words: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *map(str, words)], cwd=folder, capture_output=True, text=True, timeout=240, check=False
    )


def carburettors(database: Path) -> int:
    with sqlite3.connect(database) as open_database:
        return int(open_database.execute("select count(*) from carburettors").fetchone()[0])


def served(folder: Path) -> str:
    """Run it as a newcomer does: what it says up to the address it prints, where the pages then are."""
    with subprocess.Popen([*COMMAND, "--port", "0"], cwd=folder, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        said = ""
        try:
            while not (found := re.search(r"http://127\.0\.0\.1:\d+/", said)):
                line = running.stdout.readline()
                assert line, f"it ended without an address: {said[-500:]}"
                said += line
            with urllib.request.urlopen(found.group(0), timeout=60) as page:
                assert page.status == 200
                assert b"<html" in page.read()
        finally:
            running.send_signal(signal.SIGINT)
            running.wait(30)
    return said


@pytest.mark.timeout(240)
def test_the_stories_are_told_and_the_shop_is_made_anew_and_served(tmp_path: Path) -> None:
    found = run(tmp_path, "--no-serve")
    assert found.returncode == 0, found.stderr
    told = " ".join(found.stdout.split())
    for story in read_stories():
        assert f"{story.key.removeprefix('S')}. {story.title}" in told
    assert told.count("Carburettor ") >= len(read_stories())
    assert "Read it back to the caller, then send" in told
    assert "Ask first:" in told
    assert "bench" in told
    assert "Read: K36/118" in told
    assert "The number on the tag reads K36/118" in told
    assert "replaced" not in told.split("1. ")[0]
    database = tmp_path / "demo-shop" / "floatbowl.sqlite3"
    assert carburettors(database) >= 300
    database.with_name("floatbowl.sqlite3").write_bytes(b"not a database")
    old = database.with_name("floatbowl.sqlite3.photographs") / "1" / "plain.jpg"
    old.parent.mkdir(parents=True)
    old.write_bytes(b"of the shop before")
    assert "is replaced by a new one" in served(tmp_path)
    assert not old.exists()
    assert carburettors(database) >= 300


def test_a_file_somebody_names_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "mine.sqlite3").write_text("precious")
    found = run(tmp_path, "--no-serve", "--database", "mine.sqlite3")
    assert found.returncode != 0
    assert "mine.sqlite3 is there already" in found.stderr
    assert (tmp_path / "mine.sqlite3").read_text() == "precious"
