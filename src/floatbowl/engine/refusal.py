"""Refusing outside the range an equation holds for, with the reason."""

from __future__ import annotations

import math
from typing import Final

#: Lengths that stay below this are told in millimetres, as people measure them.
SHORT_M: Final = 2.0


class Refused(ValueError):  # noqa: N818 - the trade says refused, not error
    """A figure outside the range in which the equation holds; its text says which, why and what to do."""


def within(
    name: str,
    value: float,
    low: float = -math.inf,
    high: float = math.inf,
    unit: str = "",
    why: str = "",
    open_low: bool = False,
) -> float:
    """The value itself if it lies in ``low`` to ``high`` (above ``low`` with ``open_low``); else raises ``Refused``.

    >>> within("throat", 0.028, 0.005, 0.1, "m")
    0.028
    >>> within("throat", 28, 0.005, 0.1, "m")
    Traceback (most recent call last):
    floatbowl.engine.refusal.Refused: throat is 2.8e+04 mm; it must be between 5 and 100 mm
    >>> within("share", -0.1, 0, 1)
    Traceback (most recent call last):
    floatbowl.engine.refusal.Refused: share is -0.1; it must be between 0 and 1
    """
    if math.isfinite(value) and low <= value <= high and not (open_low and value == low):
        return value
    if unit == "m" and high < SHORT_M:
        value, low, high, unit = 1000 * value, 1000 * low, 1000 * high, "mm"
    raise Refused(
        f"{name} is {_shown(value, unit)}; it must be {_range(low, high, unit, open_low)}{f': {why}' if why else ''}"
    )


def _shown(value: float, unit: str) -> str:
    return f"{value:.4g} {unit}".rstrip() if math.isfinite(value) else "no number"


def _range(low: float, high: float, unit: str, open_low: bool) -> str:
    if math.isinf(high):
        return f"{'above' if open_low else 'at least'} {_shown(low, unit)}" if math.isfinite(low) else "a number"
    if math.isinf(low):
        return f"at most {_shown(high, unit)}"
    if open_low:
        return f"above {_shown(low, '')} and at most {_shown(high, unit)}"
    return f"between {_shown(low, '')} and {_shown(high, unit)}"
