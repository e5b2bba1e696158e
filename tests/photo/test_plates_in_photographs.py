"""Torch photographs laid on the plain one, the plate found and straightened, faults told, a relief worked out."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest
from small_plates import HEIGHT, WIDTH, a_move, off_by, photographed, pictures, plain_light, scene

from floatbowl.photo.aligning import align, laid_on, mapped
from floatbowl.photo.channels import line_channels
from floatbowl.photo.crops import line_crops, line_window, straight_plate
from floatbowl.photo.faults import PhotoFault, faults_of, faults_of_photograph, few_torches, sharpness, take_again
from floatbowl.photo.opening import Photograph
from floatbowl.photo.plate import clockwise, propose_corners, straighten, window_of
from floatbowl.photo.relief import normals_picture, relief_of, relief_picture
from floatbowl.photo.rows import propose_line
from floatbowl.photo.sets import PhotoSet

CASES = [("K36/118", 1, True), ("RING 206", 2, False)]


@cache
def aligned(text: str = "K36/118", seed: int = 1, sunk: bool = True):
    told = photo_set(text, seed, sunk)
    return align(told.plain[0], told.raking, scene(text, seed, sunk).corners)


def photo_set(text: str = "K36/118", seed: int = 1, sunk: bool = True, **fields) -> PhotoSet:
    plain, raking, _ = pictures(text, seed, sunk)
    torches = tuple(Photograph(f"r{at + 1}", each) for at, each in enumerate(raking))
    return PhotoSet("set", (Photograph("plain", plain),), torches, **fields)


@pytest.mark.parametrize(("text", "seed", "sunk"), CASES)
def test_moved_photographs_are_laid_on_within_a_pixel(text: str, seed: int, sunk: bool) -> None:
    shown = scene(text, seed, sunk)
    moves = aligned(text, seed, sunk)
    for move, true in zip(moves, pictures(text, seed, sunk)[2], strict=True):
        assert off_by(np.eye(3), true, shown.line) > 2
        assert off_by(move.to_it, true, shown.line) < 1
        assert move.usable
        assert move.shift == pytest.approx(off_by(np.eye(3), true, shown.corners) / WIDTH, abs=0.003)


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_photograph_stored_on_its_side_or_head_is_turned(turns: int) -> None:
    """Portrait and landscape mixed: a phone held flat over a plate guesses which way is up."""
    told, true = photo_set(), pictures()[2][0]
    turned = Photograph("r1", np.ascontiguousarray(np.rot90(told.raking[0].pixels, turns)))
    (move,) = align(told.plain[0], [turned], scene().corners)
    assert (move.quarter_turns + turns) % 4 == 0
    assert off_by(move.to_it, true, scene().line) < 1
    again = laid_on(move, turned.pixels, (WIDTH, HEIGHT))
    assert again.shape == told.plain[0].pixels.shape


def test_another_plate_is_noticed_and_named() -> None:
    told, other = photo_set(), photo_set("RING 206", 2, sunk=False)
    mixed = [told.raking[0], Photograph("r9", other.raking[1].pixels), told.raking[2]]
    moves = align(told.plain[0], mixed, scene().corners)
    assert [move.same_plate for move in moves] == [True, False, True]
    faults = faults_of(PhotoSet("set", told.plain, tuple(mixed), corners=scene().corners), moves)
    assert [(fault.photograph, fault.kind) for fault in faults] == [("r9", "another plate")]
    again = take_again(faults)
    assert again is not None
    assert again.startswith("r9 ")
    assert len(straight_plate(PhotoSet("set", told.plain, tuple(mixed)), moves).raking) == 2


def test_a_phone_that_moved_too_far_is_told() -> None:
    shown, rng = scene(), np.random.default_rng(3)
    far = np.array([[1, 0, 0.16 * WIDTH], [0, 1, 5], [0, 0, 1.0]])
    seen = Photograph("r1", photographed(plain_light(shown), rng, far))
    (move,) = align(photo_set().plain[0], [seen], shown.corners)
    assert move.too_far
    assert not move.usable
    assert [fault.kind for fault in faults_of(PhotoSet("s", photo_set().plain), (move,))] == ["moved"]


@pytest.mark.parametrize(("text", "seed", "sunk"), CASES)
@pytest.mark.parametrize("tilt", [0, 7])
def test_corners_are_proposed(text: str, seed: int, sunk: bool, tilt: int) -> None:
    """Cut corners too: proposed is where the sides would meet."""
    shown, rng = scene(text, seed, sunk), np.random.default_rng(seed)
    move = np.eye(3)
    if tilt:
        turn = np.vstack([cv2.getRotationMatrix2D((WIDTH / 2, HEIGHT / 2), tilt, 1), [0, 0, 1]])
        move = turn @ a_move(rng, 25)
    seen = photographed(plain_light(shown), rng, move)
    proposed = propose_corners(Photograph("plain", seen))
    assert proposed is not None
    assert np.abs(proposed - mapped(move, shown.corners)).max() < 0.015 * WIDTH


def test_no_corners_are_proposed_where_there_is_no_plate() -> None:
    rng = np.random.default_rng(1)
    seen = pictures()[0]
    bare = np.asarray(cv2.resize(np.ascontiguousarray(seen[:170]), (1200, 600)))
    for pixels in (bare, np.full((300, 400, 3), 128, np.uint8), rng.integers(0, 255, (300, 400, 3), dtype=np.uint8)):
        assert propose_corners(Photograph("p", pixels)) is None


def test_corners_are_put_in_order() -> None:
    square = np.array([[10, 12], [90, 8], [92, 50], [9, 55]], dtype=float)
    for order in ([2, 0, 3, 1], [3, 2, 1, 0], [0, 1, 2, 3]):
        assert clockwise(square[order]) == pytest.approx(square)


def test_straightening_puts_corners_into_corners() -> None:
    board = np.zeros((400, 500, 3), np.uint8)
    quad = np.array([[100, 80], [420, 120], [400, 330], [80, 300]], dtype=float)
    cv2.fillConvexPoly(board, np.rint(quad).astype(np.int32), (255, 255, 255))
    straight = straighten(board, quad, (120, 80))
    assert straight.shape == (80, 120, 3)
    assert straight[3:-3, 3:-3].min() > 240
    middle = mapped(window_of(quad, (120, 80)), np.array([[-0.5, -0.5], [119.5, 79.5]]))
    assert middle == pytest.approx(quad[[0, 2]], abs=0.01)


def test_the_line_is_found_and_cropped_with_its_margin() -> None:
    shown, told = scene(), photo_set(corners=scene().corners)
    moves = aligned()
    relief = relief_of(told, moves)
    assert relief is not None
    straight = relief.straight
    seen = np.repeat(relief_picture(relief)[..., None], 3, axis=2)
    found = propose_line(straight.plain, cv2.resize(seen, straight.plain.shape[1::-1]))
    assert found is not None
    there = mapped(straight.to_plain, found)
    assert np.abs(there - shown.line).max() < 0.5 * (shown.line[3, 1] - shown.line[0, 1])
    plain, raking = line_crops(told, moves, shown.line)
    window, size = line_window(shown.line)
    assert plain.shape == size[::-1] == raking.shape[1:]
    high = shown.line[3, 1] - shown.line[0, 1]
    corner = mapped(window, np.array([[-0.5, -0.5]]))[0]
    assert shown.line[0] - corner == pytest.approx([0.1 * high, 0.1 * high], abs=1.5)


@pytest.mark.parametrize(("text", "seed", "sunk"), CASES)
def test_the_relief_of_whole_photographs_is_sunk_or_raised_where_the_strokes_are(text, seed, sunk) -> None:
    shown, told = scene(text, seed, sunk), photo_set(text, seed, sunk, corners=scene(text, seed, sunk).corners)
    moves = aligned(text, seed, sunk)
    relief = relief_of(told, moves)
    assert relief is not None
    assert np.linalg.norm(relief.normals, axis=2) == pytest.approx(1, abs=1e-3)
    size = (relief.relief.shape[1], relief.relief.shape[0])
    window = window_of(shown.corners, size)
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    true = cv2.warpPerspective(shown.heights, window, size, flags=flags)
    inner = (slice(size[1] // 4, -size[1] // 4), slice(size[0] // 8, -size[0] // 8))
    fine = true - cv2.GaussianBlur(true, (0, 0), 12)
    assert np.corrcoef(fine[inner].ravel(), relief.relief[inner].ravel())[0, 1] > 0.75
    assert relief.torches == 4
    assert normals_picture(relief.normals).shape == (size[1], size[0], 3)


def test_channels_of_a_line_show_what_the_relief_shows() -> None:
    shown, told = scene(), photo_set()
    moves = aligned()
    channels = line_channels(*line_crops(told, moves, shown.line))
    assert channels.present.all()
    assert channels.sure_of_sign > 0.7


def test_faults_of_single_photographs() -> None:
    plain, corners = pictures()[0], scene().corners
    good = faults_of_photograph(Photograph("p", plain), corners)
    assert good == ()

    def kinds(pixels, **known):
        return [fault.kind for fault in faults_of_photograph(Photograph("p", pixels), corners, **known)]

    assert kinds(cv2.GaussianBlur(plain, (0, 0), 7)) == ["blurred"]
    assert "dark" in kinds((plain * 0.15).astype(np.uint8))
    burnt = plain.copy()
    burnt[260:330, 250:500] = 255
    assert "glare" in kinds(burnt)
    small = cv2.resize(plain, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    faults = faults_of_photograph(Photograph("p", small), corners / 2)
    assert [fault.kind for fault in faults] == ["small"]
    assert "17 pixels high" in faults[0].says
    assert kinds(plain, line=scene().line) == []


def test_more_blur_is_less_sharp() -> None:
    grey = pictures()[0][..., 0].astype(np.float32) / 255
    sharp = [sharpness(grey if not sigma else cv2.GaussianBlur(grey, (0, 0), sigma)) for sigma in (0, 1, 2, 4, 8)]
    assert sharp == sorted(sharp, reverse=True)


def test_one_photograph_is_to_be_taken_again_the_worst_first() -> None:
    faults = [PhotoFault("r1", "glare", "r1 glares."), PhotoFault("r2", "blurred", "r2 is blurred.")]
    assert take_again(faults) == "r2 is blurred."
    assert take_again([]) is None


@pytest.mark.parametrize(
    ("count", "says"), [(0, "No torch"), (1, "Only 1 torch photograph:"), (2, "Only 2"), (3, "Only 3")]
)
def test_small_sets_work_and_say_what_they_lack(count: int, says: str) -> None:
    told = photo_set(corners=scene().corners)
    fewer = PhotoSet("set", told.plain, told.raking[:count], corners=told.corners)
    moves = aligned()[:count]
    relief = relief_of(fewer, moves)
    assert (relief is None) == (count == 0)
    assert (few_torches(count) or "").startswith(says)
    channels = line_channels(*line_crops(fewer, moves, scene().line))
    assert channels.present.sum() == (6 if count else 2)


def test_enough_torches_lack_nothing() -> None:
    assert few_torches(4) is None
