"""Filling a supplier's order to its minimum: which suggested lines to raise, by how many packs, at which price break.

Every line takes one of its levels: the suggested packs, or more. The levels are chosen together so that the order
costs least beyond the worth of its goods: what lying on the shelf early costs, less what price breaks save, plus
freight. It is a multiple-choice knapsack, solved as an integer programme with proof or a stated gap. The simple rule
(raise the line that will be wanted soonest, level by level) stands beside it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

import numpy as np

from floatbowl.engine.refusal import Refused, within
from floatbowl.shelf.whole_numbers import Programme, least, sparse

#: Levels looked at for one line, besides its price breaks: with more packs than that, every second, third, ... one.
_MOST_LEVELS: Final = 60
_NONE: Final = Decimal(0)
_PROVEN_TO: Final = 0.01
_GAP: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierLine:
    """One suggested line. ``breaks``: from so many pieces each costs so much (the whole line does, not the rest).

    ``suggested`` pieces are wanted anyhow; ``position`` is on hand and on order less promised; ``per_year`` is the
    demand expected. A line without demand is never raised. ``pack``: pieces are sold in packs of so many.
    """

    part: str
    suggested: int
    breaks: tuple[tuple[int, Decimal], ...]
    per_year: float
    position: float = 0.0
    pack: int = 1

    def __post_init__(self) -> None:
        within(f"{self.part}: demand in a year", self.per_year, 0.0)
        within(f"{self.part}: pieces suggested", self.suggested, 0)
        within(f"{self.part}: pieces in a pack", self.pack, 1)
        starts = [start for start, _ in self.breaks]
        if not starts or starts != sorted(set(starts)):
            raise Refused(f"{self.part}: give its prices from the smallest quantity up, each quantity once")
        for _, price in self.breaks:
            if not isinstance(price, Decimal) or not price > 0:
                raise Refused(f"{self.part}: the price {price!r} is no Decimal above 0")

    @property
    def least_pieces(self) -> int:
        """The suggested pieces in whole packs, and no fewer than the supplier sells."""
        wanted = max(self.suggested, self.breaks[0][0]) if self.suggested else 0
        return math.ceil(wanted / self.pack) * self.pack

    def price(self, pieces: int) -> Decimal:
        """What each costs when so many are bought; the first price for fewer than the first quantity."""
        return next((price for start, price in reversed(self.breaks) if pieces >= start), self.breaks[0][1])

    def cost(self, pieces: int) -> Decimal:
        """What so many cost."""
        return pieces * self.price(pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """A supplier's terms, and two rules of the shop's own.

    ``holding_per_year``: a year on the shelf costs this share of the price (0.25 is common practice, from memory);
    ``most_years``: never buy more than so many years of demand to fill an order.
    """

    minimum: Decimal = _NONE
    freight: Decimal = _NONE
    freight_free_from: Decimal | None = None
    holding_per_year: float = 0.25
    most_years: float = 2.0

    def freight_for(self, goods: Decimal) -> Decimal:
        """Freight on goods of so much."""
        free = self.freight_free_from is not None and goods >= self.freight_free_from
        return _NONE if free or not goods else self.freight


@dataclass(frozen=True, slots=True)
class Order:
    """Pieces of each part, what they and the freight cost, and the cost beyond the goods' worth (see the module)."""

    pieces: tuple[tuple[str, int], ...]
    goods: Decimal
    freight: Decimal
    beyond: float

    @property
    def total(self) -> Decimal:
        """What is paid before tax."""
        return self.goods + self.freight


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledOrder:
    """The best order found. ``missing``: what it still lacks to the minimum when no lines may be raised so far.

    ``best_can_be``: no order of the levels looked at costs less beyond its goods; ``proven``: this one costs at most a
    hundredth of a pound, krona, ... more. ``simple`` is the simple rule's order, None where that fails.
    """

    best: Order
    simple: Order | None
    missing: Decimal
    best_can_be: float
    proven: bool


def fill_order(lines: Sequence[SupplierLine], terms: Terms, *, time_limit_s: float = 2.0) -> FilledOrder:
    """The order that meets the supplier's minimum at the least cost beyond its goods.

    When the lines cannot reach the minimum within ``most_years``, all that may be raised is told by ``missing`` and the
    order is the suggested one: wait, or ask the supplier. Raises ``Refused`` for a part told twice.
    """
    names = [line.part for line in lines]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise Refused(f"{twice} is on the order twice; put its lines together")
    shortfall = _shortfall(lines, terms)
    levels = [_levels(line, terms, shortfall) for line in lines]
    reach = sum((max(map(line.cost, each)) for line, each in zip(lines, levels, strict=True)), _NONE)
    if reach < terms.minimum:
        as_suggested = _order(lines, [line.least_pieces for line in lines], terms)
        return FilledOrder(
            best=as_suggested,
            simple=None,
            missing=terms.minimum - reach,
            best_can_be=as_suggested.beyond,
            proven=False,
        )
    simple = _simple(lines, levels, terms)
    chosen, bound = _chosen(lines, levels, terms, time_limit_s)
    found = [_order(lines, pieces, terms) for pieces in (chosen,) if pieces is not None]
    orders = [order for order in (*found, simple) if order is not None and order.goods >= terms.minimum]
    if not orders:
        raise RuntimeError("no order was found in time; give it longer")
    best = min(orders, key=lambda order: order.beyond)
    bound = min(bound, best.beyond)
    proven = best.beyond - bound <= _PROVEN_TO
    return FilledOrder(best=best, simple=simple, missing=_NONE, best_can_be=bound, proven=proven)


def _shortfall(lines: Sequence[SupplierLine], terms: Terms) -> Decimal:
    """How much more than suggested could be of use: up to the minimum, or to where freight is free."""
    goods = sum((line.cost(line.least_pieces) for line in lines), _NONE)
    goal = max(terms.minimum, terms.freight_free_from or _NONE)
    return max(_NONE, goal - goods)


def _levels(line: SupplierLine, terms: Terms, shortfall: Decimal) -> list[int]:
    """Pieces that may be bought of a line: as suggested, pack by pack beyond, and at each price break."""
    base = line.least_pieces
    room = math.floor(line.per_year * terms.most_years - max(0.0, line.position)) if line.per_year > 0 else 0
    cheapest = min(price for _, price in line.breaks)
    useful = base + math.ceil(shortfall / (cheapest * line.pack)) * line.pack
    most = min(room, useful)
    # In larger strides where there would be too many levels; the last one is always looked at.
    stride = line.pack * max(1, math.ceil((most - base) / (line.pack * _MOST_LEVELS)))
    last = base + max(0, (most - base) // line.pack) * line.pack
    starts = {math.ceil(start / line.pack) * line.pack for start, _ in line.breaks}
    # A part that was not suggested is bought from the supplier's least quantity up, or not at all.
    least_sold = line.breaks[0][0]
    more = {
        pieces
        for pieces in (*range(base, last, stride), last, *starts)
        if base < pieces <= room and pieces >= least_sold
    }
    return [base, *sorted(more)]


def beyond_worth(line: SupplierLine, pieces: int, terms: Terms) -> float:
    """What a level costs beyond the worth of its goods at the suggested level's price.

    The n-th piece is expected to be wanted ``(position + n) / per_year`` years from now and costs its holding until
    then; only pieces beyond the suggested ones count, for those are wanted anyhow.
    """
    base = line.least_pieces
    usual = line.price(base or line.breaks[0][0])
    saved = float(usual * pieces - line.cost(pieces))
    extra = pieces - base
    if not extra or not line.per_year:
        return -saved
    first = max(0.0, line.position) + base + 1
    years = extra * (first + (extra - 1) / 2) / line.per_year
    return float(line.price(pieces)) * terms.holding_per_year * years - saved


def _order(lines: Sequence[SupplierLine], pieces: Sequence[int], terms: Terms) -> Order:
    goods = sum((line.cost(count) for line, count in zip(lines, pieces, strict=True)), _NONE)
    freight = terms.freight_for(goods)
    beyond = math.fsum(beyond_worth(line, count, terms) for line, count in zip(lines, pieces, strict=True))
    bought = tuple((line.part, count) for line, count in zip(lines, pieces, strict=True) if count)
    return Order(bought, goods, freight, beyond + float(freight))


def _simple(lines: Sequence[SupplierLine], levels: Sequence[Sequence[int]], terms: Terms) -> Order | None:
    """Raise the line that is wanted soonest, level by level, until the minimum is reached."""
    at = [0] * len(lines)

    def years_covered(place: int) -> float:
        line = lines[place]
        return (max(0.0, line.position) + levels[place][at[place]]) / line.per_year if line.per_year else math.inf

    order = _order(lines, [each[0] for each in levels], terms)
    while order.goods < terms.minimum:
        open_ = [place for place in range(len(lines)) if at[place] + 1 < len(levels[place])]
        if not open_:
            return None
        at[min(open_, key=years_covered)] += 1
        order = _order(lines, [each[step] for each, step in zip(levels, at, strict=True)], terms)
    return order


def _chosen(
    lines: Sequence[SupplierLine], levels: Sequence[Sequence[int]], terms: Terms, time_limit_s: float
) -> tuple[list[int] | None, float]:
    """The level of each line, and what no choice can cost less than.

    Columns: every level of every line (0 or 1), then whether freight is free. Rows: one level a line; the goods reach
    the minimum; the goods reach the free freight, if that is taken.
    """
    flat = [(place, pieces) for place, each in enumerate(levels) for pieces in each]
    goods = [lines[place].cost(pieces) for place, pieces in flat]
    free_from = terms.freight_free_from if terms.freight_free_from is not None and terms.freight else None
    at = [(place, column, 1.0) for column, (place, _) in enumerate(flat)]
    rows = len(lines)
    at += [(rows, column, float(cost)) for column, cost in enumerate(goods)]
    at += [(rows + 1, column, float(cost)) for column, cost in enumerate(goods)]
    at.append((rows + 1, len(flat), -float(free_from or 0)))
    where, columns, values = zip(*at, strict=True)
    # Prices are exact to the penny or finer: less than half a hundredth of one is the solver's own rounding.
    floor = float(terms.minimum) - 5e-5
    programme = Programme(
        cost=np.array([beyond_worth(lines[p], n, terms) for p, n in flat] + [-float(terms.freight)]),
        rows=sparse(values, where, columns, (rows + 2, len(flat) + 1)),
        low=np.array([1.0] * rows + [floor, -5e-5]),
        high=np.array([1.0] * rows + [np.inf, np.inf]),
        upper=np.array([1.0] * len(flat) + [1.0 if free_from is not None else 0.0]),
    )
    found = least(programme, gap=_GAP, time_limit_s=time_limit_s)
    bound = found.bound + float(terms.freight)
    if found.x is None:
        return None, bound
    taken = {place: pieces for (place, pieces), chosen in zip(flat, found.x, strict=False) if chosen}
    return [taken[place] for place in range(rows)], bound
