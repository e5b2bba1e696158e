"""How flat a joint face is, from feeler gauges under a straightedge or from a grid of heights, with the doubt of it.

Flatness is the distance between the highest and the lowest point of the face, seen from the plane of least squares
(ISO 12781-1, peak to valley from the least-squares reference plane; from memory).
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

import numpy as np

from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.refusal import Refused, within

#: What a good workshop straightedge is out of straight (common practice, from memory).
USUAL_EDGE_SD_M: Final = 0.005e-3
#: More than this is a broken casting, or a figure in the wrong unit.
MOST_GAP_M: Final = 0.003
#: A face read along fewer lines than this can hide a twist: two sides and a diagonal.
FEWEST_LINES: Final = 3
#: A plane takes three points; a fourth shows that they are not in one.
FEWEST_POINTS: Final = 4


@dataclass(frozen=True, slots=True)
class Feelers:
    """One line under the straightedge: the thickest leaf that enters and the thinnest that does not, in metres.

    ``enters_m`` is 0 where no leaf enters.
    """

    enters_m: float
    refuses_m: float
    where: str = ""


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint and how flat its faces must be: the limit, and where sources give a band, its stricter end."""

    key: str
    says: str
    limit_m: float
    least_limit_m: float
    source: str


@cache
def joints() -> MappingProxyType[str, Joint]:
    """The joints whose limit is known, by key."""
    text = (resources.files("floatbowl.bench") / "data" / "flat_limits.csv").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            row["joint"]: Joint(
                row["joint"], row["says"], float(row["limit_m"]), float(row["least_limit_m"]), row["source"]
            )
            for row in csv.DictReader(text.splitlines())
        }
    )


def joint(key: str) -> Joint:
    """One joint; raises ``Refused`` naming those that are known."""
    if key not in joints():
        raise Refused(f"no limit is known for a joint {key!r}; known are {', '.join(joints())}")
    return joints()[key]


def by_feelers(lines: Iterable[Feelers], edge_sd_m: float = USUAL_EDGE_SD_M) -> tuple[Doubtful, Feelers]:
    """Flatness (m) and the line with the widest gap: the gap lies anywhere between its two leaves.

    ``sd^2 = (refuses - enters)^2/12 + edge^2``. Raises ``Refused`` for fewer than three lines, leaves the wrong way
    round, or gaps past 3 mm.

    >>> lines = [Feelers(0, 4e-5, "left"), Feelers(8e-5, 1e-4, "right"), Feelers(4e-5, 5e-5, "corner to corner")]
    >>> flatness, worst = by_feelers(lines)
    >>> round(1e6 * flatness.value), round(1e6 * flatness.sd, 1), worst.where
    (90, 7.6, 'right')
    """
    read = tuple(lines)
    if len(read) < FEWEST_LINES:
        raise Refused(f"{len(read)} lines were read; read at least {FEWEST_LINES}: two sides and corner to corner")
    within("straightedge's doubt", edge_sd_m, 0, 1e-4, "m")
    for line in read:
        _check_leaves(line)
    worst = max(read, key=lambda line: line.enters_m + line.refuses_m)
    sd = math.hypot((worst.refuses_m - worst.enters_m) / math.sqrt(12), edge_sd_m)
    return Doubtful((worst.enters_m + worst.refuses_m) / 2, sd), worst


def _check_leaves(line: Feelers) -> None:
    within("leaf that enters", line.enters_m, 0, MOST_GAP_M, "m")
    within("leaf that does not enter", line.refuses_m, 0, MOST_GAP_M, "m", open_low=True)
    if line.refuses_m <= line.enters_m:
        raise Refused(
            f"{line.where or 'a line'}: the leaf that does not enter ({line.refuses_m * 1e3:g} mm) is no thicker than "
            f"the one that does ({line.enters_m * 1e3:g} mm); measure again"
        )


def by_grid(points: Iterable[tuple[float, float, float]], height_sd_m: float) -> Doubtful:
    """Flatness (m) from heights: points ``(x, y, z)`` over the face, ``height_sd_m`` the doubt of one height.

    The least-squares plane is taken off; flatness is the highest less the lowest residual ``r = (I - H) z``, and its
    doubt that of the two points named (``H`` the projection on the plane). With few points the plane takes part of
    the error along, and a truly flat face still reads a few ``height_sd_m``: flatness is never below its noise.
    Raises ``Refused`` for fewer than four points, points in one line, or heights past 3 mm off the plane.

    >>> bowed = by_grid([(0, 0, 0), (0.06, 0, 0), (0, 0.04, 0), (0.06, 0.04, 0), (0.03, 0.02, 1e-4)], 2e-6)
    >>> round(1e6 * bowed.value), round(1e6 * bowed.sd, 1)
    (100, 2.4)
    """
    table = np.array(tuple(points), dtype=float)
    if table.ndim != 2 or table.shape[1] != 3 or len(table) < FEWEST_POINTS:
        raise Refused(f"{len(table)} points were read; read at least {FEWEST_POINTS}, each with x, y and height")
    if not np.isfinite(table).all():
        raise Refused("a point has no number; read it again")
    within("height's doubt", height_sd_m, 0, 1e-3, "m")
    hat = _projection(table[:, :2])
    keeps = np.eye(len(table)) - hat
    residual = keeps @ table[:, 2]
    flatness = float(np.ptp(residual))
    within("flatness", flatness, 0, MOST_GAP_M, "m", "check the units of the heights")
    between = keeps[residual.argmax()] - keeps[residual.argmin()]
    return Doubtful(flatness, height_sd_m * float(np.linalg.norm(between)))


def _projection(places: np.ndarray) -> np.ndarray:
    centred = places - places.mean(axis=0)
    across = np.linalg.svd(centred, compute_uv=False)
    if across[1] < 0.05 * across[0] or across[0] == 0:
        raise Refused("the points lie in one line: spread them over the face, corners and middle")
    base, _ = np.linalg.qr(np.column_stack([np.ones(len(places)), centred / across[0]]))
    return np.asarray(base @ base.T)
