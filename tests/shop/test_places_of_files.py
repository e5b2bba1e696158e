"""Where the database and its secret key lie."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from floatbowl.shop.places import database_path, key_path, secret_key


def test_the_database_is_the_one_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FLOATBOWL_DATABASE", str(tmp_path / "x.sqlite3"))
    assert database_path() == tmp_path / "x.sqlite3"


def test_the_database_is_else_in_the_users_data_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("FLOATBOWL_DATABASE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert database_path() == tmp_path / "floatbowl" / "floatbowl.sqlite3"


def test_the_secret_key_is_made_once_and_read_by_its_owner_only(tmp_path: Path) -> None:
    database = tmp_path / "x.sqlite3"
    key = secret_key(database)
    assert len(key) > 50
    assert secret_key(database) == key
    assert key_path(database).stat().st_mode & 0o777 == 0o600
    assert secret_key(tmp_path / "y.sqlite3") != key


def test_many_who_start_at_once_get_one_key(tmp_path: Path) -> None:
    with ThreadPoolExecutor(16) as pool:
        keys = set(pool.map(secret_key, [tmp_path / "x.sqlite3"] * 64))
    assert len(keys) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["x.sqlite3.secret"]


def test_nothing_is_written_where_no_shop_was_set_up(tmp_path: Path) -> None:
    assert secret_key(tmp_path / "none" / "x.sqlite3")
    assert list(tmp_path.iterdir()) == []


def test_preparing_makes_folder_tables_and_key_and_may_be_done_again(tmp_path: Path) -> None:
    database = tmp_path / "new" / "shop.sqlite3"
    work = (
        "import sys; from pathlib import Path; from floatbowl.shop.setup import prepare\n"
        "print(prepare(Path(sys.argv[1])))\n"
        "from floatbowl.shop.models import ROWS; print(sum(model.objects.count() for model in ROWS.values()))\n"
        "from django.db import connection; c = connection.cursor()\n"
        "print(c.execute('PRAGMA journal_mode').fetchone()[0], c.execute('PRAGMA synchronous').fetchone()[0])"
    )
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", work, str(database)], capture_output=True, text=True, check=True)
        assert done.stdout.split() == [str(database), "0", "wal", "2"]
    assert database.stat().st_mode & 0o077 == 0, "callers' names and numbers are for the shop's own eyes"
