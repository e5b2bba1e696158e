"""What to buy, by supplier: what is expected over lead time and review, the level to keep up to, and why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from floatbowl.shelf.fill_order import FilledOrder, SupplierLine, fill_order
from floatbowl.shelf.fill_order import Terms as OrderTerms
from floatbowl.shelf.raising import Raised, raised, worth_looking_at
from floatbowl.shop.models.buying import Supplier
from floatbowl.shop.models.shelf import PART
from floatbowl.shop.shelf.buying import Terms, said
from floatbowl.shop.shelf.expected import Expected, Span
from floatbowl.shop.shelf.last_orders import LastOrder, last_orders
from floatbowl.shop.shelf.levels_kept import Rule, cost_of, levels_kept
from floatbowl.shop.shelf.on_hand import Stand
from floatbowl.shop.shelf.things import Named, Thing, Things
from floatbowl.shop.shelf.wanted import ShortThing, open_wants, served, short


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
    raised: Raised | None = None
    #: Why so many are taken at the last order there is.
    last_order: str = ""
    #: Whether lines are weighed against one another by the orders that their money on the shelf fills.
    by_money: bool = True

    @property
    def part(self) -> str:
        """Its name on an order that is being filled."""
        return f"{self.thing.kind} {self.thing.key}"

    @property
    def why(self) -> str:
        """Why so many, in words."""
        told = [self.last_order] if self.last_order else []
        if self.span is not None:
            told.append(f"In {round(self.months, 1):g} months {self.span.says}; keep up to {self.level}.")
            if self.level > self.span.most and not self.last_order:
                told.append(why_above(self.span.most, self.by_money))
        if self.counts:
            of_which = ", ".join(f"{number} {how}" for how, number in self.counts)
            told.append(f"Its own record: {of_which}; the rest is what the whole shelf says of a line like it.")
        elif self.span is not None:
            told.append("Never asked for yet: this is what the whole shelf says of a line like it.")
        if not self.cost_known:
            told.append("No cost is known: it is taken for a line of middling cost, and for no more than 19 of 20.")
        if self.short:
            told.append(f"Counted in are {self.short:g} that are short now, for {', '.join(self.short_for)}.")
        if self.raised is not None and self.terms is not None:
            told.append(why_raised(self.raised, self.terms.supplier.currency))
            if self.pieces:
                told.append(f"So {self.pieces} are suggested and {self.raised.more} more, {self.filled} in all.")
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


def why_above(most: int, by_money: bool) -> str:
    """Why more is kept than 19 of 20 such spans ask for, in words."""
    if not by_money:
        return f"That is above {most}, because more than 19 of 20 orders are to be filled."
    return f"That is above {most}, because it is cheap: for its money it fills more orders than more of a dearer line."


def why_raised(line: Raised, currency: str) -> str:
    """Why a line takes more than is suggested, in words."""
    told = []
    if line.to_fill_pack:
        told.append(f"{line.to_fill_pack} more to fill the pack or the least that is sold.")
    more = line.more - line.to_fill_pack
    if more:
        told.append(f"{more} more to fill the order: {_wanted_in(line)}, soonest for their money.")
    if line.saved:
        told.append(f"In that number one costs {said(line.saved, currency)} less.")
    return " ".join(told)


def _wanted_in(line: Raised) -> str:
    low, high = (_months_said(months) for months in (line.from_months, line.to_months))
    return f"expected to be wanted {f'in {low}' if low == high else f'between {low} and {high} from now'}"


def _months_said(months: float) -> str:
    """A time to come as people say it.

    >>> _months_said(0.4), _months_said(1.2), _months_said(7.6), _months_said(31.0)
    ('a fortnight', 'a month', '8 months', '2.6 years')
    """
    if months < 0.75:
        return "a fortnight"
    if months < 1.5:
        return "a month"
    return f"{months:.0f} months" if months < 23.5 else f"{months / 12:.1f} years"


def what_to_buy(
    things: Things, stands: dict[Named, Stand], outlook: Expected | None, terms: dict[Named, list[Terms]], rule: Rule
) -> list[Group]:
    """Suggestions grouped by supplier. Raises ``Refused`` for a share that no level reaches."""
    shelf = _Shelf(things, stands, outlook, terms)
    missing = {(row.kind, row.key): row for row in short(served(open_wants(), stands, things))}
    levels = levels_kept(outlook, terms, things, rule) if outlook else {}
    last = last_orders(stands, outlook, terms)
    lines = []
    for named in dict.fromkeys([*levels, *missing, *last]):
        found = shelf.suggestion(named, *levels.get(named, (0, 0.0)), waits=missing.get(named), last=last.get(named))
        if found.pieces and (named in last or _is_bought(named, terms)):
            lines.append(found)
    return _grouped(lines, shelf)


def round_up(quantity: float) -> int:
    """Whole pieces that are enough."""
    return -int(-quantity // 1)


def _is_bought(named: Named, terms: dict[Named, list[Terms]]) -> bool:
    """Parts are bought; kits are built here unless a supplier sells them."""
    return named[0] == PART or named in terms


@dataclass(frozen=True, slots=True)
class _Shelf:
    """What the suggestions of one answer are made from."""

    things: Things
    stands: dict[Named, Stand]
    outlook: Expected | None
    terms: dict[Named, list[Terms]]

    def suggestion(
        self, named: Named, level: int, months: float, *, waits: ShortThing | None = None, last: LastOrder | None = None
    ) -> Suggestion:
        """What is suggested of one item; no pieces where nothing is."""
        stand = self.stands.get(named, Stand(None))
        usual = max(
            0,
            level - int(stand.free or 0) - stand.on_order,
            round_up(waits.quantity if waits else 0) - stand.on_order,
        )
        return Suggestion(
            thing=self.things.of(*named),
            stand=stand,
            pieces=max(usual, last.buy.buy) if last else usual,
            level=level,
            span=self.outlook.span(named, months) if self.outlook and months else None,
            months=months,
            short=waits.quantity if waits else 0,
            short_for=waits.for_ if waits else (),
            counts=tuple(self.outlook.asked.counts.get(named, {}).items()) if self.outlook else (),
            terms=last.terms if last else next(iter(self.terms.get(named, ())), None),
            cost_known=bool(cost_of(named, self.terms, self.things)),
            last_order=last.says if last and last.buy.buy else "",
            by_money=bool(self.outlook and self.outlook.together),
        )

    def a_year(self, named: Named) -> float:
        """Pieces expected to be asked for in a year."""
        line = self.outlook.line(named) if self.outlook else None
        return float(12 * self.outlook.demand.units_a_month[line]) if self.outlook and line is not None else 0.0


def _grouped(lines: list[Suggestion], shelf: _Shelf) -> list[Group]:
    by: dict[int | None, list[Suggestion]] = {}
    for line in lines:
        by.setdefault(line.terms.supplier.pk if line.terms else None, []).append(line)
    groups = []
    for found in by.values():
        found.sort(key=lambda line: (not line.last_order, -line.short, -line.pieces, line.thing.name))
        supplier = found[0].terms.supplier if found[0].terms else None
        as_suggested = tuple(replace(line, filled=line.pieces) for line in found)
        groups.append(_filled(supplier, found, shelf) if supplier else Group(None, as_suggested, None))
    return sorted(groups, key=lambda group: (group.supplier is None, group.supplier.name if group.supplier else ""))


def _filled(supplier: Supplier, suggested: list[Suggestion], shelf: _Shelf) -> Group:
    """How the order reaches the supplier's minimum best: any line they sell may be raised, suggested or not."""
    terms = OrderTerms(minimum=supplier.minimum, freight=supplier.freight, freight_free_from=supplier.freight_free_from)
    lines = {line.part: line for line in suggested}
    rows = {part: _supplier_line(line, shelf) for part, line in lines.items()}
    if sum((row.cost(row.least_pieces) for row in rows.values()), 0) < max(terms.minimum, terms.freight_free_from or 0):
        others = {line.part: line for line in _others(supplier, shelf) if line.part not in lines}
        lines |= others
        rows |= {part: _supplier_line(line, shelf) for part, line in others.items()}
    order = fill_order(worth_looking_at(list(rows.values()), terms), terms)
    bought = dict(order.best.pieces)
    shown = [
        replace(line, filled=bought.get(part, line.pieces), raised=raised(rows[part], bought.get(part, 0)))
        for part, line in lines.items()
        if line.pieces or bought.get(part)
    ]
    return Group(supplier, tuple(shown), order)


def _others(supplier: Supplier, shelf: _Shelf) -> list[Suggestion]:
    """What else this supplier sells, and sells cheapest: nothing of it is suggested."""
    return [
        shelf.suggestion(named, 0, 0.0)
        for named, found in shelf.terms.items()
        if found[0].supplier.pk == supplier.pk and shelf.a_year(named) > 0
    ]


def _supplier_line(line: Suggestion, shelf: _Shelf) -> SupplierLine:
    assert line.terms
    return SupplierLine(
        part=line.part,
        suggested=line.pieces,
        breaks=line.terms.breaks,
        per_year=shelf.a_year((line.thing.kind, line.thing.key)),
        position=float(line.stand.free or 0) + line.stand.on_order,
        pack=line.terms.pack,
    )


def _at_best(order: FilledOrder, least: Decimal, currency: str) -> str:
    """What lacks even when every line is taken as far ahead as may be, where that is less."""
    if order.missing >= least - order.best.goods:
        return ""
    return f" With all lines taken as far ahead as is worth it, {said(order.missing, currency)} would still lack."


def money_says(order: FilledOrder, supplier: Supplier) -> str:
    """How the order stands to the supplier's minimum and freight, in words."""
    least, currency = supplier.minimum, supplier.currency
    if order.missing:
        lacks = said(least - order.best.goods, currency)
        at_best = _at_best(order, least, currency)
        return f"{lacks} too little for the least order of {said(least, currency)}: wait, or ask.{at_best}"
    reached = f"Reaches the least order of {said(least, currency)}." if least else "This supplier has no least order."
    free_from = supplier.freight_free_from
    if free_from is None or not supplier.freight or order.best.freight:
        return reached
    saves = said(supplier.freight, currency)
    return f"{reached} From {said(free_from, currency)} on no freight is paid, which saves {saves}."
