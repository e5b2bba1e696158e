from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchmarks.plates.ball import Ball, add_ball
from benchmarks.plates.light import Torch
from benchmarks.plates.recipes import EASY
from PIL import Image

import floatbowl.papers

cv2 = pytest.importorskip("cv2")
photographs = pytest.importorskip("benchmarks.plates.photographs")


FONT = next(iter(sorted((Path(floatbowl.papers.__file__).parent / "fonts").glob("*.[ot]tf"))))
SIZE = (480, 360)


@pytest.fixture(scope="module")
def one_set(tmp_path_factory: pytest.TempPathFactory):
    fonts = tmp_path_factory.mktemp("fonts")
    (fonts / "test").mkdir()
    shutil.copy(FONT, fonts / "test")
    folder = tmp_path_factory.mktemp("set")
    recipe = replace(EASY, dirt=(0.0, 0.0))
    rng = np.random.default_rng(3)
    truth = photographs.photo_set_sample(
        rng, recipe, folder, SIZE, "K36/118", "stamped", give_line=False, raking=3, font_folder=str(fonts)
    )
    return folder, truth


def test_a_set_has_its_listing_its_pictures_and_its_truth(one_set) -> None:
    folder, truth = one_set
    listing = json.loads((folder / "set.json").read_text())
    assert listing["corners"] == truth.corners
    assert listing["line"] is None
    assert listing["plain"] == ["plain.jpg"]
    assert len(listing["raking"]) == 3
    for name in (*listing["plain"], *listing["raking"]):
        with Image.open(folder / name) as picture:
            assert picture.size == SIZE
    kept = json.loads((folder / "truth.json").read_text())
    assert kept["text"] == "K36/118"
    assert len(kept["lights"]) == 3


def test_line_lies_in_the_plate_and_both_go_clockwise(one_set) -> None:
    _, truth = one_set
    plate = np.array(truth.corners, dtype=np.float32)
    assert all(cv2.pointPolygonTest(plate, tuple(point), False) > 0 for point in truth.line)
    for quad in (plate, np.array(truth.line, dtype=np.float32)):
        assert cv2.contourArea(quad, oriented=True) > 0


def test_normals_are_those_of_the_straightened_plate(one_set) -> None:
    folder, truth = one_set
    normals = np.load(folder / "normals.npz")["normals"].astype(float)
    assert np.allclose(np.linalg.norm(normals, axis=-1), 1, atol=2e-3)
    left, top, right, bottom = (int(v) for v in truth.line_in_plate)
    steep = normals[..., 2] < 0.97
    assert steep[top:bottom, left:right].mean() > 2 * steep[:top].mean()


def test_a_hand_held_phone_moves_a_little_between_pictures() -> None:
    views = photographs._views(np.random.default_rng(1), (1600, 1200), 9)
    middle = np.array([800.0, 600.0, 1.0])
    seen = np.array([(view @ middle)[:2] / (view @ middle)[2] for view in views])
    moved = np.linalg.norm(seen[1:] - seen[0], axis=1)
    assert 3 < np.median(moved) < 60


def test_the_ball_glints_half_way_to_the_torch() -> None:
    direction = np.array([0.5, -0.3, 0.4])
    direction /= np.linalg.norm(direction)
    lamp = Torch(tuple(float(part) for part in 1e6 * direction), 1.0, 0.0)
    planes = np.full((3, 200, 200), 0.2, dtype=np.float32)
    shown = add_ball(planes, Ball(100.0, 100.0, 40.0), lamp)
    y, x = np.unravel_index(int(shown[0].argmax()), shown[0].shape)
    half = np.add(direction, (0, 0, 1))
    half /= np.linalg.norm(half)
    assert (x + 0.5 - 100) / 40 == pytest.approx(half[0], abs=0.03)
    assert (y + 0.5 - 100) / 40 == pytest.approx(half[1], abs=0.03)
    assert np.array_equal(shown[:, :50], planes[:, :50])
