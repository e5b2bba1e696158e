"""Normals and heights against closed forms and published results."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from floatbowl.photo.heights import height_from_slopes
from floatbowl.photo.lights import find_lights
from floatbowl.photo.normals import normals_from_lights, normals_from_slopes
from floatbowl.photo.shading import flattened

RNG = np.random.default_rng
SIZE = 121


def ball(size: int = SIZE) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """The normals of a sphere seen straight on, and where it is."""
    down, across = np.mgrid[-1 : 1 : size * 1j, -1 : 1 : size * 1j]
    inside = across**2 + down**2 < 0.98
    up = np.sqrt(np.maximum(1 - across**2 - down**2, 0))
    return np.dstack([across, down, up]), inside


def ring(count: int, rise_degrees: float) -> NDArray[np.float64]:
    turn, rise = np.arange(count) * 2 * np.pi / count, np.radians(rise_degrees)
    return np.column_stack([np.cos(rise) * np.cos(turn), np.cos(rise) * np.sin(turn), np.full(count, np.sin(rise))])


def lambert(normals: NDArray[np.float64], lights: NDArray[np.float64], albedo: float = 0.8) -> NDArray[np.float32]:
    return np.stack([albedo * np.maximum(normals @ light, 0) for light in lights]).astype(np.float32)


def degrees_off(one, two) -> NDArray[np.float64]:
    return np.degrees(np.arccos(np.clip((one * two).sum(axis=-1), -1, 1)))


def test_lamberts_law_on_a_sphere_in_closed_form() -> None:
    """Where all three axes light the sphere, its brightness under light i is albedo times normal i: Lambert's law
    (J. H. Lambert, Photometria, 1760) turned round gives the normal exactly, without any least squares."""
    normals, _ = ball()
    towards = np.array([[0.6, 0, 0.8], [-0.3, np.sqrt(0.27), 0.8], [-0.3, -np.sqrt(0.27), 0.8]])
    lit = (normals @ towards.T > 0.05).all(axis=2)
    found, albedo = normals_from_lights(lambert(normals, towards, 0.37), towards)
    assert degrees_off(found, normals)[lit].max() < 0.05
    assert albedo[lit] == pytest.approx(0.37, abs=1e-4)


@pytest.mark.parametrize(("rise", "lit_by"), [(25, 7), (45, 5), (60, 5)])
def test_an_analytic_sphere_within_one_degree_with_known_lights(rise: float, lit_by: int) -> None:
    """With attached shadows (a sphere hides each of the nine lights from part of itself) and the grain of a phone,
    where most of the lights reach."""
    normals, inside = ball()
    lights = np.vstack([ring(8, rise), [[0, 0, 1]]])
    seen = lambert(normals, lights) + RNG(2).normal(0, 0.004, (9, SIZE, SIZE)).astype(np.float32)
    visible = inside & ((normals @ lights.T > 0.1).sum(axis=2) >= lit_by)
    found, _ = normals_from_lights(np.maximum(seen, 0), lights)
    assert visible.mean() > 0.15
    assert degrees_off(found, normals)[visible].mean() < 1


def test_robust_normals_withstand_shadow_and_glare_that_mislead_least_squares() -> None:
    normals, inside = ball()
    lights, rng = ring(8, 45), RNG(3)
    seen = lambert(normals, lights)
    inside &= (normals @ lights.T > 0.1).all(axis=2)
    picture = rng.integers(0, 8, (2, SIZE, SIZE))
    for at in range(8):
        seen[at][picture[0] == at] *= 0.02  # a cast shadow
        seen[at][picture[1] == at] += 1.5  # a glare
    plain = degrees_off(normals_from_lights(seen, lights, robust=False)[0], normals)[inside].mean()
    robust = degrees_off(normals_from_lights(seen, lights)[0], normals)[inside].mean()
    assert plain > 10
    assert robust < 1


def test_clean_pictures_give_robust_and_plain_least_squares_alike() -> None:
    normals, inside = ball()
    lights = ring(6, 60)
    inside &= (normals @ lights.T > 0.15).all(axis=2)
    seen = lambert(normals, lights)
    one, two = (normals_from_lights(seen, lights, robust=robust)[0] for robust in (True, False))
    assert degrees_off(one, two)[inside].max() < 0.1


@pytest.mark.parametrize("lights", [ring(2, 45), np.array([[1, 0, 1.0], [0, 0, 1], [-1, 0, 1]])])
def test_too_few_lights_or_lights_in_one_plane_are_refused(lights) -> None:
    with pytest.raises(ValueError, match="at least three photographs"):
        normals_from_lights(np.ones((len(lights), 4, 4), np.float32), lights)


SURFACES = {
    "plane": lambda x, y: 0.3 * x - 0.2 * y,
    "saddle": lambda x, y: (x * x - y * y) / 120,
    "bowl": lambda x, y: (x * x + y * y) / 150,
    "waves": lambda x, y: 3 * np.sin(x / 6) * np.cos(y / 9),
    "gaussian": lambda x, y: 12 * np.exp(-(x * x + y * y) / 300),
}


@pytest.mark.parametrize("name", SURFACES)
def test_integration_gives_back_known_surfaces(name: str) -> None:
    """Simchony, Chellappa and Shao (1990): unlike the periodic integration of Frankot and Chellappa (1988), planes and
    bowls come back too. Slopes are taken from the formula, half a pixel on either side of each pixel's centre."""
    down, across = np.mgrid[-30:31, -40:41].astype(np.float64)
    surface = SURFACES[name]
    small = 1e-4
    slopes = -np.stack([
        (surface(across + small, down) - surface(across - small, down)) / (2 * small),
        (surface(across, down + small) - surface(across, down - small)) / (2 * small),
    ])  # fmt: skip
    known = surface(across, down)
    found = height_from_slopes(slopes)
    assert np.abs(found - (known - known.mean())).max() < 0.015 * np.ptp(known)


def test_integration_is_the_nearest_surface_to_slopes_that_belong_to_none() -> None:
    """Frankot and Chellappa (1988): a projection. A field that only turns (no surface's; its slopes reach 3.3) leaves
    next to nothing, and what is left over of any field is at right angles to the slopes of every surface."""
    down, across = np.mgrid[-20:21, -20:21].astype(np.float64)
    fade = np.exp(-(across**2 + down**2) / 60)
    assert np.abs(height_from_slopes(np.stack([-down * fade, across * fade]))).max() < 0.05
    rng = RNG(4).normal(size=(2, 41, 41))
    once = height_from_slopes(rng)
    left, up = np.diff(once, axis=1), np.diff(once, axis=0)
    residual_x = -0.5 * (rng[0, :, 1:] + rng[0, :, :-1]) - left
    residual_y = -0.5 * (rng[1, 1:] + rng[1, :-1]) - up
    for other in (RNG(5).normal(size=once.shape), once):
        along = (residual_x * np.diff(other, axis=1)).sum() + (residual_y * np.diff(other, axis=0)).sum()
        assert abs(along) < 1e-8 * np.abs(residual_x).sum()


def bumps(seed: int = 6) -> NDArray[np.float64]:
    down, across = np.mgrid[0:90, 0:140].astype(np.float64)
    rng = RNG(seed)
    height = np.zeros_like(down)
    for _ in range(30):
        x, y, size = rng.uniform(0, 140), rng.uniform(0, 90), rng.uniform(4, 9)
        height += rng.uniform(-1.5, 1.5) * np.exp(-((across - x) ** 2 + (down - y) ** 2) / (2 * size**2))
    return height


def scaled_normals(height) -> NDArray[np.float64]:
    slope_y, slope_x = np.gradient(height)
    return np.dstack([-slope_x, -slope_y, np.ones_like(height)])


@pytest.mark.parametrize(("flatter", "lean_x", "lean_y"), [(0.4, 0, 0), (1.7, 0.1, -0.2), (-1, 0, 0), (-0.6, 0.3, 0.1)])
def test_the_bas_relief_ambiguity(flatter: float, lean_x: float, lean_y: float) -> None:
    """Belhumeur, Kriegman and Yuille (1999), proposition: the surface flatter * z + lean_x * x + lean_y * y, with its
    albedo and lights changed to suit, gives the very same pictures. So pictures alone fix relief up to this change,
    and normals_from_lights returns whichever surface the lights it is told belong to."""
    height = bumps()
    down, across = np.mgrid[0:90, 0:140].astype(np.float64)
    changed = flatter * height + lean_x * across + lean_y * down
    one, two = scaled_normals(height), scaled_normals(changed)
    lights = ring(6, 50) * 1.3
    # Scaled normals (-zx, -zy, 1) change by G; lights change by its inverse transposed, so that products stay.
    change = np.array([[flatter, 0, -lean_x], [0, flatter, -lean_y], [0, 0, 1]])
    inverse_lights = lights @ np.linalg.inv(change)
    pictures = np.einsum("hwc,kc->khw", one, lights)
    same = np.einsum("hwc,kc->khw", two, inverse_lights)
    assert np.abs(pictures - same).max() < 1e-9
    if (pictures > 0.02).all():
        found, _ = normals_from_lights(pictures.astype(np.float32), inverse_lights)
        assert degrees_off(found, two / np.linalg.norm(two, axis=2, keepdims=True)).max() < 0.2
        assert degrees_off(found, one / np.linalg.norm(one, axis=2, keepdims=True)).mean() > 1


def seen_under(height, lights, fall: float = 0.15, grain: float = 0.004) -> NDArray[np.float32]:
    """Pictures of the surface with shadows of its own and each torch's fall-off."""
    rows, columns = height.shape
    down, across = np.mgrid[:rows, :columns]
    normals = scaled_normals(height)
    normals /= np.linalg.norm(normals, axis=2, keepdims=True)
    pictures = []
    for at, light in enumerate(lights):
        towards = ((across - columns / 2) * light[0] + (down - rows / 2) * light[1]) / rows
        shade = 0.6 * np.maximum(normals @ light, 0) * np.exp(fall * towards)
        pictures.append(shade + RNG(at).normal(0, grain, shade.shape))
    return np.clip(np.stack(pictures), 0.001, 1).astype(np.float32)


@pytest.mark.parametrize("count", [4, 5, 8])
@pytest.mark.parametrize("sign", [1, -1])
def test_factorisation_finds_where_the_torches_were(count: int, sign: int) -> None:
    """Rank 3 and integrability (Yuille and Snow 1997) leave scale and sign; the fall-off tells the sign: bumps and
    dents are told apart."""
    lights = ring(count, 24) @ np.diag([1, 1, 1])
    found = find_lights(*flattened(seen_under(sign * bumps(), lights)))
    known = lights[:, :2] / lights[:, 2:]
    along = (found.sideways * known).sum() / np.linalg.norm(found.sideways) / np.linalg.norm(known)
    assert along > 0.99
    assert found.sure_of_sign > 0.8
    assert np.linalg.norm(found.directions, axis=1) == pytest.approx(1)


def test_without_fall_off_it_says_that_the_sign_is_not_sure() -> None:
    found = find_lights(*flattened(seen_under(bumps(), ring(8, 24), fall=0.0)))
    assert found.sure_of_sign < 0.6


def test_normals_of_slopes_are_unit_and_lean_as_told() -> None:
    normals = normals_from_slopes(np.stack([np.full((2, 2), 1.0), np.zeros((2, 2))]).astype(np.float32))
    assert normals[0, 0] == pytest.approx([np.sqrt(0.5), 0, np.sqrt(0.5)])
