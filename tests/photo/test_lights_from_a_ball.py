"""A shiny ball beside the plate tells where each torch was; the relief then has its true scale and sign."""

from __future__ import annotations

import numpy as np
import pytest
from small_plates import pictures, scene, torch

from floatbowl.photo.aligning import Move
from floatbowl.photo.ball import light_from_ball
from floatbowl.photo.crops import straight_plate
from floatbowl.photo.lights import find_lights
from floatbowl.photo.opening import Photograph
from floatbowl.photo.sets import Ball, PhotoSet


def mirrored(light, size: int = 96, radius: float = 40, shine: float = 150) -> np.ndarray:
    """A ball that mirrors a torch: Blinn's halfway vector (1977), a sharp lobe over a dark ball."""
    down, across = (np.mgrid[:size, :size] - size / 2) / radius
    up = np.sqrt(np.maximum(1 - across**2 - down**2, 0))
    halfway = np.add(light, (0, 0, 1))
    halfway = halfway / np.linalg.norm(halfway)
    lobe = np.maximum(across * halfway[0] + down * halfway[1] + up * halfway[2], 0) ** shine
    return (0.05 + 0.9 * lobe * (across**2 + down**2 < 1)).astype(np.float32)


@pytest.mark.parametrize("turn", [0, 45, 130, 250])
@pytest.mark.parametrize("rise", [15, 30, 60])
def test_the_reflection_tells_the_torch_within_two_degrees(turn: float, rise: float) -> None:
    true = torch(turn, rise)
    found = light_from_ball(mirrored(true), (48, 48), 40)
    assert found is not None
    assert np.degrees(np.arccos(np.clip(found @ true, -1, 1))) < 2


def test_a_dull_or_tiny_ball_tells_nothing() -> None:
    assert light_from_ball(np.full((96, 96), 0.3, np.float32), (48, 48), 40) is None
    assert light_from_ball(mirrored(torch(0)), (48, 48), 2) is None


def test_told_lights_fix_sign_and_scale() -> None:
    rng = np.random.default_rng(1)
    true = np.array([torch(turn, 30)[:2] for turn in range(0, 360, 60)]) / torch(0, 30)[2]
    slopes = rng.normal(0, 0.08, (2, 60, 90))
    flat = (1 + np.tensordot(true, slopes, axes=1)).astype(np.float32)
    slow = np.ones_like(flat)
    told = true + rng.normal(0, 0.1, true.shape)
    found = find_lights(flat, slow, told)
    assert np.abs(found.sideways - true).max() < np.abs(told - true).max()
    assert (found.sideways * true).sum() > 0
    assert found.sure_of_sign == 1


def test_a_set_with_a_ball_hands_its_torches_on_turned_with_the_plate() -> None:
    plain, _, _ = pictures()
    turns = (0, 90, 180, 270)
    raking = []
    for turn in turns:
        seen = np.zeros_like(plain)
        seen[20:116, 30:126] = (np.clip(mirrored(torch(turn, 25)), 0, 1) ** (1 / 2.2) * 255)[..., None]
        raking.append(Photograph(f"r{turn}", seen))
    moves = [Move(each.name, 0, np.eye(3), 0.0, 0.5) for each in raking]
    told = PhotoSet("s", (Photograph("plain", plain),), tuple(raking), corners=scene().corners, ball=Ball((78, 68), 40))
    torches = straight_plate(told, moves).torches
    assert torches is not None
    true = np.array([torch(turn, 25)[:2] for turn in turns]) / torch(0, 25)[2]
    assert np.abs(torches - true).max() < 0.25
    upright = np.roll(
        scene().corners, -1, axis=0
    )  # the plate's top is what was its right side: all is a quarter turned
    turned = straight_plate(PhotoSet("s", told.plain, told.raking, corners=upright, ball=told.ball), moves).torches
    assert turned is not None
    assert np.abs(turned - np.column_stack([true[:, 1], -true[:, 0]])).max() < 0.25
    dull = PhotoSet("s", told.plain, told.raking, corners=scene().corners, ball=Ball((400, 300), 40))
    assert straight_plate(dull, moves).torches is None
