"""Where the torch was, from the pictures alone: factorisation, made unique by integrability and by the fall-off.

Flat metal has brightness 1 after flattening, so a pixel's brightness is b * (1 + s . p): b its albedo, p its slopes,
s the torch's sideways part over its upward part. Pictures of K torches are K rows of rank 3 (H. Hayakawa, "Photometric
stereo under a light source with arbitrary motion", JOSA A 11(11), 1994). Rank leaves a 2 x 2 change of axes open; that
the slopes are those of a surface closes it but for one scale and sign (P. N. Belhumeur, D. J. Kriegman, A. L. Yuille,
"The bas-relief ambiguity", IJCV 35(1), 1999; A. Yuille, D. Snow, "Shape and albedo from multiple images using
integrability", CVPR 1997). The sign follows from the fall-off: a torch brightens the side it is on. The scale is taken
from a torch held low.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, cast

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from floatbowl.photo.shading import Plane, middle

Matrix = NDArray[np.float64]

#: Mean sideways part over upward part of a torch held low, about 22 degrees above the plate. Estimate.
HELD_LOW: Final = 2.5
#: Pixels the factorisation looks at: enough for a few numbers.
ENOUGH: Final = 5_000
#: A change of axes more lopsided than this is noise, not lights.
MOST_LOPSIDED: Final = 8.0


@dataclass(frozen=True, slots=True)
class Lights:
    """Sideways over upward part of each torch ``[K, 2]``; ``sure_of_sign``: 0 (raised may be sunk) to 1."""

    sideways: Matrix
    sure_of_sign: float

    @property
    def directions(self) -> Matrix:
        """Unit vectors ``[K, 3]`` from the plate to the torches."""
        upright = np.column_stack([self.sideways, np.ones(len(self.sideways))])
        return cast(Matrix, upright / np.linalg.norm(upright, axis=1, keepdims=True))


def find_lights(flat: Plane, slow: Plane, told: Matrix | None = None) -> Lights:
    """The torches of flattened pictures ``[K, H, W]`` with their slow parts, K at least 3.

    ``told [K, 2]``, where a ball's reflections give them, are the sideways parts over the upward parts: the factors
    nearest to them are taken, which fixes sign and scale and evens out what is off in a single reflection.
    """
    sideways, slopes = _factorised(flat)
    if told is not None:
        nearest = sideways @ np.linalg.lstsq(sideways, told - told.mean(axis=0), rcond=None)[0]
        return Lights(nearest + told.mean(axis=0), 1.0)
    falls = fall_off(slow)
    change = _integrable(slopes)
    if change is None:
        change = _as_the_fall_off(sideways, falls)
    turned = sideways @ np.linalg.inv(change)
    return Lights(*_signed(_scaled(turned), falls))


def _factorised(flat: Plane) -> tuple[Matrix, Plane]:
    """Orthonormal ``[K, 2]`` and slopes ``[2, H, W]`` such that flat / albedo - 1 is about their product."""
    typical = np.maximum(middle(flat), 0.05)
    leaning = np.clip(flat / typical - 1, -0.8, 1.5)
    step = max(1, leaning[0].size // ENOUGH)
    sample = leaning.reshape(len(flat), -1)[:, ::step].astype(np.float64)
    sample -= sample.mean(axis=0)
    for _ in range(3):
        _, vectors = np.linalg.eigh(sample @ sample.T)
        axes = vectors[:, -2:]
        guess = axes @ (axes.T @ sample)
        spread = 2.5 * np.median(np.abs(sample - guess)) + 1e-6
        sample = guess + np.clip(sample - guess, -spread, spread)
    slopes = np.tensordot(axes.T, leaning, axes=1).astype(np.float32)
    return axes, slopes


def _integrable(slopes: Plane) -> Matrix | None:
    """The 2 x 2 change of axes under which the slopes have no curl, of determinant over 0; None when unclear."""
    smooth = ndimage.gaussian_filter(slopes, (0, 1.2, 1.2))
    along_x, along_y = smooth[:, 1:-1, 2:] - smooth[:, 1:-1, :-2], smooth[:, 2:, 1:-1] - smooth[:, :-2, 1:-1]
    terms = np.stack([along_y[0], along_y[1], -along_x[0], -along_x[1]]).reshape(4, -1).astype(np.float64)
    values, vectors = np.linalg.eigh(terms @ terms.T)
    change = vectors[:, 0].reshape(2, 2)
    if values[0] > 0.5 * values[1] or np.linalg.cond(change) > MOST_LOPSIDED:
        return None
    return cast(Matrix, change)


def fall_off(slow: Plane) -> Matrix:
    """How the log brightness of each slow part rises to the right and downwards ``[K, 2]``, over what all share."""
    count, height, width = slow.shape
    rows, columns = np.mgrid[0:height:8, 0:width:8]
    places = np.stack([columns - width / 2, rows - height / 2]).reshape(2, -1) / height
    bright = np.log(slow[:, ::8, ::8]).reshape(count, -1).astype(np.float64)
    bright -= bright.mean(axis=0)
    bright -= bright.mean(axis=1, keepdims=True)
    return np.asarray(bright @ places.T @ np.linalg.pinv(places @ places.T))


def _as_the_fall_off(sideways: Matrix, falls: Matrix) -> Matrix:
    """The turn (no stretching) that brings the torches nearest to where the fall-off puts them."""
    left, _, right = np.linalg.svd(sideways.T @ falls)
    return cast(Matrix, (left @ right).T)


def _scaled(sideways: Matrix) -> Matrix:
    return sideways * (HELD_LOW / max(float(np.mean(np.linalg.norm(sideways, axis=1))), 1e-9))


def _signed(sideways: Matrix, falls: Matrix) -> tuple[Matrix, float]:
    """The torches on the side that they brighten, and how clear that is."""
    agree = float(np.sum(sideways * falls))
    most = float(np.linalg.norm(sideways) * np.linalg.norm(falls)) + 1e-9
    return sideways if agree >= 0 else -sideways, abs(agree) / most
