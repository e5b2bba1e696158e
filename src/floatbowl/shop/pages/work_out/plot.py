"""A curve as a drawing in lines: where everything stands, worked out here so that the template only draws."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from floatbowl.quantities import rounded
from floatbowl.work_out.calculation import Curve

WIDTH: Final = 400
HEIGHT: Final = 290
LEFT, RIGHT, TOP, BOTTOM = 56, 380, 30, 240
#: Ticks an axis has, about.
TICKS: Final = 5
#: About how wide one letter is, in the drawing's own units.
LETTER: Final = 7.4
#: A line of words needs so much height.
LINE: Final = 18
#: An axis begins at nought when the least value is below this part of the most.
NEAR_NOUGHT: Final = 0.4
#: Less than this is drawn as nought.
NOUGHT: Final = 1e-9
HATCHES: Final = 3
#: Of a long curve so many points are told in figures.
TOLD_POINTS: Final = 9


@dataclass(frozen=True, slots=True)
class Tick:
    """A round figure on an axis, and where it stands."""

    at: float
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A hatched strip, and the words for it."""

    x: float
    y: float
    width: float
    height: float
    hatch: int
    says: str
    written: str
    text_x: float
    text_y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Here:
    """Where this case lies, and where the word for it stands."""

    x: float
    y: float
    says: str
    text_x: float
    text_y: float
    anchor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Everything that is drawn, in the drawing's own units."""

    across: str
    up: str
    path: str
    across_ticks: tuple[Tick, ...]
    up_ticks: tuple[Tick, ...]
    bands: tuple[Band, ...]
    here: Here | None
    shows: str
    told: tuple[tuple[str, str], ...]
    box: str = f"0 0 {WIDTH} {HEIGHT}"
    left: int = LEFT
    right: int = RIGHT
    top: int = TOP
    bottom: int = BOTTOM


@dataclass(frozen=True, slots=True)
class _Scale:
    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        held = min(max(value, self.low), self.high)
        return round(self.start + (held - self.low) / (self.high - self.low) * (self.end - self.start), 1)


def round_ticks(low: float, high: float, about: int = TICKS) -> tuple[float, ...]:
    """Round figures from at or below ``low`` to at or above ``high``, 1, 2 or 5 times a power of ten apart.

    >>> round_ticks(0.3, 9.2)
    (0.0, 2.0, 4.0, 6.0, 8.0, 10.0)
    """
    rough = (high - low) / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(times * power for times in (1, 2, 5, 10) if times * power >= rough * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(round(step * k, 12) for k in range(first, last + 1))


def plotted(curve: Curve) -> Plot | None:
    """The curve laid out; None where it has fewer than two points or a figure that is no number."""
    points = [*curve.points, *([curve.here] if curve.here else [])]
    if len(curve.points) < 2 or not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
        return None
    across_ticks = round_ticks(*_span([x for x, _ in points], False))
    up_ticks = round_ticks(*_span([y for _, y in points], True))
    across = _Scale(across_ticks[0], across_ticks[-1], LEFT, RIGHT)
    up = _Scale(up_ticks[0], up_ticks[-1], BOTTOM, TOP)
    return Plot(
        across=curve.across,
        up=curve.up,
        path="M" + "L".join(f"{across.at(x)} {up.at(y)}" for x, y in curve.points),
        across_ticks=tuple(Tick(across.at(value), rounded(value, 4)) for value in across_ticks),
        up_ticks=tuple(Tick(up.at(value), rounded(value, 4)) for value in up_ticks),
        bands=tuple(
            band for number, told in enumerate(curve.bands) if (band := _band(number, *told, across)) is not None
        ),
        here=_here(curve, curve.here, across, up) if curve.here else None,
        shows=_in_words(curve),
        told=tuple((rounded(x, 4), rounded(y, 3)) for x, y in _some(curve.points)),
    )


def _span(values: list[float], from_nought: bool) -> tuple[float, float]:
    low, high = min(values), max(values)
    if from_nought and 0 <= low < NEAR_NOUGHT * high:
        low = 0.0
    if from_nought and high <= 0 and high > NEAR_NOUGHT * low:
        high = 0.0
    if math.isclose(low, high, rel_tol=1e-9, abs_tol=NOUGHT):
        room = abs(high) * 0.1 if abs(high) > NOUGHT else 1.0
        return low - room, high + room
    return low, high


def _band(number: int, low: float, high: float, says: str, across: _Scale) -> Band | None:
    left, right = across.at(low), across.at(high)
    if right - left < 1:
        return None
    fits = len(says) * LETTER + 8 <= right - left
    return Band(
        x=left,
        y=TOP,
        width=round(right - left, 1),
        height=BOTTOM - TOP,
        hatch=number % HATCHES,
        says=f"{rounded(low, 3)} to {rounded(high, 3)}: {says}" if math.isfinite(low + high) else says,
        written=says if fits else str(number + 1),
        text_x=round((left + right) / 2, 1),
        text_y=TOP + LINE,
    )


def _here(curve: Curve, here: tuple[float, float], across: _Scale, up: _Scale) -> Here:
    """The word stands on the side of the line where the line does not go, where there is room for it."""
    x, y = across.at(here[0]), up.at(here[1])
    says = f"here: {rounded(here[0], 3)}, {rounded(here[1], 3)}"
    right_of = x + 10 + len(says) * LETTER <= RIGHT
    below = y < TOP + 2.5 * LINE or (_rises(curve, here[0]) is right_of and y < BOTTOM - 1.5 * LINE)
    return Here(
        x=x,
        y=y,
        says=says,
        text_x=x + 9 if right_of else x - 9,
        text_y=y + LINE if below else y - 9,
        anchor="start" if right_of else "end",
    )


def _rises(curve: Curve, across: float) -> bool:
    """Whether the line goes up to the right where this case lies."""
    (_, before), (_, after) = sorted(sorted(curve.points, key=lambda point: abs(point[0] - across))[:2])
    return after > before


def _some(points: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """A few points, the first and the last among them."""
    if len(points) <= TOLD_POINTS:
        return list(points)
    step = (len(points) - 1) / (TOLD_POINTS - 1)
    return [points[round(step * k)] for k in range(TOLD_POINTS)]


def _in_words(curve: Curve) -> str:
    (x0, y0), (x1, y1) = curve.points[0], curve.points[-1]
    way = "rises" if y1 > y0 else "falls" if y1 < y0 else "comes back to the same"
    told = (
        f"{curve.up} against {curve.across}: from {rounded(y0)} at {rounded(x0)} it {way} to {rounded(y1)} "
        f"at {rounded(x1)}."
    )
    return f"{told} This case: {rounded(curve.here[1])} at {rounded(curve.here[0])}." if curve.here else told
