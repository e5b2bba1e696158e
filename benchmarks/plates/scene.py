"""A plate or a cast pad on a dirty casting, as one face to light, seen straight from above."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from benchmarks.plates import glyphs, light, recipes, strokes, surface
from benchmarks.plates.textures import patch, resized

Field = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the scene in pixels."""

    left: int
    top: int
    width: int
    height: int

    @property
    def corners(self) -> npt.NDArray[np.float64]:
        """From the top left clockwise, x right and y down."""
        right, bottom = self.left + self.width, self.top + self.height
        return np.array([[self.left, self.top], [right, self.top], [right, bottom], [self.left, bottom]], dtype=float)

    @property
    def window(self) -> tuple[slice, slice]:
        return slice(self.top, self.top + self.height), slice(self.left, self.left + self.width)


@dataclass(frozen=True, slots=True)
class Scene:
    """The face in colour, where plate and line lie on it, and the mark's size in pixels."""

    face: surface.Surface
    plate: Box
    line: Box
    cap: float
    depth: float
    font: str

    def plate_normals(self) -> Field:
        """True unit normals of the plate [h, w, 3] in its own plane: x right, y down, z away from it."""
        return light.normals_of(self.face.height[self.plate.window])


def a_scene(
    rng: np.random.Generator,
    size: tuple[int, int],
    text: str,
    form: str,
    shelf: tuple[str, ...],
    amounts: recipes.Amounts,
    recipe: recipes.Recipe,
) -> Scene:
    """``size`` is width and height in pixels; the plate takes 50 to 61 % of the width."""
    font = shelf[rng.integers(len(shelf))]
    setting = strokes.lettering(rng, font, form, amounts, recipe)
    plate, line, cap = _laid_out(rng, size, glyphs.line_width(text, setting))
    tool = strokes.tooling(rng, form, amounts, recipe.broad_lettering)
    start = (float(line.left - plate.left), float(line.top - plate.top + cap))
    marks = glyphs.placed(text, setting, cap, start, rng)
    fresh = strokes.relief((plate.height, plate.width), marks, tool, cap, rng)
    if form == "cast" and rng.random() < 0.5:
        fresh += _rim(plate, cap)
    depth = tool.depth * cap
    tag = surface.treated(rng, fresh, cap, depth, form, amounts, colours=True)
    if form == "stamped":
        tag = _riveted(rng, tag, plate, line, cap)
    ground = _casting(rng, size, cap, tag.colour.mean((1, 2)) if form == "cast" else None)
    face = _mounted(rng, tag, ground, plate, cap, form)
    around = int(0.1 * cap)
    framed = Box(line.left - around, line.top - around, line.width + 2 * around, line.height + 2 * around)
    return Scene(face, plate, framed, cap, depth, font)


def _laid_out(rng: np.random.Generator, size: tuple[int, int], length: float) -> tuple[Box, Box, float]:
    """Where plate and line lie, and the capitals' height; ``length`` is the line's in capital heights."""
    width = round(size[0] * float(rng.uniform(0.5, 0.61)))
    share = float(rng.uniform(0.62, 0.78))
    cap = min(width * share / length, 0.075 * width)
    height = round(max(width * float(rng.uniform(0.3, 0.55)), 2.4 * cap))
    left = round((size[0] - width) / 2 + float(rng.normal(0, 0.02)) * size[0])
    top = round((size[1] - height) / 2 + float(rng.normal(0, 0.02)) * size[1])
    aside = (width - length * cap) / 2 * (1 + 0.1 * float(rng.uniform(-1, 1)))
    down = (height - cap) / 2 * (1 + 0.3 * float(rng.uniform(-1, 1)))
    line = Box(round(left + aside), round(top + down), round(length * cap), round(cap))
    return Box(left, top, width, height), line, cap


def _rim(plate: Box, cap: float) -> Field:
    """The raised rim of a cast pad."""
    inward = -_outside(plate.height, plate.width, 0.3 * cap)
    return np.asarray(0.12 * cap * np.exp(-(((inward - 0.3 * cap) / (0.12 * cap)) ** 2)), dtype=np.float32)


def _riveted(rng: np.random.Generator, tag: surface.Surface, plate: Box, line: Box, cap: float) -> surface.Surface:
    """A tag with a rivet at either end."""
    free = (line.left - plate.left, plate.left + plate.width - line.left - line.width)
    rows, columns = np.ogrid[: plate.height, : plate.width]
    height, colour = tag.height.copy(), tag.colour.copy()
    shade = float(rng.uniform(0.5, 1.2))
    for x, room in ((0.5 * free[0], free[0]), (plate.width - 0.5 * free[1], free[1])):
        radius = min(0.35 * cap, 0.35 * room)
        square = ((rows - plate.height / 2) ** 2 + (columns - x) ** 2) / radius**2
        height += 0.45 * radius * np.sqrt(np.maximum(0, 1 - square)).astype(np.float32)
        colour[:, square < 1] *= shade
    return surface.Surface(height, colour, tag.gloss, tag.shine)


def _outside(rows: int, columns: int, radius: float, border: int = 0) -> Field:
    """Distance outside a rounded rectangle (inside negative), on a raster ``border`` wider on every side."""
    y = np.abs(np.arange(-border, rows + border, dtype=np.float32) + 0.5 - rows / 2)[:, None] - rows / 2 + radius
    across = np.arange(-border, columns + border, dtype=np.float32)[None, :] + 0.5 - columns / 2
    x = np.abs(across) - columns / 2 + radius
    return np.hypot(np.maximum(x, 0), np.maximum(y, 0)) + np.minimum(np.maximum(x, y), 0) - radius


def _casting(rng: np.random.Generator, size: tuple[int, int], cap: float, own: Field | None) -> surface.Surface:
    """The casting around: rough, oily, sometimes painted; ``own`` is its colour where the mark is part of it.

    Made on a coarse raster, for nobody reads it.
    """
    shape = (size[1] // 2, size[0] // 2)
    rough = 0.02 * cap * float(rng.uniform(0.4, 1.2))
    height = rough * patch(rng, "pores", shape, cap / 40) + 0.3 * cap * patch(rng, "cloud", shape, cap / 6)
    metal = surface.a_metal(rng, "cast")
    painted = surface.PAINTS[rng.integers(len(surface.PAINTS))] if rng.random() < 0.4 else metal.colour
    base = np.array(painted if own is None else own, dtype=np.float32)
    colour = base[:, None, None] * float(rng.uniform(0.5, 1.1))
    grime = np.clip(patch(rng, "blotch", shape, cap / 12) * 0.4 + float(rng.uniform(0, 0.7)), 0, 1)
    dirt = np.array(surface.DIRTS[rng.integers(len(surface.DIRTS))], dtype=np.float32)[:, None, None]
    mixed = colour + grime * (dirt - colour)
    full = (size[1], size[0])
    planes = np.stack([resized(plane, full) for plane in mixed])
    return surface.Surface(resized(height, full), planes, np.full(full, 0.03, dtype=np.float32), 10.0)


def _mounted(
    rng: np.random.Generator, tag: surface.Surface, ground: surface.Surface, plate: Box, cap: float, form: str
) -> surface.Surface:
    """The plate on the casting: a slab with its edges rounded, a line of grime around it."""
    border = min(int(1.2 * cap), plate.left, plate.top)
    rows, columns = plate.window
    wide = (slice(rows.start - border, rows.stop + border), slice(columns.start - border, columns.stop + border))
    outside = _outside(plate.height, plate.width, float(rng.uniform(0.05, 0.5)) * cap, border)
    edge = max(1.0, (0.03 if form == "stamped" else 0.12) * cap)
    inside = np.clip(0.5 - outside / edge, 0, 1)
    slab = cap * float(rng.uniform(0.12, 0.3))
    height, colour, gloss = ground.height.copy(), ground.colour.copy(), ground.gloss.copy()
    level = surface.smooth(ground.height[wide], 3 * cap)

    def over(field: Field) -> Field:
        return np.pad(field, border, mode="edge")

    height[wide] += inside * (over(tag.height) + level + slab - height[wide])
    grime = 1 - 0.7 * np.exp(-((np.maximum(outside, 0) / (0.15 * cap)) ** 2)) * (outside > 0)
    colour[(slice(None), *wide)] *= grime
    for plane, own in zip(colour, tag.colour, strict=True):
        plane[wide] += inside * (over(own) - plane[wide])
    gloss[wide] += inside * (over(tag.gloss) - gloss[wide])
    return surface.Surface(height, colour, gloss, tag.shine)
