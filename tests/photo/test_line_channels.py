"""The planes in which a line is read: their meaning, and what happens with few or odd pictures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from floatbowl.photo.channels import NAMES, ROWS, line_channels
from floatbowl.photo.shading import as_light, as_stored, middle

AT = {name: place for place, name in enumerate(NAMES)}


def bar_pictures(sunk: bool, count: int = 8, height: int = 80, width: int = 200):
    """A bar across the line, raised or sunk, under torches from the right, then clockwise; and where it is."""
    rng = np.random.default_rng(5)
    mask = np.zeros((height, width), bool)
    mask[15:65, 90:110] = True
    mask[30:42, 40:160] = True
    step = np.minimum(ndimage.distance_transform_edt(mask), 4) * (-0.5 if sunk else 0.5)
    heights = ndimage.gaussian_filter(step, 1)
    slope_y, slope_x = np.gradient(heights)
    up = 1 / np.sqrt(1 + slope_x**2 + slope_y**2)
    colour = 0.5 * (1 + 0.1 * ndimage.gaussian_filter(rng.normal(size=mask.shape), 2) * 7)
    down, across = np.mgrid[:height, :width]
    pictures = []
    for at in range(count):
        turn, rise = 2 * np.pi * at / count + 0.1, np.radians(22)
        x, y, z = np.cos(rise) * np.cos(turn), np.cos(rise) * np.sin(turn), np.sin(rise)
        fall = np.exp(0.2 * ((across - width / 2) * x + (down - height / 2) * y) / height)
        light = colour * np.maximum((-slope_x * x - slope_y * y + z) * up, 0.01) * fall
        pictures.append(np.clip(light + rng.normal(0, 0.003, light.shape), 0, 1))
    plain = np.clip(colour + rng.normal(0, 0.003, colour.shape), 0, 1)
    return as_stored(plain), as_stored(np.stack(pictures)), mask


@pytest.mark.parametrize("count", [3, 4, 8])
@pytest.mark.parametrize("sunk", [True, False])
def test_raised_is_over_zero_and_sunk_under(sunk: bool, count: int) -> None:
    plain, raking, mask = bar_pictures(sunk, count)
    told = line_channels(plain, raking)
    relief = told.planes[AT["relief"]]
    inside = ndimage.zoom(mask.astype(float), (ROWS / 80, ROWS / 80), order=1) > 0.9
    outside = ndimage.zoom(mask.astype(float), (ROWS / 80, ROWS / 80), order=1) < 0.05
    apart = relief[inside].mean() - relief[outside].mean()
    assert apart < -0.4 if sunk else apart > 0.4
    assert told.sure_of_sign > 0.7
    assert told.present.all()


def test_slopes_lean_as_the_names_say() -> None:
    """A raised bar leans to the right on its right side and down the picture on its lower side."""
    plain, raking, _ = bar_pictures(sunk=False)
    planes = line_channels(plain, raking).planes
    half = ROWS / 80
    right = planes[AT["slope_x"]][round(52 * half) : round(60 * half), round(106 * half) : round(110 * half)]
    left = planes[AT["slope_x"]][round(52 * half) : round(60 * half), round(90 * half) : round(94 * half)]
    lower = planes[AT["slope_y"]][round(38 * half) : round(42 * half), round(50 * half) : round(80 * half)]
    assert right.mean() > 0.3
    assert left.mean() < -0.3
    assert lower.mean() > 0.3


def test_colour_goes_to_albedo_and_not_to_relief() -> None:
    """A flat plate with a painted stripe: dark in the albedo, next to nothing in the slopes beside a real bar's."""
    plain, raking, _ = bar_pictures(sunk=True)
    paint = np.ones_like(plain)
    paint[:, 20:30] = 0.6
    told = line_channels(plain * paint, raking * paint[None])
    bare = line_channels(plain, raking)
    stripe = slice(13, 17)
    assert told.planes[AT["albedo"]][:, stripe].mean() < bare.planes[AT["albedo"]][:, stripe].mean() - 0.15
    assert np.abs(told.planes[AT["relief"]][:, stripe]).mean() < 0.25


def test_without_torches_the_last_four_are_empty_and_said_so() -> None:
    plain, _, _ = bar_pictures(sunk=True)
    for none in (np.zeros((0, 80, 200), np.float32), np.array([])):
        told = line_channels(plain, none)
        assert told.present.tolist() == [True, True, False, False, False, False]
        assert not told.planes[2:].any()
        assert told.planes[0].std() > 0.1


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_torches_give_some_relief(count: int) -> None:
    plain, raking, mask = bar_pictures(sunk=True, count=4)
    told = line_channels(plain, raking[:count])
    inside = ndimage.zoom(mask.astype(float), (ROWS / 80, ROWS / 80), order=1) > 0.9
    assert told.present.all()
    assert told.planes[AT["relief"]][inside].mean() < told.planes[AT["relief"]][~inside].mean() - 0.1
    assert told.sure_of_sign < 0.5


@settings(max_examples=25, deadline=None)
@given(
    height=st.integers(3, 130), width=st.integers(4, 300), count=st.integers(0, 9),
    kind=st.sampled_from(["noise", "black", "white", "alike"]),
)  # fmt: skip
def test_whatever_the_crop_the_planes_are_whole_and_within_bounds(
    height: int, width: int, count: int, kind: str
) -> None:
    rng = np.random.default_rng(height * 1000 + width)
    stack = {
        "noise": rng.random((count + 1, height, width)),
        "black": np.zeros((count + 1, height, width)),
        "white": np.ones((count + 1, height, width)),
        "alike": np.repeat(rng.random((1, height, width)), count + 1, axis=0),
    }[kind]
    told = line_channels(stack[0], stack[1:])
    assert told.planes.shape == (6, ROWS, max(1, round(ROWS * width / height)))
    assert told.planes.dtype == np.float32
    assert np.isfinite(told.planes).all()
    assert told.planes[[0, 1, 5]].min() >= 0
    assert np.abs(told.planes).max() <= 1


def test_the_median_is_the_median() -> None:
    for count in range(1, 10):
        planes = np.random.default_rng(count).random((count, 5, 7)).astype(np.float32)
        assert middle(planes) == pytest.approx(np.median(planes, axis=0))


def test_light_and_stored_brightness_undo_each_other() -> None:
    ramp = np.linspace(0, 1, 50, dtype=np.float32)
    assert as_stored(as_light(ramp)) == pytest.approx(ramp, abs=1e-5)
    assert as_light(np.array([0.5]))[0] == pytest.approx(0.218, abs=0.01)  # sRGB, IEC 61966-2-1: 0.214
