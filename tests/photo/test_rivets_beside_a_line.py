"""Round things that stand apart at the ends of a proposed line are cut off; characters are not."""

from __future__ import annotations

import numpy as np
import pytest

from floatbowl.photo.alphabet import CHARACTERS, COLUMNS
from floatbowl.photo.channels import NAMES, Channels
from floatbowl.photo.ctc import Floats
from floatbowl.photo.rivets import between_rivets, standing, without_rivets

PLACES = 60


def showing(*characters: tuple[str, int]) -> Floats:
    made = np.full((PLACES, COLUMNS), -9.0)
    made[:, 0] = 0.0
    for character, at in characters:
        made[at, CHARACTERS.index(character) + 1] = 1.0
    return made


def line() -> Channels:
    planes = np.zeros((6, 48, 4 * PLACES), np.float32)
    planes[0] = np.arange(4 * PLACES)
    return Channels(NAMES, planes, np.ones(6, bool))


NUMBER = tuple(zip("K36/118", range(20, 48, 4), strict=True))


def test_what_stands_along_the_line() -> None:
    assert standing(showing(("K", 5), ("3", 9))) == [("K", 5.0), ("3", 9.0)]


@pytest.mark.parametrize(("rivets", "left", "right"), [
    ((("O", 8),), 56, 240), ((("0", 56),), 0, 200), ((("O", 8), ("0", 56)), 56, 200),
])  # fmt: skip
def test_rivets_are_cut_off(rivets: tuple[tuple[str, int], ...], left: int, right: int) -> None:
    cut = without_rivets(line(), showing(*NUMBER, *rivets))
    assert cut is not None
    assert (cut.planes[0, 0, 0], cut.planes[0, 0, -1]) == (left, right - 1)


@pytest.mark.parametrize("beside", [("O", 16), ("5", 8), (" ", 14)])
def test_characters_stay(beside: tuple[str, int]) -> None:
    assert without_rivets(line(), showing(beside, *NUMBER)) is None


def test_a_line_of_few_characters_is_left_alone() -> None:
    assert without_rivets(line(), showing(("O", 4), ("7", 30), ("1", 34))) is None


def with_blobs(*middles: int) -> Channels:
    """Sunk strokes along a line, and rivets that stand up, each in a hollow of the relief."""
    made = line()
    across = np.arange(4 * PLACES)[None, :]
    down = np.arange(48)[:, None]
    made.planes[2] = np.where((across // 6) % 2 == 0, -0.5, 0.1)
    for middle in middles:
        away = np.hypot(across - middle, down - 24)
        made.planes[2] = np.where(away < 12, 1.0, np.where(away < 26, -0.4, made.planes[2]))
    return made


@pytest.mark.parametrize(
    ("rivets", "left", "right"), [((20,), (32, 56), (240, 240)), ((20, 215), (32, 56), (180, 204))]
)
def test_what_stands_up_at_the_ends_is_cut_off(
    rivets: tuple[int, ...], left: tuple[int, int], right: tuple[int, int]
) -> None:
    cut = between_rivets(with_blobs(*rivets))
    assert left[0] <= cut.planes[0, 0, 0] <= left[1]
    assert right[0] - 1 <= cut.planes[0, 0, -1] <= right[1] - 1


def test_a_line_with_nothing_standing_up_stays_whole() -> None:
    whole = with_blobs()
    assert between_rivets(whole) is whole
    assert between_rivets(with_blobs(120)).planes.shape == whole.planes.shape
