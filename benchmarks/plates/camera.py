"""What a phone makes of a scene: unsharp, a little moved, noisy, at its own exposure, and squeezed into a JPEG."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image
from scipy import ndimage

from benchmarks.plates.recipes import Amounts

Field = npt.NDArray[np.float32]

#: Stored value of every linear one, 0..1 in equal steps: quicker than a power.
_GAMMA: Final = (np.linspace(0, 1, 1 << 16, dtype=np.float32) ** np.float32(1 / 2.2)).astype(np.float32)


@dataclass(frozen=True, slots=True)
class Shot:
    """One exposure: unsharpness and movement in pixels, noise, brightness, contrast, sharpening and JPEG quality."""

    blur: float
    moved: tuple[int, int]
    noise: float
    level: float
    contrast: float
    sharpen: float
    quality: int


def a_shot(rng: np.random.Generator, amounts: Amounts, cap: float) -> Shot:
    """Settings of one picture whose capitals are ``cap`` pixels high."""
    motion = max(0.0, amounts.motion) * cap * rng.random(2)
    return Shot(
        blur=max(0.3, amounts.blur * cap * float(rng.uniform(0.7, 1.3))),
        moved=(int(motion[0] + 0.5), int(motion[1] + 0.5)),
        noise=amounts.noise * float(rng.uniform(0.6, 1.4)),
        level=float(rng.uniform(0.32, 0.62)),
        contrast=float(rng.uniform(0.9, 1.4)),
        sharpen=float(rng.uniform(0.0, 1.0)),
        quality=int(np.clip(96 - 56 * amounts.compression * rng.random(), 35, 96)),
    )


def exposed(rng: np.random.Generator, light: Field, shot: Shot) -> Field:
    """A linear plane [H, W] as the phone shows it, 0..1, before the JPEG."""
    seen = blurred(light, shot)
    shown = stored(seen, shot, rng.standard_normal(seen.shape, dtype=np.float32))
    if shot.sharpen > 0.15:
        shown = shown + shot.sharpen * (shown - _gaussian(shown, 1.2))
    return np.clip(shown, 0, 1)


def stored(seen: Field, shot: Shot, grain: Field) -> Field:
    """Linear light as stored values 0..1: exposed by its middle, made noisy by the unit ``grain``, clipped, curved."""
    rows, columns = seen.shape[:2]
    bright = float(seen[rows // 4 : 3 * rows // 4 : 3, columns // 4 : 3 * columns // 4 : 3].mean())
    seen = seen * np.float32(shot.level**2.2 / max(bright, 1e-6))
    seen = seen + grain * np.float32(shot.noise) * np.sqrt(np.maximum(seen, 0) + np.float32(0.02))
    curve = shot.level + (_GAMMA - shot.level) * np.float32(shot.contrast)
    return curve.clip(0, 1)[(seen.clip(0, 1) * (_GAMMA.size - 1)).astype(np.uint16)]


def blurred(light: Field, shot: Shot) -> Field:
    """Out of focus, then moved along each axis."""
    seen = _gaussian(light, shot.blur)
    for axis, length in zip((-2, -1), shot.moved, strict=True):
        if length > 1:
            seen = ndimage.uniform_filter1d(seen, length, axis=axis)
    return seen


def _gaussian(field: Field, sigma: float) -> Field:
    for axis in (-2, -1):
        field = ndimage.gaussian_filter1d(field, sigma, axis=axis, truncate=2.5)
    return field


def squeezed(picture: Field, quality: int) -> Field:
    """A grey picture 0..1 through a JPEG."""
    stream = io.BytesIO()
    Image.fromarray((picture * 255 + 0.5).astype(np.uint8)).save(stream, "JPEG", quality=quality)
    return np.asarray(Image.open(stream), dtype=np.float32) / 255
