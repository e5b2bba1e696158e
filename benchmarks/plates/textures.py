"""Random surface textures, cut from a few tileable fields made once: quick enough for training data."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image
from scipy import fft, ndimage

Field = npt.NDArray[np.float32]
SIDE: Final = 1024
SEED: Final = 20261


def patch(rng: np.random.Generator, kind: str, shape: tuple[int, int], zoom: float = 1.0) -> Field:
    """A random piece of the texture ``kind``, mean 0 and spread about 1; ``zoom`` > 1 makes it coarser (pixels)."""
    rows, columns = (max(2, int(np.ceil(n / zoom))) for n in shape)
    field = _field(kind)
    top, left = rng.integers(SIDE, size=2)
    piece = field.take(range(top, top + rows), 0, mode="wrap").take(range(left, left + columns), 1, mode="wrap")
    if rng.random() < 0.5:
        piece = piece[::-1]
    if rng.random() < 0.5:
        piece = piece[:, ::-1]
    return np.ascontiguousarray(piece) if piece.shape == shape else resized(piece, shape)


def resized(field: Field, shape: tuple[int, int]) -> Field:
    """The field at another size, bilinear."""
    picture = Image.fromarray(np.ascontiguousarray(field, dtype=np.float32))
    return np.array(picture.resize((shape[1], shape[0]), Image.Resampling.BILINEAR), dtype=np.float32)


@cache
def _field(kind: str) -> Field:
    rng = np.random.default_rng([SEED, len(kind), ord(kind[0])])
    white = rng.standard_normal((SIDE, SIDE)).astype(np.float32)
    made = _MAKERS[kind](white)
    return ((made - made.mean()) / made.std()).astype(np.float32)


def _spectral(white: Field, power: float, longest: float, shortest: float) -> Field:
    """Noise with amplitude falling as frequency to ``power``, between two wavelengths in pixels."""
    rows = fft.fftfreq(SIDE)[:, None]
    columns = fft.rfftfreq(SIDE)[None, :]
    frequency = np.sqrt(rows**2 + columns**2)
    frequency[0, 0] = 1.0
    gain = frequency**-power * np.exp(-((frequency * shortest) ** 2)) * (1 - np.exp(-((frequency * longest) ** 2)))
    return np.asarray(fft.irfft2(fft.rfft2(white) * gain, s=white.shape), dtype=np.float32)


def _pores(white: Field) -> Field:
    """Skin of a sand casting: rounded bumps and sharp pores."""
    bumps = _spectral(white, 0.6, 40, 3.0)
    bumps /= bumps.std()
    return bumps - 0.9 * np.maximum(0, -bumps - 0.8) ** 1.5


def _pits(white: Field) -> Field:
    """Corrosion pits: rare deep round holes, in clusters."""
    seeds = _spectral(white, 0.3, 30, 3.5)
    clusters = _spectral(white[::-1], 1.4, 300, 20)
    level = seeds / seeds.std() + 0.8 * clusters / clusters.std()
    return -np.maximum(0, level - 1.5).astype(np.float32)


def _brushed(white: Field) -> Field:
    """Fine lines along x, each of its own length."""
    long = ndimage.uniform_filter1d(white, 161, axis=1, mode="wrap")
    short = ndimage.uniform_filter1d(white[::-1], 31, axis=1, mode="wrap")
    return ndimage.gaussian_filter1d(long * 2.2 + short, 0.6, axis=0, mode="wrap")


_MAKERS: Final = {
    "cloud": lambda white: _spectral(white, 1.8, 700, 8.0),
    "blotch": lambda white: _spectral(white, 1.2, 120, 3.0),
    "grain": lambda white: _spectral(white, 0.3, 12, 1.6),
    "pores": _pores,
    "rust": _pits,
    "lines": _brushed,
}
