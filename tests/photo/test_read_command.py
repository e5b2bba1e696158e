"""``floatbowl read``: small plates made in code, read, ranked, and told when broken."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result
from small_plates import pictures, scene, write_set

from floatbowl.cli import main
from floatbowl.photo.alphabet import CHARACTERS

PACK = Path(__file__).parents[2] / "src" / "floatbowl" / "demo" / "pack"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["read", *map(str, arguments)])


def rows_of(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


@pytest.fixture(scope="module")
def sets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three sets in a folder: with torches, without, and with a photograph that broke off."""
    folder = tmp_path_factory.mktemp("sets")
    plain, raking, _ = pictures()
    write_set(folder / "a", plain, raking, scene().corners, scene().line)
    write_set(folder / "b", plain, (), scene().corners, scene().line, form="cast")
    broken = write_set(folder / "c", plain, (), scene().corners, scene().line) / "plain.jpg"
    broken.write_bytes(broken.read_bytes()[:900])
    return folder


@pytest.fixture(scope="module")
def read_rows(sets: Path, tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    out = tmp_path_factory.mktemp("out") / "readings.jsonl"
    done = run(sets, "--out", out, "--pack", PACK)
    assert done.exit_code == 3
    assert "1 of 3 sets could not be read" in done.output
    return rows_of(out)


def test_a_clear_plate_is_read_from_all_pictures_and_from_one(read_rows: list[dict[str, Any]]) -> None:
    assert [row["set"] for row in read_rows] == ["a", "b", "c"]
    assert [row["text"] for row in read_rows[:2]] == ["K36/118"] * 2
    assert read_rows[0]["confidence"] > 0.6


def test_cells_are_chances_over_characters_and_nothing(read_rows: list[dict[str, Any]]) -> None:
    cells = read_rows[0]["cells"]
    assert "".join(next(iter(cell)) for cell in cells) == "K36/118"
    for cell in cells:
        assert set(cell) <= {*CHARACTERS, ""}
        assert sum(cell.values()) <= 1.0 + 1e-3 * len(cell)


def test_the_form_told_with_the_set_stays(read_rows: list[dict[str, Any]]) -> None:
    assert read_rows[0]["form"] in ("stamped", "cast", None)
    assert read_rows[1]["form"] == "cast"


def test_the_pack_ranks_its_marks(read_rows: list[dict[str, Any]]) -> None:
    ranking = read_rows[0]["ranking"]
    assert 1 <= len(ranking) <= 50
    assert (ranking[0]["text"], ranking[0]["carburettor"]) == ("K36/118", "k36-118")
    chances = [row["probability"] for row in ranking]
    assert chances[0] > 0.8
    assert sum(chances) <= 1.0 + 1e-6


def test_a_broken_photograph_has_its_place_and_is_named(read_rows: list[dict[str, Any]]) -> None:
    assert read_rows[2]["line"] == 3
    assert "plain.jpg" in read_rows[2]["error"]
    assert "text" not in read_rows[2]


def test_where_nothing_can_be_written_nothing_is_read(sets: Path, tmp_path: Path) -> None:
    done = run(sets / "a", "--out", tmp_path / "missing" / "out.jsonl")
    assert done.exit_code == 2
    assert "cannot be written" in done.output


def test_a_folder_without_sets_is_told_in_its_place(tmp_path: Path) -> None:
    out = tmp_path / "out.jsonl"
    done = run(tmp_path, "--out", out)
    assert done.exit_code == 3
    assert "set.json" in rows_of(out)[0]["error"]


def test_without_a_marked_line_it_is_found_either_way_up(tmp_path: Path) -> None:
    plain, raking, _ = pictures()
    write_set(tmp_path / "up", plain, raking)
    write_set(tmp_path / "down", *turned_round(plain, raking))
    out = tmp_path / "out.jsonl"
    assert run(tmp_path, "--out", out).exit_code == 0
    assert {row["text"] for row in rows_of(out)} == {"K36/118"}


def turned_round(plain: Any, raking: Any) -> tuple[Any, list[Any]]:
    return np.ascontiguousarray(plain[::-1, ::-1]), [np.ascontiguousarray(each[::-1, ::-1]) for each in raking]
