"""The limits of one carburettor: every source's figure, and the one that is used, with the reason.

Order (the trade's): machine's own book, carburettor maker's sheet for that number, family figure, shop rule, general
practice. Within one rank a figure without a written doubt comes before one with, and a published one before memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from floatbowl.bench.general_limits import general_limits, has_allowance
from floatbowl.bench.limit import (
    DONE,
    FROM_MEMORY,
    RANKS,
    Beyond,
    Figure,
    Limit,
    LimitsOf,
    Rank,
    limit_of,
    says,
    where_from,
)
from floatbowl.bench.measurements import Measurement, bench_tools
from floatbowl.bench.on_record import OnRecord, size_si
from floatbowl.quantities import to_si
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import Feature, PartSize, Setting

#: Ranks of figures for this very number or its family.
OF_THE_NUMBER: Final = RANKS[:3]


def limits_of(measure: Measurement, known: OnRecord, figures: Iterable[Figure] = ()) -> LimitsOf:
    """Every limit of one measurement for one carburettor, the one used by rank.

    ``figures`` are what a machine's own book or the shop's own rules say; raises ValueError for one that cannot be
    read. A general rule does not disagree with a figure for this very number: it gives way.
    """
    given = _joined([limit_of(figure, measure) for figure in figures if figure.measurement == measure.key])
    recorded, unread = _recorded_limits(measure, known)
    best = min(recorded, key=_order, default=None)
    general = general_limits(measure, best.record if best else None)
    ranked = sorted((each for each in (*given, *recorded, *general) if each.beyond), key=_order)
    return LimitsOf(ranked[0] if ranked else None, tuple(ranked[1:]), _disagreement(measure, ranked), unread)


def recorded_limits(measure: Measurement, known: OnRecord) -> tuple[Limit, ...]:
    """The figures on record, with or without a range of their own, best first."""
    return tuple(sorted(_recorded_limits(measure, known)[0], key=_order))


def _joined(given: list[Limit]) -> list[Limit]:
    """Figures of one source are one limit, mildest first."""
    found: dict[tuple[Rank, str], Limit] = {}
    for each in given:
        first = found.get((each.rank, each.source), replace(each, beyond=()))
        beyond = sorted((*first.beyond, *each.beyond), key=lambda one: DONE.index(one.does))
        found[each.rank, each.source] = replace(first, beyond=tuple(beyond))
    return list(found.values())


def _order(limit: Limit) -> tuple[int, bool, bool]:
    return RANKS.index(limit.rank), bool(limit.doubt), limit.source == FROM_MEMORY


def _recorded_limits(measure: Measurement, known: OnRecord) -> tuple[list[Limit], tuple[str, ...]]:
    found, unread = [], []
    for row, rank in _rows_on_record(measure, known):
        try:
            found.append(_with_width(_recorded(row, rank, measure, known), measure))
        except ValueError as wrong:
            unread.append(f"{measure.name}: a record cannot be read ({wrong}); correct it in the Notebook")
    return found, tuple(unread)


def _rows_on_record(measure: Measurement, known: OnRecord) -> list[tuple[Setting | PartSize | Feature, Rank]]:
    """Settings, its siblings' settings where it has none, sizes of its parts, and else the same figure as a look."""
    rows: list[tuple[Setting | PartSize | Feature, Rank]] = []
    if measure.setting:
        own = [row for row in known.settings if row.quantity == measure.setting]
        rows += [(row, _rank(row, known)) for row in own]
        rows += [(row, "family figure") for row in known.family_settings if row.quantity == measure.setting]
    if measure.size:
        kind, quantity = measure.size
        sizes = [each.size(quantity) for each in known.parts_of(kind)]
        rows += [(size, _rank(size, known)) for size in sizes if size is not None]
    if measure.feature and not rows:
        rows += [(row, _rank(row, known)) for row in known.feature_rows if row.feature == measure.feature]
    return rows


def _recorded(row: Setting | PartSize | Feature, rank: Rank, measure: Measurement, known: OnRecord) -> Limit:
    value, low, high = _figures(row, measure)
    source = known.sources.get(row.source)
    return Limit(
        measurement=measure.key,
        beyond=(Beyond(measure.does, low, high),) if (low, high) != (None, None) else (),
        rank=rank,
        source=source.title if source else row.source or "our records, no source given",
        page=row.page,
        doubt=row.doubt,
        datum=row.datum if isinstance(row, Setting) else "",
        record=value,
    )


def _figures(row: Setting | PartSize | Feature, measure: Measurement) -> tuple[float, float | None, float | None]:
    """The recorded figure and its range in SI; raises ValueError where it is no number or its unit is unknown."""
    if isinstance(row, Setting):
        low, high = (_si(bound, row.unit, measure) if bound is not None else None for bound in (row.low, row.high))
        return _si(_number(row.value), row.unit, measure), low, high
    if isinstance(row, Feature):
        return measure.si(_number(row.value)), None, None
    value = size_si(row)
    if value is None:
        raise ValueError(f"{row.value!r} is no number")
    # A new part's tolerance is no wear limit: the usual allowance is, where there is one.
    if not row.tolerance.strip() or has_allowance(measure):
        return value, None, None
    wide = _si(_number(row.tolerance), row.unit, measure)
    return value, value - wide, value + wide


def _si(value: float, unit: str, measure: Measurement) -> float:
    return to_si(value, measure.si_kind, unit or measure.unit)


def _rank(row: Fact, known: OnRecord) -> Rank:
    """A manual's or supplier's sheet for that number; what a bench or an owner found stands beside a family figure."""
    source = known.sources.get(row.source)
    return "maker's sheet" if source is not None and source.kind in ("manual", "supplier") else "family figure"


def _with_width(limit: Limit, measure: Measurement) -> Limit:
    """A recorded figure without a range takes the usual allowance round it, and says so."""
    usual = next((each for each in general_limits(measure, limit.record) if each.record is not None), None)
    if limit.beyond or usual is None:
        return limit
    note = f"the figure only; its allowance is general practice ({usual.source})"
    return replace(limit, beyond=usual.beyond, doubt="; ".join(filter(None, (limit.doubt, note))))


def _disagreement(measure: Measurement, limits: Sequence[Limit]) -> str:
    """Sources whose working range differs by more than the best tool can tell, in one sentence."""
    tell = min((bench_tools()[tool].spread for tool in measure.tools), default=0.0)
    peers = [each for each in limits[1:] if each.rank in OF_THE_NUMBER or limits[0].rank not in OF_THE_NUMBER]
    odd = [each for each in peers if _apart(limits[0], each, tell)]
    if not odd:
        return ""
    told = "; ".join(f"{_range_and_datum(each, measure)} ({where_from(each)})" for each in (limits[0], *odd))
    return f"Sources disagree: {told}"


def _range_and_datum(limit: Limit, measure: Measurement) -> str:
    return says(limit.working, measure) + (f", {limit.datum}" if limit.datum else "")


def _apart(one: Limit, other: Limit, tell: float) -> bool:
    if one.datum and other.datum and one.datum != other.datum:
        return True
    pairs = ((one.working.low, other.working.low), (one.working.high, other.working.high))
    return any(a is not None and b is not None and abs(a - b) > tell + 1e-12 for a, b in pairs)


def _number(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{text!r} is no number")
    return value
