from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchmarks.plates import glyphs
from benchmarks.plates.line import line_sample
from benchmarks.plates.recipes import EASY, TRAINING, VERY_WORN
from PIL import ImageFont

import floatbowl.papers

FONT = next(iter(sorted((Path(floatbowl.papers.__file__).parent / "fonts").glob("*.[ot]tf"))))


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("fonts")
    for use in ("train", "test"):
        (folder / use).mkdir()
        shutil.copy(FONT, folder / use)
    return str(folder)


def test_distances_cover_the_ink_and_grow_by_one_for_one() -> None:
    one = glyphs.glyph(str(FONT), "8")
    font = ImageFont.truetype(str(FONT), 400)
    capital = font.getbbox("H", anchor="ls")
    ink = np.asarray(font.getmask("8", mode="L"), dtype=float).sum() / 255 / (capital[3] - capital[1]) ** 2
    assert (one.distance > 0).sum() / glyphs.CAP**2 == pytest.approx(ink, rel=0.05)
    down, across = np.gradient(one.distance * glyphs.CAP)
    assert np.median(np.hypot(down, across)) == pytest.approx(1, abs=0.03)


@pytest.mark.parametrize("seed", range(3))
def test_a_sample_is_what_its_seed_says(seed: int, shelf: str) -> None:
    one, two = (line_sample(np.random.default_rng(seed), TRAINING, font_folder=shelf) for _ in range(2))
    assert one.text == two.text
    assert np.array_equal(one.plain, two.plain)
    assert np.array_equal(one.raking, two.raking)
    assert one.plain.shape == one.raking.shape[1:] == one.normals.shape[:2]
    assert one.plain.shape[0] == TRAINING.height
    assert 4 <= len(one.raking) == len(one.lights) <= 8
    for plane in (one.plain, one.raking):
        assert plane.dtype == np.float32
        assert 0 <= plane.min() < plane.max() <= 1
    assert np.allclose(np.linalg.norm(one.normals, axis=-1), 1, atol=1e-5)
    assert np.allclose(np.linalg.norm(one.lights, axis=-1), 1, atol=1e-5)


def _strokes_over_face(form: str, shelf: str) -> float:
    """Mean height of the deepest (or highest) twentieth of the line over its median, in capital heights."""
    recipe = replace(EASY, dirt=(0.0, 0.0), loss=(0.0, 0.0), grinding=(0.0, 0.0), roughness=(0.0, 0.0))
    sample = line_sample(np.random.default_rng(4), recipe, "HH8H8", form, shelf)
    over = np.sort((sample.height - np.median(sample.height)).ravel())
    tail = over[: over.size // 20] if form == "stamped" else over[-over.size // 20 :]
    return float(tail.mean() / (0.73 * EASY.height))


def test_punched_strokes_are_sunk_and_cast_ones_raised(shelf: str) -> None:
    assert -0.15 < _strokes_over_face("stamped", shelf) < -0.03
    assert 0.03 < _strokes_over_face("cast", shelf) < 0.18


def test_wear_takes_the_relief_away(shelf: str) -> None:
    def swing(recipe) -> float:
        samples = [line_sample(np.random.default_rng(s), recipe, "888888", "cast", shelf) for s in range(3)]
        return float(np.mean([np.percentile(s.height, 97) - np.percentile(s.height, 30) for s in samples]))

    bare = {"dirt": (0.0, 0.0), "corrosion": (0.0, 0.0), "roughness": (0.0, 0.0), "painted": 0.0}
    assert swing(replace(VERY_WORN, **bare)) < 0.7 * swing(replace(EASY, **bare))


def test_torches_from_two_sides_light_opposite_flanks(shelf: str) -> None:
    recipe = replace(EASY, misaligned=(0.0, 0.0), blur=(0.005, 0.005), motion=(0.0, 0.0), noise=(0.001, 0.001))
    sample = line_sample(np.random.default_rng(5), recipe, "HHHHH", "cast", shelf)
    right = int(np.argmax(sample.lights[:, 0]))
    left = int(np.argmin(sample.lights[:, 0]))
    slope = sample.normals[..., 0]
    for place, sign in ((right, 1), (left, -1)):
        picture = sample.raking[place]
        assert picture[sign * slope > 0.3].mean() > picture[sign * slope < -0.3].mean()
