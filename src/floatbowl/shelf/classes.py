"""Kinds of demand: how far apart orders come and how unlike one another they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.engine.refusal import Refused

#: Cut-offs of A. A. Syntetos, J. E. Boylan, J. D. Croston, "On the categorization of demand patterns", Journal of the
#: Operational Research Society 56, 2005, 495-503 (figures from memory).
FAR_APART: Final = 1.32
UNLIKE: Final = 0.49


@dataclass(frozen=True, slots=True)
class Intermittence:
    """``interval``: mean months between months with demand (ADI). ``unlikeness``: squared coefficient of variation of
    the sizes (CV squared)."""

    interval: float
    unlikeness: float

    @property
    def kind(self) -> str:
        """smooth, erratic (sizes unlike), intermittent (far apart) or lumpy (both)."""
        if self.interval < FAR_APART:
            return "smooth" if self.unlikeness < UNLIKE else "erratic"
        return "intermittent" if self.unlikeness < UNLIKE else "lumpy"


def intermittence(series: npt.ArrayLike) -> Intermittence:
    """Of one monthly series; the interval is months over months with demand, the variation that of the sample.

    Raises ``Refused`` for a series without demand.

    >>> intermittence([0, 2, 0, 2, 0, 0, 2, 0]).kind
    'intermittent'
    """
    units = np.asarray(series, np.float64)
    sizes = units[units > 0]
    if sizes.size == 0:
        raise Refused("the series has no demand; it has no kind yet")
    unlike = float(sizes.var(ddof=1) / sizes.mean() ** 2) if sizes.size > 1 else 0.0
    return Intermittence(units.size / sizes.size, unlike)
