from __future__ import annotations

import numpy as np
import pytest
from benchmarks.plates import light
from benchmarks.plates.surface import Surface


def flat(height: np.ndarray, grey: float = 0.4) -> Surface:
    """A dull face of one colour."""
    zero = np.zeros_like(height)
    return Surface(height, np.full((1, *height.shape), grey, dtype=np.float32), zero, 10.0)


def torch(azimuth: float, elevation: float, away: float = 1e5) -> light.Torch:
    flat_part = away * np.cos(np.radians(elevation))
    place = (flat_part * np.cos(azimuth), flat_part * np.sin(azimuth), away * np.sin(np.radians(elevation)))
    return light.Torch(tuple(float(part) for part in place), 10.0, 0.0)


def test_normals_of_a_sphere_are_its_radii() -> None:
    y, x = np.mgrid[-40:41, -40:41].astype(np.float32)
    inside = x**2 + y**2 < 36**2
    z = np.sqrt(np.maximum(60.0**2 - x**2 - y**2, 1)).astype(np.float32)
    expected = np.stack([x, y, z], -1) / 60
    cosine = (light.normals_of(z) * expected).sum(-1)[inside]
    assert np.degrees(np.arccos(cosine.clip(-1, 1))).max() < 0.5


@pytest.mark.parametrize("elevation", [10.0, 20.0])
def test_shadow_is_as_long_as_the_step_is_high_over_the_slope_of_the_light(elevation: float) -> None:
    height = np.zeros((40, 160), dtype=np.float32)
    height[:, :60] = 6.0
    picture = light.raked(flat(height), torch(np.pi, elevation), np.zeros((1, 40, 160), np.float32), 60, 6.0)[0]
    row = picture[20, 62:]
    length = np.argmax(row > 0.5 * row[-1]) + 2
    expected = 6.0 / np.tan(np.radians(elevation))
    assert length == pytest.approx(expected, rel=0.2)


def test_far_torch_on_a_flat_face_gives_lambert() -> None:
    dull = flat(np.zeros((30, 30), dtype=np.float32))
    nothing = np.zeros((1, 30, 30), np.float32)
    low, high = (light.raked(dull, torch(0.3, e), nothing, 20, 2.0)[0, 15, 15] for e in (10.0, 25.0))
    assert high / low == pytest.approx(np.sin(np.radians(25)) / np.sin(np.radians(10)), rel=0.01)


def test_torches_stand_around_the_plate_and_low() -> None:
    from benchmarks.plates.recipes import EASY, drawn

    rng = np.random.default_rng(2)
    lamps = light.torches(rng, 8, 500, drawn(rng, EASY))
    directions = np.array([lamp.direction for lamp in lamps])
    elevations = np.degrees(np.arcsin(directions[:, 2]))
    assert elevations.min() > 7.9
    assert elevations.max() < 25.1
    gaps = np.diff(np.sort(np.arctan2(directions[:, 1], directions[:, 0])))
    assert gaps.max() < np.radians(120)
