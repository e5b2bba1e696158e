"""Whole photo sets as a phone would take them: a plate on a casting, one plain picture and some under a torch.

``photo_set_sample`` writes a photo set folder (``set.json``, JPEGs) with its truth (``truth.json``, ``normals.npz``).
``python -m benchmarks.plates.photographs FOLDER LEVEL COUNT SEED [WIDTHxHEIGHT]`` writes many. Needs OpenCV for speed.
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from benchmarks.plates import camera, fonts, light, recipes, scene, texts
from benchmarks.plates.ball import Ball, add_ball, beside

Field = npt.NDArray[np.float32]
Matrix = npt.NDArray[np.float64]
Listed = dict[str, object]
#: Spread of the hand's movement between pictures: along and across as a share of the width, turn and tilt in radians.
HAND: Final = (0.008, 0.006, 0.004)
#: The phone sees a little less than the scene, so that the scene's border stays out of the picture.
ZOOM: Final = 1.12


@dataclass(frozen=True, slots=True)
class Truth:
    """What a photo set shows. ``corners`` and ``line`` are pixels of the plain photograph, clockwise from top left.

    ``normals.npz`` beside it holds ``normals`` [h, w, 3] (float16) of the plate straightened, x right, y down, z out of
    it: its raster spans ``corners``; ``line_in_plate`` is left, top, right, bottom on that raster.
    """

    text: str
    form: str
    level: str
    corners: list[list[float]]
    line: list[list[float]]
    line_in_plate: list[float]
    cap_pixels: float
    font: str
    lights: list[list[float]]
    amounts: dict[str, float]


def photo_set_sample(
    rng: np.random.Generator,
    recipe: recipes.Recipe,
    folder: Path,
    size: tuple[int, int] = (1600, 1200),
    text: str | None = None,
    form: str | None = None,
    give_corners: bool = True,
    give_line: bool = True,
    raking: int = 8,
    with_ball: bool = False,
    font_folder: str | None = None,
) -> Truth:
    """Write one set of ``1 + raking`` photographs of ``size`` (width, height) into ``folder``; what it shows."""
    amounts = recipes.drawn(rng, recipe)
    form = form or ("stamped" if rng.random() < 0.5 else "cast")
    text = text or texts.any_number(rng)
    shown = scene.a_scene(rng, size, text, form, fonts.shelf(recipe.fonts, font_folder), amounts, recipe)
    views = _views(rng, size, 1 + raking)
    lamps = light.torches(rng, raking, 0.7 * shown.plate.width, amounts)
    folder.mkdir(parents=True, exist_ok=True)
    plain = light.broad(rng, shown.face, shown.cap, amounts)
    ball = beside(rng, shown.plate, size) if with_ball else None
    _save(rng, folder / "plain.jpg", _balled(plain, ball, None), views[0], shown.cap, amounts)
    names = [f"r{place + 1}.jpg" for place in range(raking)]
    for name, lamp, view in zip(names, lamps, views[1:], strict=True):
        picture = light.raked(shown.face, lamp, plain, shown.cap, shown.depth)
        picture = _balled(picture, ball, lamp) * _tint(rng)
        _save(rng, folder / name, picture, view, shown.cap, amounts)
    truth = _truth(shown, views[0], text, form, recipe.name, lamps, amounts)
    round_thing = _seen_ball(ball, views[0]) if ball else None
    _write_listing(folder, truth, names, give_corners, give_line, round_thing)
    (folder / "truth.json").write_text(json.dumps(asdict(truth), indent=1), encoding="utf-8")
    np.savez_compressed(folder / "normals.npz", normals=shown.plate_normals().astype(np.float16))
    return truth


def _truth(
    shown: scene.Scene,
    view: Matrix,
    text: str,
    form: str,
    level: str,
    lamps: tuple[light.Torch, ...],
    amounts: recipes.Amounts,
) -> Truth:
    left, top = shown.line.left - shown.plate.left, shown.line.top - shown.plate.top
    return Truth(
        text=text,
        form=form,
        level=level,
        corners=_seen(view, shown.plate.corners),
        line=_seen(view, shown.line.corners),
        line_in_plate=[left, top, left + shown.line.width, top + shown.line.height],
        cap_pixels=round(ZOOM * shown.cap, 1),
        font=Path(shown.font).name,
        lights=[[round(part, 4) for part in lamp.direction] for lamp in lamps],
        amounts={name: round(value, 4) for name, value in asdict(amounts).items()},
    )


def _seen(view: Matrix, points: Matrix) -> list[list[float]]:
    """Points of the scene in a photograph, tenths of a pixel."""
    mapped = np.column_stack([points, np.ones(len(points))]) @ view.T
    return [[round(float(x), 1), round(float(y), 1)] for x, y in mapped[:, :2] / mapped[:, 2:]]


def _balled(planes: Field, ball: Ball | None, lamp: light.Torch | None) -> Field:
    return add_ball(planes, ball, lamp) if ball else planes


def _seen_ball(ball: Ball, view: Matrix) -> Listed:
    """The ball as ``set.json`` gives it."""
    middle, edge = _seen(view, np.array([[ball.x, ball.y], [ball.x + ball.radius, ball.y]]))
    return {"centre": middle, "radius": round(float(np.hypot(edge[0] - middle[0], edge[1] - middle[1])), 1)}


def _write_listing(
    folder: Path, truth: Truth, names: list[str], give_corners: bool, give_line: bool, ball: dict[str, object] | None
) -> None:
    listing = {
        "plain": ["plain.jpg"],
        "raking": names,
        "corners": truth.corners if give_corners else None,
        "line": truth.line if give_line else None,
        "plate_mm": None,
        "ball": ball,
        "part": "tag" if truth.form == "stamped" else "bowl",
        "form": None,
    }
    (folder / "set.json").write_text(json.dumps(listing), encoding="utf-8")


def _views(rng: np.random.Generator, size: tuple[int, int], count: int) -> list[Matrix]:
    """Homographies from the scene to each photograph: one way of holding the phone, a little different every time."""
    width = size[0]
    tilt = rng.normal(0, np.radians(5), 2)
    turn = float(rng.normal(0, np.radians(3)))
    focal = float(rng.uniform(0.85, 1.3)) * width
    found = []
    for _ in range(count):
        along = rng.normal(0, HAND[0] * width, 2)
        now = tilt + rng.normal(0, HAND[2], 2)
        found.append(
            _view(size, focal, now, turn + float(rng.normal(0, HAND[1])), along, float(rng.normal(ZOOM, 0.006)))
        )
    return found


def _view(size: tuple[int, int], focal: float, tilt: Matrix, turn: float, shift: Matrix, zoom: float) -> Matrix:
    """A pinhole ``focal`` pixels above the scene, tilted about x and y, turned about its axis (radians)."""
    middle = np.array([[1, 0, -size[0] / 2], [0, 1, -size[1] / 2], [0, 0, 1.0]])
    about_x = cv2.Rodrigues(np.array([tilt[0], 0, 0]))[0]
    about_y = cv2.Rodrigues(np.array([0, tilt[1], 0]))[0]
    about_z = cv2.Rodrigues(np.array([0, 0, turn]))[0]
    rotation = about_z @ about_x @ about_y
    plane = np.column_stack([rotation[:, 0], rotation[:, 1], [0, 0, focal / zoom]])
    lens = np.array([[focal, 0, size[0] / 2 + shift[0]], [0, focal, size[1] / 2 + shift[1]], [0, 0, 1.0]])
    return np.asarray(lens @ plane @ middle, dtype=np.float64)


def _tint(rng: np.random.Generator) -> Field:
    """Colour of a torch: warm bulb to cold diode."""
    warm = float(rng.uniform(-0.15, 0.15))
    return np.array([1 + warm, 1, 1 - warm], dtype=np.float32)[:, None, None]


def _save(
    rng: np.random.Generator, path: Path, planes: Field, view: Matrix, cap: float, amounts: recipes.Amounts
) -> None:
    """Photograph a lit scene [3, H, W] and keep it as a JPEG."""
    rows, columns = planes.shape[1:]
    picture = np.ascontiguousarray(planes.transpose(1, 2, 0))
    seen = cv2.warpPerspective(
        picture, view, (columns, rows), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT_101
    )
    shot = camera.a_shot(rng, amounts, cap)
    seen = cv2.GaussianBlur(seen, (0, 0), shot.blur)
    if max(shot.moved) > 1:
        seen = cv2.blur(seen, (max(1, shot.moved[1]), max(1, shot.moved[0])))
    stored = camera.stored(seen, shot, _grain(rng, seen.shape))
    if shot.sharpen > 0.15:
        stored = stored + shot.sharpen * (stored - cv2.GaussianBlur(stored, (0, 0), 1.2))
    pixels = (stored.clip(0, 1) * 255 + 0.5).astype(np.uint8)
    Image.fromarray(pixels).save(path, "JPEG", quality=max(75, shot.quality))


def _grain(rng: np.random.Generator, shape: tuple[int, ...]) -> Field:
    """Unit normal noise by OpenCV, several times quicker than numpy's."""
    grain = np.empty(shape, dtype=np.float32)
    cv2.setRNGSeed(int(rng.integers(1 << 31)))
    cv2.randn(grain, 0, 1)
    return grain


def numbered_set(
    folder: Path, level: str, seed: int, place: int, size: tuple[int, int] = (1600, 1200), raking: int = 8
) -> Truth:
    """Set number ``place`` of a run: its text from the run's catalogue of 5,000, every other one punched, then cast."""
    rng = np.random.default_rng([seed, place, *level.encode()])
    numbers = texts.catalogue(seed)
    text = numbers[rng.integers(len(numbers))]
    form = ("stamped", "cast")[place % 2]
    return photo_set_sample(rng, recipes.LEVELS[level], folder, size, text, form, raking=raking)


def main(folder: str, level: str, count: str, seed: str, size: str = "1600x1200") -> None:
    wide, high = (int(part) for part in size.split("x"))
    for place in range(int(count)):
        name = f"{level.replace(' ', '-')}-{place:04d}"
        numbered_set(Path(folder) / name, level, int(seed), place, (wide, high))


if __name__ == "__main__":
    main(*sys.argv[1:])
