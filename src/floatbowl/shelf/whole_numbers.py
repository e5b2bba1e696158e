"""Choosing whole numbers: an integer programme solved to a proven optimum, or to a gap that is told.

The solver is HiGHS by ``scipy.optimize.milp`` (Q. Huangfu, J. A. J. Hall, "Parallelizing the dual revised simplex
method", Math. Prog. Comp. 10(1), 2018): the same numbers in give the same numbers out, as long as no time ran out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from floatbowl.engine.refusal import Refused

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

#: A plan nearer to the bound than this share of its worth is called proven.
PROVEN: Final = 1e-4
_UNUSABLE: Final = 2


@dataclass(frozen=True, slots=True)
class Programme:
    """Find ``x`` within ``0..upper`` with ``low <= rows @ x <= high`` and the least ``cost @ x``.

    ``whole`` marks what must be a whole number; all of it where None.
    """

    cost: Floats
    rows: csr_matrix
    low: Floats
    high: Floats
    upper: Floats
    lower: Floats | None = None
    whole: npt.NDArray[np.bool_] | None = None


@dataclass(frozen=True, slots=True)
class Solved:
    """``x`` or None when nothing was found in time; ``bound``: no choice can cost less. ``possible``: see ``least``."""

    x: Floats | None
    bound: float
    possible: bool = True


def sparse(values: Sequence[float], rows: Sequence[int], columns: Sequence[int], shape: tuple[int, int]) -> csr_matrix:
    """A matrix of these values at these places, nothing elsewhere."""
    # A tenth of a second to import: nobody waits for it who works nothing out.
    from scipy.sparse import csr_matrix

    return csr_matrix((values, (rows, columns)), shape=shape)


def least(programme: Programme, *, gap: float = PROVEN, time_limit_s: float = 2.0) -> Solved:
    """The choice that costs least, and a bound that no choice can go below.

    Stops at a relative gap of ``gap`` or after ``time_limit_s``. ``possible`` is False when it is proven that nothing
    satisfies the rows. Raises ``Refused`` for a cost or limit that is no number, RuntimeError when the solver fails.
    """
    if not np.isfinite(programme.cost).all() or np.isnan([*programme.low, *programme.high, *programme.upper]).any():
        raise Refused("a cost or a limit is no number; look for a figure that is missing")
    if programme.cost.size == 0:
        return Solved(np.zeros(0), 0.0, bool(np.all(programme.low <= 0) and np.all(programme.high >= 0)))
    whole = np.ones(programme.cost.size) if programme.whole is None else programme.whole.astype(float)
    lower = np.zeros(programme.cost.size) if programme.lower is None else programme.lower
    # Half a second to import: nobody waits for it who works nothing out.
    from scipy.optimize import Bounds, LinearConstraint, milp

    found: Any = milp(
        programme.cost,
        integrality=whole,
        bounds=Bounds(lower, programme.upper),
        constraints=LinearConstraint(programme.rows, programme.low, programme.high) if programme.low.size else (),
        options={"mip_rel_gap": gap, "time_limit": time_limit_s},
    )
    if found.status == _UNUSABLE:
        return Solved(None, np.inf, possible=False)
    if found.status > _UNUSABLE:
        raise RuntimeError(f"the solver failed: {found.message}")
    bound = found.mip_dual_bound
    return Solved(_tidied(found.x, whole > 0), -np.inf if bound is None else float(bound))


def _tidied(x: Floats | None, whole: npt.NDArray[np.bool_]) -> Floats | None:
    """Whole numbers made so exactly: the solver leaves them within a millionth."""
    return None if x is None else np.where(whole, np.round(x), x)


def gap_of(worth: float, bound: float) -> float:
    """How far, as a share of ``bound``, a plan may be below the best there can be.

    >>> gap_of(99.0, 100.0), gap_of(0.0, 0.0)
    (0.01, 0.0)
    """
    return max(0.0, bound - worth) / bound if bound > 0 else 0.0
