"""``floatbowl pack`` as it is run: what it prints, where, and the code it ends with, on a real database."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from floatbowl.reference.facts import (
    CameOn,
    Carburettor,
    Kit,
    KitFit,
    Machine,
    Maker,
    Mark,
    Reference,
)
from floatbowl.reference.pack import read_pack, write_pack

SOUND = Reference(
    makers=(Maker(maker="tarnsyke", name="Tarnsyke"),),
    carburettors=(Carburettor(carburettor="k36-118", maker="tarnsyke", extra=(("shelf", "A7"),)),),
    marks=(Mark(carburettor="k36-118", text="K36/118", role="identifies", part="tag"),),
    kits=(Kit(kit="T-12", name="Gaskets", price=9.5),),
    kit_fits=(KitFit(kit="T-12", carburettor="k36-118"),),
    machines=(Machine(machine="lowfold", make="Drumlow", model="Lowfold"),),
    came_on=(CameOn(machine="lowfold", carburettor="k36-118", year_from=1946),),
    currency="crowns",
)


def run(*words: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from floatbowl.cli import main; main()", "pack", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    write_pack(SOUND, tmp_path / "sound")
    return tmp_path / "sound"


@pytest.fixture
def broken(sound: Path) -> Path:
    (sound / "kits.csv").write_text("kit,name,price\nT-12,Gaskets,nine\nT-12,Again,\n")
    return sound


def test_check_finds_nothing_in_a_sound_pack(sound):
    done = run("check", sound)
    assert (done.returncode, done.stdout, done.stderr) == (0, "Nothing found: no gap, no contradiction.\n", "")


def test_check_lists_each_finding_with_file_and_line(sound):
    (sound / "kits.csv").write_text("kit,name\nT-12,Gaskets\nX-1,Orphan\n")
    done = run("check", sound)
    assert done.returncode == 1
    assert done.stdout.splitlines() == ["kits.csv:3: fits nothing: kit X-1 fits no carburettor", "1 found"]


@pytest.mark.parametrize("command", ["check", "load"])
def test_a_pack_that_cannot_be_read_is_told_fault_by_fault(broken, tmp_path, command):
    more = ["--database", tmp_path / "shop.sqlite3"] if command == "load" else []
    done = run(command, broken, *more)
    assert (done.returncode, done.stdout) == (2, "")
    assert [line.split(": ")[0] for line in done.stderr.splitlines()] == ["kits.csv:2", "kits.csv:3"]
    assert not (tmp_path / "shop.sqlite3").exists()


@pytest.mark.parametrize("form", ["out", "out.zip", "out.xlsx"])
def test_what_is_loaded_is_saved_again_without_loss(sound, tmp_path, form):
    database = tmp_path / "shop.sqlite3"
    loaded = run("load", sound, "--database", database)
    assert (loaded.returncode, loaded.stderr) == (0, "")
    assert loaded.stdout == "Loaded 7 rows: 1 carburettors, 1 kits.\n"
    saved = run("save", tmp_path / form, "--database", database)
    assert (saved.returncode, saved.stderr) == (0, "")
    assert read_pack(tmp_path / form) == SOUND


def test_a_pack_with_faults_leaves_the_shop_as_it_was(sound, tmp_path):
    database = tmp_path / "shop.sqlite3"
    assert run("load", sound, "--database", database).returncode == 0
    (sound / "marks.csv").write_text("carburettor,text,role\nnobody,K1,identifies\n")
    assert run("load", sound, "--database", database).returncode == 2
    assert run("save", tmp_path / "out", "--database", database).returncode == 0
    assert read_pack(tmp_path / "out") == SOUND


def test_a_database_or_a_pack_that_cannot_be_written_is_told(sound, tmp_path):
    (tmp_path / "file").write_text("x")
    done = run("load", sound, "--database", tmp_path / "file" / "shop.sqlite3")
    assert done.returncode == 2
    assert "cannot be opened" in done.stderr
    assert "Traceback" not in done.stderr
    assert run("load", sound, "--database", tmp_path / "shop.sqlite3").returncode == 0
    done = run("save", tmp_path / "file" / "pack", "--database", tmp_path / "shop.sqlite3")
    assert (done.returncode, done.stdout) == (2, "")
    assert "cannot be written" in done.stderr
    assert "Traceback" not in done.stderr
