"""A line that nobody marked: found on the plate, taken at the height that reads best, and read."""

from __future__ import annotations

import numpy as np
import pytest
from small_plates import pictures, scene

from floatbowl.photo.opening import Photograph
from floatbowl.photo.reading import narrowed, read_set
from floatbowl.photo.rows import propose_line
from floatbowl.photo.sets import PhotoSet


def test_the_middle_of_a_lines_height() -> None:
    line = np.array([[10.0, 20.0], [110.0, 30.0], [108.0, 70.0], [8.0, 60.0]])
    half = narrowed(line, 0.5)
    assert half == pytest.approx(np.array([[9.5, 30], [109.5, 40], [108.5, 60], [8.5, 50]]))
    assert narrowed(line, 1.0) == pytest.approx(line)


def test_nothing_is_proposed_where_no_picture_shows_writing() -> None:
    assert propose_line(*[np.full((200, 400, 3), 120, np.uint8)] * 2) is None


def test_a_plate_is_read_without_its_line_marked() -> None:
    plain, raking, _ = pictures()
    torches = tuple(Photograph(f"r{at}", each) for at, each in enumerate(raking))
    assert read_set(PhotoSet("tag", (Photograph("plain", plain),), torches, corners=scene().corners)).text == "K36/118"
