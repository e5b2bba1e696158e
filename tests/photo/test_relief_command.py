"""``floatbowl relief``: pictures and a page that stands by itself; broken sets are named and skipped."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image
from small_plates import pictures, scene, write_set

from floatbowl.cli import main


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["relief", *map(str, arguments)])


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plain, raking, _ = pictures()
    folder = tmp_path_factory.mktemp("sets") / "tag <1>"
    return write_set(folder, plain, raking, scene().corners, plate_mm=[50, 25])


@pytest.fixture(scope="module")
def out(good: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("out") / "new" / "place"
    done = run(good, "--out", out)
    assert (done.exit_code, done.output) == (0, "")
    return out


def test_the_pictures_are_written(out: Path) -> None:
    shapes = {name: Image.open(out / name).size for name in ("plate.png", "relief.png", "normals.png")}
    width, height = shapes["plate.png"]
    assert width / height == pytest.approx(2, rel=0.02)
    assert shapes["relief.png"] == shapes["normals.png"]
    normals = np.asarray(Image.open(out / "normals.png"), dtype=float) / 127.5 - 1
    assert np.linalg.norm(normals, axis=2) == pytest.approx(1, abs=0.02)
    relief = np.asarray(Image.open(out / "relief.png"))
    assert relief.ndim == 2
    assert relief.std() > 20


def test_the_page_stands_by_itself_and_holds_the_normals(out: Path) -> None:
    page = (out / "relight.html").read_text(encoding="utf-8")
    assert not re.search(r"""(src|href)=["'](?!data:)""", page)
    assert "http" not in page.replace("http-equiv", "")
    assert "$" not in re.sub(r"<script.*</script>", "", page, flags=re.DOTALL)
    assert "Relief of tag &lt;1&gt;" in page
    held = re.search(r'data-normals="data:image/png;base64,([^"]+)"', page)
    assert held is not None
    assert base64.b64decode(held[1]) == (out / "normals.png").read_bytes()
    assert 'name="viewport"' in page


def test_a_broken_set_is_named_and_the_others_are_worked_out(good: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken"
    plain, raking, _ = pictures()
    write_set(broken, plain, raking[:2])
    whole = (broken / "r2.jpg").read_bytes()
    (broken / "r2.jpg").write_bytes(whole[: len(whole) // 2])
    done = run(broken, good, tmp_path / "nowhere", "--out", tmp_path / "out")
    assert done.exit_code == 3
    assert "r2.jpg is broken off or damaged" in done.output
    assert "has no set.json" in done.output
    assert "2 of 3 sets gave no relief." in done.output
    assert (tmp_path / "out" / good.name / "relight.html").exists()
    assert not (tmp_path / "out" / "broken").exists()


def test_nothing_worked_out_ends_with_two(tmp_path: Path) -> None:
    plain, _, _ = pictures()
    only = write_set(tmp_path / "only", plain, ())
    done = run(only, "--out", tmp_path / "out")
    assert done.exit_code == 2
    assert "No torch photograph" in done.output


def test_few_torches_and_another_plate_are_said_and_stand_on_the_page(tmp_path: Path) -> None:
    plain, raking, _ = pictures()
    other = pictures("RING 206", 2, False)[1][0]
    mixed = write_set(tmp_path / "mixed", plain, (raking[0], raking[1], other))
    done = run(mixed, "--out", tmp_path / "out")
    assert done.exit_code == 0
    assert "r3.jpg does not seem to show the plain photograph's plate" in done.output
    assert "Only 2 torch photographs" in done.output
    assert "r3.jpg does not seem" in (tmp_path / "out" / "relight.html").read_text(encoding="utf-8")


def test_a_place_that_cannot_be_written_is_named(good: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    done = run(good, "--out", tmp_path / "file" / "out")
    assert done.exit_code == 2
    assert "name another folder with --out" in done.output


def test_sets_of_one_name_do_not_overwrite_each_other(tmp_path: Path) -> None:
    plain, raking, _ = pictures()
    sets = [write_set(tmp_path / where / "tag", plain, raking[:3], scene().corners) for where in ("a", "b")]
    assert run(*sets, "--out", tmp_path / "out").exit_code == 0
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == ["tag-1", "tag-2"]
