"""Small photo sets made in code: a plate with characters on a rough casting, lit, photographed from a moving hand."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from floatbowl.photo.aligning import mapped

WIDTH, HEIGHT = 800, 600
Array = NDArray[np.float32]


@dataclass(frozen=True)
class Scene:
    """Heights, colour, the plate's corners and the line of characters."""

    heights: Array
    colour: Array
    corners: NDArray[np.float64]
    line: NDArray[np.float64]


def _grain(rng: np.random.Generator, sigma: float) -> Array:
    field = cv2.GaussianBlur(rng.normal(size=(HEIGHT, WIDTH)).astype(np.float32), (0, 0), sigma)
    return field / field.std()


@cache
def scene(text: str = "K36/118", seed: int = 1, sunk: bool = True) -> Scene:
    rng = np.random.default_rng(seed)
    wide, high = 440 + 10 * (seed % 5), 210
    left, top = (WIDTH - wide) // 2 + 12 * (seed % 3), (HEIGHT - high) // 2
    cut = 26 if seed % 2 else 0
    mask = Image.new("L", (WIDTH, HEIGHT))
    right, bottom = left + wide, top + high
    ImageDraw.Draw(mask).polygon(
        [(left + cut, top), (right - cut, top), (right, top + cut), (right, bottom - cut), (right - cut, bottom),
         (left + cut, bottom), (left, bottom - cut), (left, top + cut)], fill=255
    )  # fmt: skip
    plate = cv2.GaussianBlur(np.asarray(mask, dtype=np.float32) / 255, (0, 0), 1.0)
    font = ImageFont.load_default(64)
    words = Image.new("L", (WIDTH, HEIGHT))
    start = (WIDTH / 2 - font.getlength(text) / 2, HEIGHT / 2 - 40)
    ImageDraw.Draw(words).text(start, text, 255, font=font)
    box = ImageDraw.Draw(words).textbbox(start, text, font=font)
    strokes = (np.asarray(words) > 128).astype(np.uint8)
    depth = np.minimum(cv2.distanceTransform(strokes, cv2.DIST_L2, 5), 3) * (-0.7 if sunk else 0.7)
    heights = (1 - plate) * (_grain(rng, 2) * 0.5 + _grain(rng, 12) * 2) + plate * (8 + _grain(rng, 2) * 0.1)
    heights = heights + cv2.GaussianBlur(depth.astype(np.float32), (0, 0), 0.8)
    casting = 0.3 * (1 + 0.12 * _grain(rng, 3) + 0.15 * _grain(rng, 15))
    metal = 0.6 * (1 + 0.08 * _grain(rng, 3) + 0.12 * _grain(rng, 12))
    metal = metal * (1 - 0.5 * np.clip(_grain(rng, 5) * 0.5 - 0.4, 0, 1))
    colour = np.clip(casting * (1 - plate) + metal * plate, 0.02, 1)
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]], dtype=np.float64)
    line = np.array([[box[0], box[1]], [box[2], box[1]], [box[2], box[3]], [box[0], box[3]]], dtype=np.float64)
    return Scene(heights.astype(np.float32), colour.astype(np.float32), corners, line)


def lit(shown: Scene, light: tuple[float, float, float], near: float = 1400.0) -> Array:
    """Lambert's law, cast shadows, a little shine and the torch's fall-off."""
    slope_y, slope_x = np.gradient(shown.heights)
    up = 1 / np.sqrt(1 + slope_x**2 + slope_y**2)
    rows, columns = np.mgrid[:HEIGHT, :WIDTH].astype(np.float32)
    to = np.array(light) * near
    x, y, z = to[0] + WIDTH / 2 - columns, to[1] + HEIGHT / 2 - rows, np.full_like(rows, to[2])
    far = np.sqrt(x * x + y * y + z * z)
    bright = np.maximum((-slope_x * x - slope_y * y + z) / far * up, 0)
    across = float(np.hypot(light[0], light[1]))
    for step in (1, 2, 3, 5, 8, 12):
        shift = np.array([[1, 0, -light[0] / across * step], [0, 1, -light[1] / across * step]], dtype=np.float32)
        ahead = cv2.warpAffine(shown.heights, shift, (WIDTH, HEIGHT), borderMode=cv2.BORDER_REPLICATE)
        bright[ahead > shown.heights + step * light[2] / across + 0.1] = 0
    return (shown.colour * bright * (near / far) ** 2 + 0.02 * shown.colour).astype(np.float32)


def torch(turn_degrees: float, rise_degrees: float = 22) -> tuple[float, float, float]:
    turn, rise = np.radians(turn_degrees), np.radians(rise_degrees)
    return float(np.cos(rise) * np.cos(turn)), float(np.cos(rise) * np.sin(turn)), float(np.sin(rise))


def photographed(light: Array, rng: np.random.Generator, moved: NDArray[np.float64] | None = None) -> NDArray[np.uint8]:
    """Moved, exposed, noisy, as a phone stores it, grey in three colours."""
    if moved is not None:
        light = cv2.warpPerspective(light, moved, (WIDTH, HEIGHT), borderMode=cv2.BORDER_REFLECT)
    light = light / np.percentile(light, 98) * 0.7 + rng.normal(size=light.shape) * 0.006
    stored = np.clip(light, 0, 1) ** (1 / 2.2) * 255
    return np.repeat(stored.astype(np.uint8)[..., None], 3, axis=2)


def a_move(rng: np.random.Generator, pixels: float = 5) -> NDArray[np.float64]:
    """What a steadied hand does: some pixels, a small turn and tilt."""
    ends = np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]], dtype=np.float32)
    there = ends + rng.normal(size=2) * pixels + rng.normal(size=(4, 2)) * pixels * 0.3
    return np.asarray(cv2.getPerspectiveTransform(ends, there.astype(np.float32)), dtype=np.float64)


def plain_light(shown: Scene) -> Array:
    return sum((lit(shown, torch(turn, 45)) for turn in (30, 150, 270)), np.zeros((HEIGHT, WIDTH), np.float32))


@cache
def pictures(text: str = "K36/118", seed: int = 1, sunk: bool = True, count: int = 4):
    """The plain picture, the torch pictures, and how each of these was moved (plain pixels to its own)."""
    shown, rng = scene(text, seed, sunk), np.random.default_rng(seed + 50)
    moves = tuple(a_move(rng) for _ in range(count))
    plain = photographed(plain_light(shown), rng)
    raking = tuple(photographed(lit(shown, torch(360 * at / count + 10)), rng, move) for at, move in enumerate(moves))
    return plain, raking, moves


def write_set(folder: Path, plain, raking, corners=None, line=None, **fields) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    Image.fromarray(plain).save(folder / "plain.jpg", quality=90)
    names = [f"r{at}.jpg" for at in range(1, len(raking) + 1)]
    for name, pixels in zip(names, raking, strict=True):
        Image.fromarray(pixels).save(folder / name, quality=90)
    quads = {"corners": corners, "line": line}
    told = {name: None if quad is None else np.asarray(quad).tolist() for name, quad in quads.items()}
    (folder / "set.json").write_text(json.dumps({"plain": ["plain.jpg"], "raking": names, **told, **fields}))
    return folder


def off_by(one, two, points) -> float:
    """Mean distance of where two maps send the points."""
    return float(np.linalg.norm(mapped(one, points) - mapped(two, points), axis=1).mean())
