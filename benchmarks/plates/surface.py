"""From a fresh mark to a worn face: skin, loss of height, scratches, pits, paint and dirt, as height and as colour.

Heights are pixels. Metals' and coverings' reflectances are estimates from the look of such parts, not measurements.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw
from scipy import ndimage

from benchmarks.plates.recipes import Amounts
from benchmarks.plates.textures import patch, resized

Field = npt.NDArray[np.float32]
Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Metal:
    """Diffuse colour (linear), how much it shines and how sharply, whether its face is usually brushed or turned."""

    name: str
    colour: Colour
    gloss: float
    shine: float
    brushed: float
    forms: tuple[str, ...]


METALS: Final = (
    Metal("zinc", (0.34, 0.35, 0.36), 0.10, 14, 0.2, ("cast", "stamped")),
    Metal("aluminium", (0.44, 0.44, 0.45), 0.14, 16, 0.2, ("cast", "stamped")),
    Metal("iron", (0.17, 0.13, 0.11), 0.03, 8, 0.05, ("cast", "stamped")),
    Metal("brass", (0.42, 0.32, 0.14), 0.22, 30, 0.7, ("stamped",)),
    Metal("tin", (0.40, 0.40, 0.39), 0.22, 26, 0.6, ("stamped",)),
)
PAINTS: Final[tuple[Colour, ...]] = (
    (0.05, 0.05, 0.05), (0.24, 0.06, 0.04), (0.07, 0.13, 0.07), (0.28, 0.28, 0.26), (0.10, 0.12, 0.18),
    (0.38, 0.27, 0.09),
)  # fmt: skip
DIRTS: Final[tuple[Colour, ...]] = (
    (0.03, 0.028, 0.025), (0.06, 0.05, 0.04), (0.12, 0.09, 0.06), (0.22, 0.17, 0.11), (0.16, 0.08, 0.04),
    (0.33, 0.32, 0.30),
)  # fmt: skip
GREY_OF: Final = (0.30, 0.59, 0.11)


@dataclass(frozen=True, slots=True)
class Surface:
    """A face to light: height in pixels, diffuse colour (one plane or three), gloss, sharpness of the gloss."""

    height: Field
    colour: Field
    gloss: Field
    shine: float


@dataclass(slots=True)
class _Face:
    """The face while it is being treated; ``colour`` has its planes first."""

    height: Field
    colour: Field
    gloss: Field


def a_metal(rng: np.random.Generator, form: str) -> Metal:
    fitting = [metal for metal in METALS if form in metal.forms]
    return fitting[rng.integers(len(fitting))]


def smooth(field: Field, sigma: float) -> Field:
    """Gaussian mean over ``sigma`` pixels; wide ones on a coarser raster, which is quicker."""
    coarse = int(sigma / 3)
    if coarse < 2:
        return np.asarray(ndimage.gaussian_filter(field, sigma, truncate=2.5), dtype=np.float32)
    shape = (max(2, field.shape[0] // coarse), max(2, field.shape[1] // coarse))
    small = ndimage.gaussian_filter(_reduced(field, shape), sigma / coarse, truncate=2.5)
    return resized(small, (field.shape[0], field.shape[1]))


def _reduced(field: Field, shape: tuple[int, int]) -> Field:
    picture = Image.fromarray(np.ascontiguousarray(field))
    return np.array(picture.resize((shape[1], shape[0]), Image.Resampling.BOX), dtype=np.float32)


def treated(
    rng: np.random.Generator, relief: Field, cap: float, depth: float, form: str, amounts: Amounts, colours: bool
) -> Surface:
    """The mark after its life. ``depth`` is the untouched relief in pixels; ``colours`` gives three colour planes."""
    metal = a_metal(rng, form)
    planes = _planes(metal.colour, colours)
    shape = (relief.shape[0], relief.shape[1])
    face = _Face(relief, np.tile(planes[:, None, None], (1, *shape)), np.full(shape, metal.gloss, dtype=np.float32))
    _skin(rng, face, cap, form, metal, amounts)
    _wear(rng, face, cap, depth, form, amounts)
    if amounts.peening > 0.004:
        face.height = smooth(face.height, amounts.peening * cap)
    _scratch(rng, face, cap, amounts)
    _corrode(rng, face, cap, depth, amounts)
    if amounts.paint > 0:
        _paint(rng, face, cap, amounts, colours)
    _dirty(rng, face, cap, depth, amounts, colours)
    face.colour *= np.exp(amounts.film * patch(rng, "blotch", shape, cap / 30) * 0.5).clip(0.4, 1.6)
    return Surface(face.height, face.colour.clip(0.01, 0.9), face.gloss, metal.shine * float(rng.uniform(0.6, 1.6)))


def _planes(colour: Colour, colours: bool) -> Field:
    return np.array(colour if colours else [np.dot(colour, GREY_OF)], dtype=np.float32)


def _shape(face: _Face) -> tuple[int, int]:
    return (face.height.shape[0], face.height.shape[1])


def _cover(face: _Face, share: Field, colour: Field, gloss: float) -> None:
    """Lay a covering over the face where ``share`` is 1."""
    face.colour += share * (colour[:, None, None] - face.colour)
    face.gloss = face.gloss + share * (gloss - face.gloss)


def _skin(rng: np.random.Generator, face: _Face, cap: float, form: str, metal: Metal, amounts: Amounts) -> None:
    """Waviness of the face, and its grain: sand-cast pores, or the lines of a file, a brush or a rolling mill."""
    shape, rough = _shape(face), amounts.roughness
    height = face.height + 0.012 * cap * float(rng.uniform(0, 1)) * patch(rng, "cloud", shape, cap / 24)
    if form == "cast":
        height += 0.012 * cap * rough * patch(rng, "pores", shape, float(rng.uniform(0.6, 2.2)) * cap / 60)
    else:
        height += 0.003 * cap * rough * patch(rng, "grain", shape, cap / 60)
    if rng.random() < metal.brushed:
        lines = patch(rng, "lines", shape if rng.random() < 0.8 else (shape[1], shape[0]), max(0.7, cap / 80))
        height += 0.0028 * cap * float(rng.uniform(0.2, 1)) * (lines if lines.shape == shape else lines.T)
    face.height = height.astype(np.float32)


def _wear(rng: np.random.Generator, face: _Face, cap: float, depth: float, form: str, amounts: Amounts) -> None:
    """Rub the face down to a ceiling that undulates: tops of a cast mark go, hollows of a punched one get shallow."""
    shape = _shape(face)
    loss = amounts.loss + amounts.uneven * 0.35 * patch(rng, "cloud", shape, cap / float(rng.uniform(12, 40)))
    if amounts.grinding > 0:
        spots = patch(rng, "cloud", shape, cap / float(rng.uniform(10, 20)))
        loss += amounts.grinding * 0.8 * np.clip(spots - 1.0, 0, 1)
    loss = np.clip(loss, -0.2, 1.15)
    ceiling = depth * (1 - loss) if form == "cast" else -depth * loss
    soft = 0.08 * depth
    gap = face.height - ceiling
    worn = 0.5 * (face.height + ceiling - np.sqrt(gap * gap + soft * soft))
    rubbed = np.clip(gap / (0.3 * depth) + 0.3, 0, 1).astype(np.float32)
    if form == "stamped":
        worn = worn + depth * loss
    polish = float(rng.uniform(0.0, 0.5))
    face.colour *= 1 + 0.35 * polish * rubbed
    face.gloss = face.gloss * (1 + 1.5 * polish * rubbed)
    face.height = worn.astype(np.float32)


def _scratch(rng: np.random.Generator, face: _Face, cap: float, amounts: Amounts) -> None:
    """Straight scores across the face, mostly in one direction, brighter than the old metal."""
    count = int(rng.poisson(max(0.0, amounts.scratches) * 3 * face.height.shape[1] / cap))
    if not count:
        return
    rows, columns = _shape(face)
    picture = Image.new("L", (columns, rows))
    pen = ImageDraw.Draw(picture)
    main = rng.uniform(0, np.pi)
    for _ in range(min(count, 120)):
        angle = main + rng.normal(0, 0.25) if rng.random() < 0.7 else rng.uniform(0, np.pi)
        x, y = rng.uniform(0, columns), rng.uniform(0, rows)
        long = cap * rng.exponential(0.8)
        ends = (x, y, x + long * np.cos(angle), y + long * np.sin(angle))
        pen.line(ends, fill=int(rng.integers(40, 255)), width=max(1, round(cap * rng.uniform(0.005, 0.03))))
    cut = np.asarray(picture, dtype=np.float32) / 255
    cut = ndimage.gaussian_filter(cut, 0.6 + 0.006 * cap, truncate=2.5)
    face.height = face.height - cut * cap * float(rng.uniform(0.008, 0.035))
    face.colour *= 1 + float(rng.uniform(-0.3, 0.6)) * cut


def _corrode(rng: np.random.Generator, face: _Face, cap: float, depth: float, amounts: Amounts) -> None:
    """Pits, and a roughened, duller skin around them."""
    if amounts.corrosion <= 0.02:
        return
    shape, amount = _shape(face), amounts.corrosion
    pits = patch(rng, "rust", shape, float(rng.uniform(0.8, 2.5)) * cap / 50)
    eaten = np.clip(-pits * 0.4 * (0.3 + amount), 0, 1)
    growth = patch(rng, "grain", shape, cap / 50) * np.clip(
        patch(rng, "blotch", shape, cap / 25) * 0.5 + amount - 0.4, 0, 1
    )
    face.height = face.height - (0.8 * depth * amount) * eaten + 0.008 * cap * amount * growth
    face.colour *= 1 - 0.6 * amount * eaten * float(rng.uniform(0, 1))
    face.gloss = face.gloss * (1 - 0.8 * amount * np.clip(eaten + np.abs(growth), 0, 1))


def _paint(rng: np.random.Generator, face: _Face, cap: float, amounts: Amounts, colours: bool) -> None:
    """A coat that rounds the relief, flaked away in places with a sharp edge."""
    shape = _shape(face)
    coat = smooth(face.height, cap * float(rng.uniform(0.012, 0.02 + 0.03 * amounts.paint)))
    thick = cap * float(rng.uniform(0.006, 0.02))
    proud = (face.height - smooth(face.height, 0.35 * cap)) / (0.04 * cap)
    flake = patch(rng, "blotch", shape, cap / 25) + 0.6 * np.clip(proud, -1, 1)
    kept = np.clip((float(rng.uniform(0.5, 2.6)) - flake) * 6, 0, 1).astype(np.float32)
    face.height = face.height + kept * (np.maximum(coat, face.height - thick) + thick - face.height)
    face.colour *= float(rng.uniform(0.4, 0.9))
    _cover(face, kept, _planes(PAINTS[rng.integers(len(PAINTS))], colours), float(rng.uniform(0.01, 0.08)))


def _dirty(rng: np.random.Generator, face: _Face, cap: float, depth: float, amounts: Amounts, colours: bool) -> None:
    """Dirt lies in the hollows up to an uneven line, filling them in height and covering them in colour."""
    if amounts.dirt <= 0.02:
        return
    shape = _shape(face)
    around = smooth(face.height, 0.3 * cap)
    uneven = 0.3 * patch(rng, "blotch", shape, cap / 25) + 0.1 * patch(rng, "grain", shape, cap / 60)
    line = around + depth * (0.75 * amounts.dirt - 0.5 + uneven * (0.4 + amounts.dirt))
    thick = np.maximum(0, line - face.height)
    packed = float(rng.uniform(0.4, 1.0))
    face.height = (face.height + packed * thick).astype(np.float32)
    hiding = float(rng.uniform(0.15, 0.5)) * depth
    share = (1 - np.exp(-thick / hiding)).astype(np.float32) * float(rng.uniform(0.5, 1.0))
    _cover(face, share, _planes(DIRTS[rng.integers(len(DIRTS))], colours) * float(rng.uniform(0.7, 1.3)), 0.01)
