"""One line of a mark rendered straight, at line scale: what a recogniser learns from. numpy, scipy, Pillow only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PIL import Image

from benchmarks.plates import camera, fonts, glyphs, light, recipes, strokes, surface, texts

Field = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class LineSample:
    """Pictures 0..1 as a phone stores them (gamma included), and the truth: text, form, normals, heights, torches.

    ``normals`` [H, W, 3]: x right, y down, z to the camera, of the face as it is now (wear, paint and dirt included).
    ``height`` in pixels; ``lights`` [K, 3] unit vectors from the middle of the line to the torches.
    """

    text: str
    form: str
    plain: Field
    raking: Field
    normals: Field
    height: Field
    lights: Field
    amounts: recipes.Amounts


def line_sample(
    rng: np.random.Generator,
    recipe: recipes.Recipe,
    text: str | None = None,
    form: str | None = None,
    font_folder: str | None = None,
) -> LineSample:
    """Render one line; what is not given is drawn at random. Fonts: see ``benchmarks.plates.fonts``."""
    amounts = recipes.drawn(rng, recipe)
    form = form or ("stamped" if rng.random() < 0.5 else "cast")
    text = text or (texts.any_text(rng) if recipe.broad_text else texts.any_number(rng))
    shelf = fonts.shelf(recipe.fonts, font_folder)
    cap = recipe.height * float(rng.uniform(*recipe.cap_share))
    face, depth = _face(rng, recipe, amounts, text, form, shelf[rng.integers(len(shelf))], cap)
    plain = light.broad(rng, face, cap, amounts)
    count = int(rng.integers(recipe.raking[0], recipe.raking[1] + 1))
    lamps = light.torches(rng, count, float(face.height.shape[1]) * 0.7, amounts)
    taken = [plain, *(light.raked(face, lamp, plain, cap, depth) for lamp in lamps)]
    still = [0.0] + [max(0.0, amounts.misaligned)] * count
    pictures = [_photographed(rng, picture[0], cap, amounts, off) for picture, off in zip(taken, still, strict=True)]
    return LineSample(
        text=text,
        form=form,
        plain=pictures[0],
        raking=np.stack(pictures[1:]),
        normals=light.normals_of(face.height),
        height=face.height,
        lights=np.array([lamp.direction for lamp in lamps], dtype=np.float32),
        amounts=amounts,
    )


def _face(
    rng: np.random.Generator,
    recipe: recipes.Recipe,
    amounts: recipes.Amounts,
    text: str,
    form: str,
    font: str,
    cap: float,
) -> tuple[surface.Surface, float]:
    """The treated face with the mark in its middle, and the untouched depth of the mark in pixels."""
    setting = strokes.lettering(rng, font, form, amounts, recipe)
    margin = recipe.height - cap
    wide = max(24, round(glyphs.line_width(text, setting) * cap + margin * float(rng.uniform(0.8, 1.6))))
    length = glyphs.line_width(text, setting) * cap
    start = ((wide - length) / 2, cap + margin * float(rng.uniform(0.35, 0.65)))
    tool = strokes.tooling(rng, form, amounts, recipe.broad_lettering)
    marks = list(glyphs.placed(text, setting, cap, start, rng))
    if recipe.broad_lettering and rng.random() < 0.25:
        marks += _neighbours(rng, setting, cap, start)
    fresh = strokes.relief((recipe.height, wide), marks, tool, cap, rng)
    if recipe.tilt:
        fresh = _turned(fresh, float(rng.normal(0, recipe.tilt)), (0.0, 0.0))
    depth = tool.depth * cap
    return surface.treated(rng, fresh, cap, depth, form, amounts, colours=False), depth


def _neighbours(
    rng: np.random.Generator, setting: glyphs.Lettering, cap: float, start: tuple[float, float]
) -> list[glyphs.Placed]:
    """Feet or heads of another line at the edge of the crop: not part of the mark."""
    step = cap * float(rng.uniform(1.28, 1.5)) * (1 if rng.random() < 0.5 else -1)
    at = (start[0] + cap * float(rng.uniform(-2, 3)), start[1] + step)
    return list(glyphs.placed(texts.any_text(rng), setting, cap, at, rng))


def _turned(plane: Field, turn: float, shift: tuple[float, float]) -> Field:
    """The plane turned (radians) about its middle and shifted (pixels), its edges repeated."""
    if abs(turn) < 1e-4 and max(map(abs, shift)) < 0.05:
        return plane
    rows, columns = plane.shape
    pad = 4 + int(abs(turn) * columns / 2) + int(max(map(abs, shift)) + 1)
    padded = Image.fromarray(np.pad(plane, pad, mode="edge"))
    x, y = columns / 2, rows / 2
    cos, sin = float(np.cos(turn)), float(np.sin(turn))
    data = (cos, sin, x + pad - cos * x - sin * y + shift[0], -sin, cos, y + pad + sin * x - cos * y + shift[1])
    return np.array(padded.transform((columns, rows), Image.Transform.AFFINE, data, Image.Resampling.BILINEAR))


def _photographed(rng: np.random.Generator, plane: Field, cap: float, amounts: recipes.Amounts, off: float) -> Field:
    """One picture at the camera's own resolution, brought back to the size of the line."""
    rows, columns = plane.shape
    moved = _turned(plane, float(rng.normal(0, off * cap / columns)), tuple(rng.normal(0, off * cap, 2)))
    share = min(1.0, amounts.pixels / cap)
    size = (max(8, round(columns * share)), max(8, round(rows * share)))
    if share < 0.95:
        moved = np.array(Image.fromarray(moved).resize(size, Image.Resampling.BOX))
    shot = camera.a_shot(rng, amounts, cap * min(1.0, share))
    stored = camera.squeezed(camera.exposed(rng, moved, shot), shot.quality)
    if share < 0.95:
        stored = np.array(Image.fromarray(stored).resize((columns, rows), Image.Resampling.BICUBIC)).clip(0, 1)
    return stored
