"""What the shelf's levels would have done: ``python -m benchmarks.shelf_backtest [SERIES.csv]``.

Any file of monthly demand will do: months in rows (a column a line) or in columns (a row a line), the first row
and the first column being names. Lines with an empty cell are left out. A month's demand of a line is taken as one
order line, filled when the whole of it is (``--lines units``: every unit is an order line).

A third of the lines (every third) is for choosing: how fast the past is discounted, the doubt's width, since when a
line is known, the target, and the baseline's safety factor. All figures reported are of the other two thirds, on which
nothing was chosen.

The baseline is SBA (alpha 0.1) times lead time plus review, and a normal safety stock z sqrt(time x mean square error),
rounded up; z is the same for all lines. Price lists are invented: log-normal, independent of demand.

A line may be taken as known from its first order only (``before_first=0``), as SBA does too. A file that holds no line
that never sold makes this look better than a shop would find it; ``--known-from-start`` leaves the choice out.
"""

from __future__ import annotations

import argparse
import csv
import itertools
import re
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from floatbowl.shelf.choosing import methods, ranked_probability_score
from floatbowl.shelf.counts import Pooling
from floatbowl.shelf.croston import Paths, paths
from floatbowl.shelf.demand import demand_over, expect
from floatbowl.shelf.levels import Gains, Timing, gains, levels_at, levels_for_target
from floatbowl.shelf.orders import orders_from_months
from floatbowl.shelf.replay import Replay, replay

Whole = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
DEFAULT = "../shared/data/carparts.csv"
FIRST, COUNTED_FROM = 18, 27
WEIGHTS = (0.0, 0.25, 0.5, 0.8, 1.0)
FACTORS = np.arange(1.0, 5.0, 0.25)
EXCHANGES = np.geomspace(0.8, 120.0, 13)
GOAL = 0.90
BARS = {"lines, value guarded": (0.38, 0.45), "equal value fill": (0.17, 0.25)}


def read_series(path: Path, months_in: str = "") -> Whole:
    """Rows are lines, columns months. ``months_in`` is rows or columns; without it the names of months decide."""
    with path.open(newline="", encoding="utf-8") as file:
        table = [row for row in csv.reader(file) if row]
    if len(table) < 2 or len(table[0]) < 2:
        sys.exit(f"{path}: no table; the first row and the first column are names, the rest demand")
    told = months_in or ("rows" if re.match(r"\d{4}\D?\d{1,2}", table[1][0]) else "")
    told = told or ("columns" if re.match(r"\d{4}\D?\d{1,2}", table[0][1]) else "")
    if not told:
        sys.exit(f"{path}: months are not named like 2001-03; say --months-in rows or --months-in columns")
    cells = [row[1:] for row in table[1:]]
    lines = list(zip(*cells, strict=True)) if told == "rows" else cells
    whole = [line for line in lines if all(cell.strip() not in ("", "NA") for cell in line)]
    return np.array([[int(float(cell)) for cell in line] for line in whole], np.int64)


@dataclass(frozen=True, slots=True)
class Point:
    """What one policy did under one price list."""

    lines: float
    value: float
    money: float


class Trial:
    """Some lines, seen month by month; everything a forecast needs is learnt from these lines alone."""

    def __init__(self, units: Whole, timing: Timing, lines_are: str, dear: float) -> None:
        self.units, self.timing, self.lines_are, self.dear = units, timing, lines_are, dear
        self.orders = orders_from_months(units)
        self.origins = range(FIRST, units.shape[1])

    def prices(self, number: int) -> Floats:
        """One invented price list: log-normal with deviation 1; with ``dear`` times the line's demand to minus it."""
        chance = np.random.default_rng(number)
        price = np.exp(chance.normal(0.0, 1.0, len(self.units)))
        return np.asarray(price * (self.units.mean(axis=1) + 1e-3) ** -self.dear, np.float64)

    def gains(self, pooling: Pooling) -> list[Gains]:
        one = np.ones(len(self.units))
        return [gains(expect(self.orders.until(at), pooling), one, self.timing) for at in self.origins]

    def played(self, levels: Whole, price: Floats) -> Point:
        told = replay(self.units, levels, FIRST, int(self.timing.lead_months), COUNTED_FROM)
        return Point(self.lines_filled(told), told.share_of_value(price), told.money(price))

    def lines_filled(self, told: Replay) -> float:
        return told.share_of_lines() if self.lines_are == "months" else told.share_of_units()

    def baseline(self, path: Paths, price: Floats) -> list[Point]:
        return [self.played(self.baseline_levels(path, factor), price) for factor in FACTORS]

    def baseline_levels(self, path: Paths, factor: float) -> Whole:
        time = self.timing.protected
        mean, square = path.forecast[:, FIRST:-1].T, path.square[:, FIRST:-1].T
        return np.ceil(time * mean + factor * np.sqrt(time * square) - 1e-9).astype(np.int64)

    def frontier(self, at: list[Gains], price: Floats, weight: float) -> list[Point]:
        priced = [gain.at_prices(price) for gain in at]
        money = float(price.sum())
        return [
            self.played(np.array([levels_at(gain, worth * money, weight).level for gain in priced]), price)
            for worth in EXCHANGES
        ]

    def aimed(self, at: list[Gains], price: Floats, target: float, weight: float) -> Point:
        found = [levels_for_target(gain.at_prices(price), target, value_weight=weight).level for gain in at]
        return self.played(np.array(found), price)


def money_for(points: list[Point], lines: float = 0.0, value: float = 0.0) -> float:
    """Money with which a frontier reaches both shares; not a number where it does not."""
    return float(
        np.max(
            [
                _where([getattr(p, name) for p in points], [p.money for p in points], least)
                for name, least in (("lines", lines), ("value", value))
                if least
            ]
        )
    )


def _where(shares: list[float], out: list[float], least: float) -> float:
    order = np.argsort(shares)
    return float(np.interp(least, np.array(shares)[order], np.array(out)[order], left=np.nan, right=np.nan))


def at_lines(points: list[Point], lines: float) -> Point:
    shares = [p.lines for p in points]
    return Point(
        lines, _where(shares, [p.value for p in points], lines), _where(shares, [p.money for p in points], lines)
    )


def choose_pooling(trial: Trial, months: int, since: tuple[int | None, ...]) -> Pooling:
    """Of the eight settings with the best mean log score, the one whose levels need least money for the value that the
    baseline fills at the goal."""
    grid = itertools.product((0.80, 0.84, 0.88, 0.92), (0.90, 0.94, 0.97), (0.25, 0.5, 1.0), since)
    tried = [Pooling(discount=d, size_discount=s, spread=w, before_first=b) for d, s, w, b in grid]
    best = sorted(tried, key=lambda pooling: -told(trial, pooling, months, step=5)[0])[:8]
    path, prices = paths(trial.units, "sba", 0.1), [trial.prices(number) for number in range(3)]
    values = [at_lines(trial.baseline(path, price), GOAL).value for price in prices]

    def money(pooling: Pooling) -> float:
        at = trial.gains(pooling)
        needed = [
            money_for(trial.frontier(at, price, 1.0), value=value) / float(price.sum())
            for price, value in zip(prices, values, strict=True)
        ]
        return float(np.mean(needed))

    return min(best, key=money)


def told(trial: Trial, pooling: Pooling, months: int, step: int = 2, seed: int = 0) -> tuple[float, Floats]:
    """Mean log score, and randomised PIT values (the chance of less than came, and a random part of that of it)."""
    chance, scores, pit = np.random.default_rng(seed), [], []
    for at in range(FIRST, trial.units.shape[1] - months + 1, step):
        table = demand_over(expect(trial.orders.until(at), pooling), months)
        came = trial.units[:, at : at + months].sum(axis=1)
        below, upto = table.at_most(came - 1), table.at_most(came)
        scores.append(np.log(np.maximum(upto - below, 1e-12)))
        pit.append(below + chance.random(len(came)) * (upto - below))
    return float(np.mean(scores)), np.concatenate(pit)


def choose_target(trial: Trial, pooling: Pooling, weight: float, lists: int = 2) -> float:
    """The target at which lines filled come to the goal."""
    at, targets = trial.gains(pooling), np.arange(0.84, 0.97, 0.03)
    got = [np.mean([trial.aimed(at, trial.prices(k), t, weight).lines for k in range(lists)]) for t in targets]
    return float(np.interp(GOAL, got, targets))


def choose_factor(trial: Trial, path: Paths) -> float:
    got = [point.lines for point in trial.baseline(path, trial.prices(0))]
    return float(np.interp(GOAL, got, FACTORS))


def choose_alpha(trial: Trial) -> float:
    """The smoothing with which the baseline needs least money at the goal."""
    found = {
        a: money_for(trial.baseline(paths(trial.units, "sba", a), trial.prices(0)), GOAL)
        for a in (0.05, 0.1, 0.15, 0.2)
    }
    return min(found, key=lambda a: found[a])


def report(chosen_on: Trial, unseen: Trial, lists: int, since: tuple[int | None, ...]) -> None:
    months = int(unseen.timing.protected)
    pooling, alpha = choose_pooling(chosen_on, months, since), choose_alpha(chosen_on)
    print(f"chosen on {len(chosen_on.units)} lines: {pooling}")
    print(f"reported on the other {len(unseen.units)} lines, months {COUNTED_FROM + 1} to {unseen.units.shape[1]}\n")
    calibration(unseen, pooling, months)
    at = unseen.gains(pooling)
    fronts = [{weight: unseen.frontier(at, unseen.prices(k), weight) for weight in WEIGHTS} for k in range(lists)]
    for smoothing in dict.fromkeys((0.1, alpha)):
        name = f"SBA {smoothing}" + (" (least money on the lines for choosing)" if smoothing == alpha else "")
        against(unseen, fronts, smoothing, name)
    as_a_shop_would(chosen_on, unseen, at, pooling, lists)


def calibration(unseen: Trial, pooling: Pooling, months: int) -> None:
    _, pit = told(unseen, pooling, months, step=1)
    shares = ", ".join(f"{level:g}: {np.mean(pit <= level):.4f}" for level in (0.5, 0.8, 0.9, 0.95, 0.99))
    print(f"randomised PIT, all origins, {len(pit)} values: share at most {shares}  (bar: 0.95 between 0.94 and 0.96)")
    scores: dict[str, list[float]] = {}
    for origin in range(FIRST, unseen.units.shape[1] - months + 1, 4):
        came = unseen.units[:, origin : origin + months].sum(axis=1)
        for name, method in methods(pooling=pooling).items():
            score = ranked_probability_score(method(unseen.orders.until(origin), months), came)
            scores.setdefault(name, []).append(float(score.mean()))
    print(
        "ranked probability score, units: " + ", ".join(f"{name} {np.mean(s):.4f}" for name, s in scores.items()) + "\n"
    )


def against(unseen: Trial, fronts: list[dict[float, list[Point]]], smoothing: float, name: str) -> None:
    """The frontier of the marginal rule beside the baseline's, both brought to the goal on the same months."""
    path = paths(unseen.units, "sba", smoothing)
    rows: dict[float, list[tuple[float, float]]] = {weight: [] for weight in WEIGHTS}
    guarded, equal, base_value = [], [], []
    for number, by_weight in enumerate(fronts):
        base = at_lines(unseen.baseline(path, unseen.prices(number)), GOAL)
        for weight, front in by_weight.items():
            here = at_lines(front, GOAL)
            rows[weight].append((1 - here.money / base.money, here.value))
        guarded.append(1 - np.nanmin([money_for(one, GOAL, base.value) for one in by_weight.values()]) / base.money)
        equal.append(1 - np.nanmin([money_for(one, value=base.value) for one in by_weight.values()]) / base.money)
        base_value.append(base.value)
    beside = f"beside {name}, value fill {np.mean(base_value):.3f}; {len(fronts)} price lists:"
    print(f"at {GOAL:.0%} of order lines ({unseen.lines_are}) {beside}")
    for weight, row in rows.items():
        saved, value = np.mean(row, axis=0)
        print(f"  value weight {weight:4.2f}: {saved:6.1%} less stock by value, value fill {value:.3f}")
    for what, found in (("lines, value guarded", guarded), ("equal value fill", equal)):
        bar, aim = BARS[what]
        spread = f"{np.min(found):.1%} to {np.max(found):.1%}"
        print(f"  {what}: {np.mean(found):.1%} less ({spread})  (bar {bar:.0%}, aim {aim:.0%})")
    print()


def as_a_shop_would(chosen_on: Trial, unseen: Trial, at: list[Gains], pooling: Pooling, lists: int) -> None:
    """Target and safety factor set on the lines for choosing, then used on the others."""
    factor = choose_factor(chosen_on, paths(chosen_on.units, "sba", 0.1))
    path = paths(unseen.units, "sba", 0.1)
    print(f"target and safety factor (z {factor:.2f}) chosen on the lines for choosing, used on the others:")
    for weight in (0.0, 0.5, 1.0):
        target = choose_target(chosen_on, pooling, weight)
        found = []
        for number in range(min(lists, 5)):
            price = unseen.prices(number)
            base = unseen.played(unseen.baseline_levels(path, factor), price)
            ours = unseen.aimed(at, price, target, weight)
            found.append((ours.lines, base.lines, ours.value, base.value, 1 - ours.money / base.money))
        ours_lines, base_lines, value, base_value, saved = np.mean(found, axis=0)
        print(
            f"  value weight {weight:.2f}, target {target:.3f}: lines {ours_lines:.3f} (baseline {base_lines:.3f}), "
            f"value {value:.3f} (baseline {base_value:.3f}), {saved:.1%} less stock by value"
        )


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("series", nargs="?", type=Path, default=Path(DEFAULT))
    options.add_argument("--months-in", choices=("rows", "columns"), default="")
    options.add_argument("--lead", type=int, default=3)
    options.add_argument("--review", type=int, default=1, choices=(1,))
    options.add_argument("--lines", choices=("months", "units"), default="months")
    options.add_argument("--price-lists", type=int, default=20)
    options.add_argument("--slow-dear", type=float, default=0.0, help="prices times demand to minus this")
    options.add_argument("--known-from-start", action="store_true", help="every line counts from the first month")
    asked = options.parse_args()
    if not asked.series.exists():
        print(f"{asked.series} is not here; give a file of monthly demand. Nothing was measured.")
        return 0
    units = read_series(asked.series, asked.months_in)
    if units.shape[1] < COUNTED_FROM + 6 or len(units) < 90:
        print(
            f"{len(units)} lines of {units.shape[1]} months: at least 90 lines of {COUNTED_FROM + 6} months are needed"
        )
        return 2
    timing = Timing(lead_months=asked.lead, review_months=asked.review, months_together=True)
    third = np.arange(len(units)) % 3 == 0
    print(f"{len(units)} lines of {units.shape[1]} months without gaps; lead time {asked.lead}, review {asked.review}")
    chosen_on, unseen = (Trial(units[part], timing, asked.lines, asked.slow_dear) for part in (third, ~third))
    report(chosen_on, unseen, asked.price_lists, (None,) if asked.known_from_start else (None, 0))
    return 0


if __name__ == "__main__":
    sys.exit(main())
