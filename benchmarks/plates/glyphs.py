"""Characters of an outline font as signed distances to their edge, and laid out along a line with a maker's jitter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

Field = npt.NDArray[np.float32]
#: Pixels of a capital's height in the stored glyphs, the finer raster they are made from, the border around each.
CAP: Final = 64
FINE: Final = 2
PAD: Final = 0.3


@dataclass(frozen=True, slots=True)
class Glyph:
    """Distances to the edge in capital heights (inside positive); ``origin`` (x, y) is on the base line."""

    distance: Field
    origin: tuple[float, float]
    advance: float
    #: Ink from here to here along x, in capital heights from the origin.
    ink: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Lettering:
    """How a line is set: one font, its proportions and how unevenly the characters stand (capital heights, radians)."""

    font: str
    width: float = 1.0
    slant: float = 0.0
    spacing: float = 0.08
    monospaced: bool = False
    shift: float = 0.0
    turn: float = 0.0
    size: float = 0.0
    arch: float = 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A character on the plate: distances in capital heights over a window with its top left ``at`` (row, column)."""

    character: str
    distance: Field
    at: tuple[int, int]


@lru_cache(512)
def _font(path: str) -> tuple[ImageFont.FreeTypeFont, float]:
    """The font at the size that gives capitals of ``CAP * FINE`` pixels, and that height exactly."""
    trial = ImageFont.truetype(path, 400)
    box = trial.getbbox("H", anchor="ls")
    font = ImageFont.truetype(path, 400 * CAP * FINE / (box[3] - box[1]))
    return font, float(CAP * FINE)


@lru_cache(6000)
def glyph(path: str, character: str) -> Glyph:
    """One character of a font, made once a process."""
    font, cap = _font(path)
    left, top, right, bottom = font.getbbox(character, anchor="ls")
    pad = int(PAD * cap)
    width, height = (int(np.ceil((n + 2 * pad) / FINE)) * FINE for n in (right - left, bottom - top))
    picture = Image.new("L", (width, height))
    ImageDraw.Draw(picture).text((pad - left, pad - top), character, fill=255, font=font, anchor="ls")
    inside = np.asarray(picture) > 127
    distance = ndimage.distance_transform_edt(inside) - ndimage.distance_transform_edt(~inside)
    coarse = distance.reshape(height // FINE, FINE, width // FINE, FINE).mean((1, 3)) / cap
    return Glyph(
        distance=coarse.astype(np.float32),
        origin=((pad - left) / FINE, (pad - top) / FINE),
        advance=font.getlength(character) / cap,
        ink=(left / cap, right / cap),
    )


def line_width(text: str, lettering: Lettering) -> float:
    """Length of the line in capital heights, first ink to last ink about."""
    return _pen(text, lettering)[-1]


def _pen(text: str, lettering: Lettering) -> list[float]:
    """Where each character's origin lies along the line, and the line's end, in capital heights."""
    pen, places = 0.0, []
    pitch = max(glyph(lettering.font, c).advance for c in set(text)) if lettering.monospaced else 0.0
    for character in text:
        one = glyph(lettering.font, character)
        step = pitch or (0.45 if character == " " else one.ink[1] - one.ink[0])
        start = pen + (step - one.ink[0] - one.ink[1]) / 2 if pitch or character == " " else pen - one.ink[0]
        places.append(start * lettering.width)
        pen += step + lettering.spacing
    return [*places, (pen - lettering.spacing) * lettering.width]


def placed(
    text: str, lettering: Lettering, cap: float, start: tuple[float, float], rng: np.random.Generator
) -> Iterator[Placed]:
    """Each character drawn at ``cap`` pixels; ``start`` is the base line's left end (x, y) in pixels."""
    places = _pen(text, lettering)
    middle = places[-1] / 2
    for character, x in zip(text, places[:-1], strict=True):
        jitter = rng.normal(0, 1, 4) * (lettering.shift, lettering.shift, lettering.turn, lettering.size)
        if character == " ":
            continue
        along = x + jitter[0]
        drop = lettering.arch * ((along - middle) ** 2 - middle**2 / 3) + jitter[1]
        turn = jitter[2] + np.arctan(2 * lettering.arch * (along - middle))
        at = (start[0] + along * cap, start[1] + drop * cap)
        yield _drawn(character, lettering, cap * float(1 + jitter[3]), at, float(turn))


def _drawn(character: str, lettering: Lettering, cap: float, at: tuple[float, float], turn: float) -> Placed:
    one = glyph(lettering.font, character)
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    forward = turned @ np.array([[lettering.width, -lettering.slant], [0, 1.0]]) * (cap / CAP)
    rows, columns = one.distance.shape
    corners = (np.array([[0, columns, 0, columns], [0, 0, rows, rows]]) - np.array(one.origin)[:, None]).astype(float)
    spread = forward @ corners + np.array(at)[:, None]
    low, high = np.floor(spread.min(1)).astype(int), np.ceil(spread.max(1)).astype(int)
    back = np.linalg.inv(forward)
    offset = np.array(one.origin) - back @ (np.array(at) - low)
    data = (back[0, 0], back[0, 1], offset[0], back[1, 0], back[1, 1], offset[1])
    picture = Image.fromarray(one.distance).transform(
        tuple(high - low), Image.Transform.AFFINE, data, Image.Resampling.BILINEAR, fillcolor=-PAD
    )
    return Placed(character, np.array(picture, dtype=np.float32), (int(low[1]), int(low[0])))
