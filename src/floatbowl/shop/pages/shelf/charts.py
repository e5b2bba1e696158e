"""Two drawings of one item: what lay on the shelf over time, and what was asked of it with what is expected."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from django.db.models import Sum
from django.db.models.functions import TruncDate
from django.utils import timezone

from floatbowl.quantities import rounded
from floatbowl.shelf.recipes import Recipe
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.pages.work_out.plot import round_ticks
from floatbowl.shop.shelf.asked import all_events
from floatbowl.shop.shelf.expected import Span
from floatbowl.shop.shelf.levels_kept import Point
from floatbowl.shop.shelf.things import Named

WIDTH: Final = 460
HEIGHT: Final = 220
LEFT, RIGHT, TOP, BOTTOM = 44, 450, 26, 180
#: Room for the last figure across.
MARGIN: Final = 16
MONTHS_BACK: Final = 24
MONTHS_AHEAD: Final = 4
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Tick:
    """A figure on an axis and where it stands."""

    at: float
    says: str


@dataclass(frozen=True, slots=True)
class Box:
    """A bar or a band."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Everything that is drawn, in the drawing's own units, and the same in words and figures."""

    up: str
    shows: str
    up_ticks: tuple[Tick, ...]
    across_ticks: tuple[Tick, ...]
    path: str = ""
    bars: tuple[Box, ...] = ()
    band: Box | None = None
    mean_y: float = 0.0
    told: tuple[tuple[str, str], ...] = ()
    box: str = f"0 0 {WIDTH} {HEIGHT}"
    left: int = LEFT
    right: int = RIGHT
    bottom: int = BOTTOM
    top: int = TOP


def stock_over_time(item: Item) -> Chart | None:
    """How many lay on the shelf, day by day, for the last two years; None before anything changed."""
    days = (
        LedgerLine.objects.filter(item=item)
        .order_by()
        .annotate(day=TruncDate("at"))
        .values_list("day")
        .annotate(change=Sum("quantity"))
        .order_by("day")
    )
    changes: list[tuple[date, int]] = list(days)
    if not changes:
        return None
    today = timezone.localdate()
    # It begins on the day of the first line: what lay there before that nobody knows, and it is not nothing.
    began = max(changes[0][0], today - timedelta(days=round(MONTHS_BACK * 30.44)))
    stood = sum(change for day, change in changes if day <= began)
    steps = [(began, stood)]
    for day, change in changes:
        if day > began:
            stood += change
            steps.append((day, stood))
    steps.append((today, stood))
    top = _up_ticks(max(count for _, count in steps))
    span = max(1, (today - began).days)

    def x(day: date) -> float:
        return round(LEFT + (day - began).days / span * (RIGHT - LEFT), 1)

    path = f"M{x(steps[0][0])} {_y(steps[0][1], top)}" + "".join(f"H{x(day)}V{_y(n, top)}" for day, n in steps[1:])
    if began == today:
        path += f"H{RIGHT}"  # One day alone is a line across.
    most, least = max(n for _, n in steps), min(n for _, n in steps)
    return Chart(
        up="pieces on hand",
        shows=f"On hand from {began:%d %B %Y} to today: between {least} and {most}, now {stood}."
        if began < today
        else f"Known since today: {stood} on hand.",
        up_ticks=top,
        across_ticks=tuple(Tick(x(day), _named(day, today)) for day in _quarters(began, today)),
        path=path,
        told=tuple((f"{day:%d %B %Y}", str(n)) for day, n in steps[-12:]),
    )


def _named(day: date, today: date) -> str:
    """The month, or the day where all of it lies within two months."""
    short = (today - day).days < 62 and day.day != 1
    return f"{day.day} {MONTHS[day.month - 1]}" if short else f"{MONTHS[day.month - 1]} {day.year}"


def _quarters(began: date, today: date) -> list[date]:
    """Firsts of months to be named: every third of a long time; the days themselves of a short one."""
    months = (today.year - began.year) * 12 + today.month - began.month
    if months < 2:
        return [began]
    every = max(1, round(months / 5))
    firsts = [_month(began.year * 12 + began.month - 1 + n) for n in range(1, months + 1)]
    return firsts[::every]


def demand_by_month(
    named: Named, month: Span | None, months: Span | None, recipes: Mapping[str, Recipe] | None = None
) -> Chart | None:
    """What was asked in each of the last two years' months; beside it what is expected of a month to come.

    ``month`` is expected of one month and is drawn, ``months`` of the next four together and is told.
    """
    this = _number(timezone.localdate())
    counts: Counter[int] = Counter()
    for event in all_events(named, recipes):
        counts[_number(event.day)] += event.quantity
    asked = [counts.get(number, 0) for number in range(this - MONTHS_BACK, this)]
    if not any(asked) and month is None:
        return None
    top = _up_ticks(max(*asked, month.most if month else 0, 1))
    wide = (RIGHT - LEFT) / (MONTHS_BACK + MONTHS_AHEAD)
    said = f"Asked for {sum(asked)} in the last {MONTHS_BACK} months, up to the last whole one."
    if counts.get(this):
        said += f" This month so far {counts[this]}; it is counted when the month is over."
    if month and months:
        said += f" Of one month to come {month.says}; of the next {MONTHS_AHEAD} together {months.says}."
    return Chart(
        up="pieces asked in a month",
        shows=said,
        up_ticks=top,
        across_ticks=tuple(
            Tick(round(LEFT + (n + 0.5) * wide, 1), f"{_month(this - MONTHS_BACK + n):%b %Y}")
            for n in range(0, MONTHS_BACK, 6)
        ),
        bars=tuple(
            _box(LEFT + n * wide + 1, LEFT + (n + 1) * wide - 1, _y(count, top))
            for n, count in enumerate(asked)
            if count
        ),
        band=_box(LEFT + MONTHS_BACK * wide, RIGHT, _y(month.most, top)) if month else None,
        mean_y=_y(month.mean, top) if month else 0.0,
        told=tuple((f"{_month(this - MONTHS_BACK + n):%B %Y}", str(count)) for n, count in enumerate(asked) if count),
    )


def fill_against_money_drawn(points: Sequence[Point], currency: str) -> Chart | None:
    """How many orders of 100 are filled (up) for how much money on the shelf (across)."""
    if len(points) < 2:
        return None
    across = round_ticks(0.0, max(point.money for point in points), 4)
    ups = tuple(Tick(round(BOTTOM - value / 100 * (BOTTOM - TOP), 1), str(value)) for value in (0, 25, 50, 75, 100))

    def x(money: float) -> float:
        return round(LEFT + money / across[-1] * (RIGHT - LEFT - MARGIN), 1)

    shown = [(x(point.money), round(BOTTOM - point.filled * (BOTTOM - TOP), 1)) for point in points]
    low, high = points[0], points[-1]
    return Chart(
        up="orders filled, of 100",
        shows=(
            f"{100 * low.filled:.0f} of 100 orders are filled with {low.money:,.0f} {currency} on the shelf, "
            f"{100 * high.filled:.0f} with {high.money:,.0f} {currency}."
        ),
        up_ticks=ups,
        across_ticks=tuple(Tick(x(value), f"{value:,g}") for value in across),
        path="M" + "L".join(f"{at} {y}" for at, y in shown),
        told=tuple((f"{point.money:,.0f} {currency}", f"{100 * point.filled:.0f}") for point in points),
    )


def _box(left: float, right: float, y: float) -> Box:
    return Box(round(left, 1), y, round(right - left, 1), round(BOTTOM - y, 1))


def _number(day: date) -> int:
    return day.year * 12 + day.month - 1


def _month(number: int) -> date:
    return date(number // 12, number % 12 + 1, 1)


def _up_ticks(most: float) -> tuple[Tick, ...]:
    values: Sequence[float] = [v for v in round_ticks(0.0, max(most, 1.0), 4) if v == int(v)]
    high = values[-1]
    return tuple(Tick(round(BOTTOM - value / high * (BOTTOM - TOP), 1), rounded(value, 4)) for value in values)


def _y(count: float, ticks: tuple[Tick, ...]) -> float:
    high = float(ticks[-1].says.replace(",", "")) or 1.0
    return round(BOTTOM - count / high * (BOTTOM - TOP), 1)
