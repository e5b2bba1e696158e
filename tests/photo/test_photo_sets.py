"""set.json as it is written down: read whole, or refused naming the file and field."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from floatbowl.photo.opening import PhotographError
from floatbowl.photo.sets import Ball, read_photo_set


def folder(place: Path, told, names=("plain.jpg", "r1.jpg")) -> Path:
    for at, name in enumerate(names):
        Image.fromarray(np.full((50, 70, 3), 60 + 20 * at, np.uint8)).save(place / name)
    (place / "set.json").write_text(told if isinstance(told, str) else json.dumps(told))
    return place


def test_a_whole_set_is_read(tmp_path: Path) -> None:
    told = {
        "plain": ["plain.jpg"], "raking": ["r1.jpg"], "corners": [[5, 5], [60, 5], [60, 40], [5, 40]], "line": None,
        "plate_mm": [50, 25], "ball": {"centre": [9, 9.5], "radius": 3}, "part": "tag", "form": "stamped", "own": 1,
    }  # fmt: skip
    read = read_photo_set(folder(tmp_path, told))
    assert [each.name for each in read.plain + read.raking] == ["plain.jpg", "r1.jpg"]
    assert read.plain[0].pixels.shape == (50, 70, 3)
    assert read.corners is not None
    assert read.corners[2].tolist() == [60, 40]
    assert (read.line, read.plate_mm, read.ball) == (None, (50.0, 25.0), Ball((9.0, 9.5), 3.0))
    assert (read.part, read.form, read.name) == ("tag", "stamped", tmp_path.name)


def test_plain_may_be_one_name_and_the_rest_may_be_missing(tmp_path: Path) -> None:
    read = read_photo_set(folder(tmp_path, {"plain": "plain.jpg"}))
    assert (len(read.plain), read.raking, read.corners, read.form) == (1, (), None, None)


CROSSED = [[5, 5], [60, 40], [60, 5], [5, 40]]


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ("{", "cannot be read"),
        ("[" * 100_000, "cannot be read"),
        ([], "holds no set"),
        ({}, "plain: names no photograph"),
        ({"plain": [7]}, "plain: must be a list"),
        ({"plain": "plain.jpg", "raking": {"a": 1}}, "raking: must be a list"),
        ({"plain": "../plain.jpg"}, "outside the set's folder"),
        ({"plain": "/etc/hostname"}, "outside the set's folder"),
        ({"plain": "lost.jpg"}, "lost.jpg is not there"),
        ({"plain": "set.json"}, "set.json is not a photograph"),
        ({"plain": "plain.jpg", "corners": [[0, 0], [9, 9]]}, "corners: must be four corners"),
        ({"plain": "plain.jpg", "corners": [[0, 0], [9, 0], [9, None], [0, 9]]}, "corners: must be four corners"),
        ({"plain": "plain.jpg", "corners": CROSSED}, "corners: these four corners bound no area"),
        ({"plain": "plain.jpg", "line": CROSSED[::-1]}, "line: these four corners bound no area"),
        ({"plain": "plain.jpg", "plate_mm": [0, 5]}, "plate_mm: must be two numbers over 0"),
        ({"plain": "plain.jpg", "ball": {"radius": -1}}, "ball: must have a centre"),
        ({"plain": "plain.jpg", "form": "painted"}, "form: 'painted' is none of"),
        ({"plain": "plain.jpg", "part": 3}, "part: must be a word"),
        ({"plain": ["plain.jpg"] * 30}, "more than 24 photographs"),
    ],
)
def test_what_is_wrong_is_named(tmp_path: Path, told, says: str) -> None:
    with pytest.raises(PhotographError, match=r"^[^\n]*$") as caught:
        read_photo_set(folder(tmp_path, told))
    assert says in str(caught.value)


def test_a_folder_without_a_set_is_named(tmp_path: Path) -> None:
    with pytest.raises(PhotographError, match=r"has no set\.json"):
        read_photo_set(tmp_path)
