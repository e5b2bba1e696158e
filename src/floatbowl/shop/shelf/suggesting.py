"""What to buy, by supplier: what is expected over lead time and review, the level to keep up to, and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Final

import numpy as np

from floatbowl.shelf.fill_order import FilledOrder, SupplierLine, fill_order
from floatbowl.shelf.fill_order import Terms as OrderTerms
from floatbowl.shelf.levels import Timing, gains, levels_for_target
from floatbowl.shop.models.buying import USUAL_LEAD_DAYS, Supplier
from floatbowl.shop.models.shelf import PART
from floatbowl.shop.shelf.buying import Terms, said
from floatbowl.shop.shelf.expected import NEARLY_ALWAYS, Expected, Span
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Named, Thing, Things
from floatbowl.shop.shelf.wanted import open_wants, served, short

DAYS_A_MONTH: Final = 365.25 / 12
#: Shares of order lines at which the curve of fill against money is drawn.
SHARES_SHOWN: Final = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """The shop's choice: the share of order lines to fill from the shelf, and how often it is looked through."""

    filled: float = 0.90
    review_months: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """One line to buy. ``pieces`` are what is suggested, ``filled`` what the order takes to reach the minimum."""

    thing: Thing
    stand: Stand
    pieces: int
    level: int
    span: Span | None
    months: float
    short: float
    short_for: tuple[str, ...]
    counts: tuple[tuple[str, int], ...]
    terms: Terms | None
    cost_known: bool = True
    filled: int = 0

    @property
    def why(self) -> str:
        """Why so many, in words."""
        told = []
        if self.span is not None:
            told.append(f"In {round(self.months, 1):g} months {self.span.says}; keep up to {self.level}.")
        if self.counts:
            of_which = ", ".join(f"{number} {how}" for how, number in self.counts)
            told.append(f"Its own record: {of_which}; the rest is what the whole shelf says of a line like it.")
        elif self.span is not None:
            told.append("Never asked for yet: this is what the whole shelf says of a line like it.")
        if not self.cost_known:
            told.append("No cost is known: it is taken for a line of middling cost, and for no more than 19 of 20.")
        if self.short:
            told.append(f"{self.short:g} short for {', '.join(self.short_for)}.")
        if self.filled > self.pieces:
            told.append(f"{self.filled - self.pieces} more to reach the supplier's minimum, a pack or a price break.")
        return " ".join(told)

    @property
    def price(self) -> str:
        """What one costs in the number that is bought."""
        terms = self.terms
        return said(terms.price(self.filled or self.pieces), terms.supplier.currency) if terms else ""


@dataclass(frozen=True, slots=True)
class Group:
    """What to buy from one supplier (None: none is written down), and how the order reaches the minimum."""

    supplier: Supplier | None
    lines: tuple[Suggestion, ...]
    order: FilledOrder | None


def what_to_buy(
    things: Things, stands: dict[Named, Stand], outlook: Expected | None, terms: dict[Named, list[Terms]], rule: Rule
) -> list[Group]:
    """Suggestions grouped by supplier. Raises ``Refused`` for a share that no level reaches."""
    missing = {(row.kind, row.key): row for row in short(served(open_wants(), stands, things))}
    levels = _levels(outlook, terms, things, rule) if outlook else {}
    lines = []
    for named in dict.fromkeys([*levels, *missing]):
        stand = stands.get(named, Stand(None))
        level, months = levels.get(named, (0, 0.0))
        waits = missing.get(named)
        lacks = level - int(stand.free or 0) - stand.on_order
        pieces = max(0, lacks, round_up(waits.quantity if waits else 0) - stand.on_order)
        if pieces and _is_bought(named, terms):
            lines.append(
                Suggestion(
                    thing=things.of(*named),
                    stand=stand,
                    pieces=pieces,
                    level=level,
                    span=outlook.span(named, months) if outlook and months else None,
                    months=months,
                    short=waits.quantity if waits else 0,
                    short_for=waits.for_ if waits else (),
                    counts=tuple(outlook.asked.counts.get(named, {}).items()) if outlook else (),
                    terms=next(iter(terms.get(named, ())), None),
                    cost_known=bool(_cost(named, terms, things)),
                )
            )
    return _grouped(lines, outlook, stands, terms)


def round_up(quantity: float) -> int:
    """Whole pieces that are enough."""
    return -int(-quantity // 1)


def _is_bought(named: Named, terms: dict[Named, list[Terms]]) -> bool:
    """Parts are bought; kits are built here unless a supplier sells them."""
    return named[0] == PART or named in terms


def _lead_months(named: Named, terms: dict[Named, list[Terms]]) -> float:
    days = terms[named][0].supplier.lead_days if named in terms else USUAL_LEAD_DAYS
    return round(days / DAYS_A_MONTH, 1)


def _levels(
    outlook: Expected, terms: dict[Named, list[Terms]], things: Things, rule: Rule
) -> dict[Named, tuple[int, float]]:
    """Every line's level, and the months it must last: the marginal rule for each lead time that suppliers have."""
    named = outlook.asked.named
    leads = np.array([_lead_months(name, terms) for name in named])
    costs = [_cost(name, terms, things) for name in named]
    prices = _prices(costs)
    found: dict[Named, tuple[int, float]] = {}
    for lead in np.unique(leads):
        timing = Timing(lead_months=float(lead), review_months=rule.review_months)
        if outlook.together:
            level = levels_for_target(gains(outlook.demand, prices, timing), rule.filled).level
        else:
            level = outlook.over(timing.protected).quantile(rule.filled)
        most = outlook.over(timing.protected).quantile(NEARLY_ALWAYS)
        for line in np.flatnonzero(leads == lead):
            # A line whose cost nobody knows may be dear: it is not stocked as deep as a cheap one would be.
            deep = int(level[line]) if costs[line] else min(int(level[line]), int(most[line]))
            found[named[line]] = (deep, timing.protected)
    return found


def _prices(costs: Sequence[float]) -> np.ndarray:
    """What one costs to have; where nothing is known, the middle of what is (so that it is neither free nor dear)."""
    usual = median([cost for cost in costs if cost] or [1.0])
    return np.array([cost or usual for cost in costs])


@dataclass(frozen=True, slots=True)
class Point:
    """A share of order lines filled from the shelf, and the money lying there on average for it."""

    filled: float
    money: float


def fill_against_money(
    outlook: Expected, terms: dict[Named, list[Terms]], things: Things, review_months: float
) -> tuple[Point, ...]:
    """How much money on the shelf fills how many order lines, at the usual time to arrive; none where not comparable.

    All lines are taken at the middle one of their times to arrive, so that there is one curve. Costs are the cheapest
    supplier's or the recorded ones, currencies as they stand.
    """
    if not outlook.together:
        return ()
    named = outlook.asked.named
    lead = median(_lead_months(name, terms) for name in named)
    gain = gains(
        outlook.demand,
        _prices([_cost(name, terms, things) for name in named]),
        Timing(lead_months=lead, review_months=review_months),
    )
    found = (levels_for_target(gain, share) for share in SHARES_SHOWN)
    return tuple(Point(level.lines_filled, level.money) for level in found)


def _cost(named: Named, terms: dict[Named, list[Terms]], things: Things) -> float:
    if named in terms:
        return float(terms[named][0].price(1))
    thing = things.all.get(named)
    return float((thing.cost or thing.price or 0) if thing else 0)


def _grouped(
    lines: list[Suggestion], outlook: Expected | None, stands: dict[Named, Stand], terms: dict[Named, list[Terms]]
) -> list[Group]:
    by: dict[int | None, list[Suggestion]] = {}
    for line in lines:
        by.setdefault(line.terms.supplier.pk if line.terms else None, []).append(line)
    groups = []
    for found in by.values():
        found.sort(key=lambda line: (-line.short, -line.pieces, line.thing.name))
        supplier = found[0].terms.supplier if found[0].terms else None
        order = _filled(supplier, found, outlook, stands, terms) if supplier else None
        groups.append(Group(supplier, tuple(_raised(found, order)), order))
    return sorted(groups, key=lambda group: (group.supplier is None, group.supplier.name if group.supplier else ""))


def _filled(
    supplier: Supplier,
    lines: list[Suggestion],
    outlook: Expected | None,
    stands: dict[Named, Stand],
    terms: dict[Named, list[Terms]],
) -> FilledOrder:
    """How the order reaches the supplier's minimum: only lines that are suggested anyhow are raised."""
    year = dict(zip(outlook.asked.named, 12 * outlook.demand.units_a_month, strict=True)) if outlook else {}
    rows = [
        SupplierLine(
            part=line.thing.address,
            suggested=line.pieces,
            breaks=line.terms.breaks,
            per_year=float(year.get((line.thing.kind, line.thing.key), 0.0)),
            position=float(line.stand.free or 0) + line.stand.on_order,
            pack=line.terms.pack,
        )
        for line in lines
        if line.terms
    ]
    return fill_order(
        rows,
        OrderTerms(minimum=supplier.minimum, freight=supplier.freight, freight_free_from=supplier.freight_free_from),
    )


def _raised(lines: list[Suggestion], order: FilledOrder | None) -> Iterable[Suggestion]:
    bought = dict(order.best.pieces) if order else {}
    return (replace(line, filled=bought.get(line.thing.address, line.pieces)) for line in lines)


def money_says(order: FilledOrder, supplier: Supplier) -> str:
    """How the order stands to the supplier's minimum, in words."""
    least, currency = supplier.minimum, supplier.currency
    if order.missing:
        return (
            f"{said(order.missing, currency)} too little for the least order of {said(least, currency)}: wait, or ask."
        )
    if not least:
        return "This supplier has no least order."
    return f"Reaches the least order of {said(least, currency)}."
