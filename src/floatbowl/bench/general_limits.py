"""The shop's rules and general practice: the rows of ``data/limits.csv`` as limits, one a source."""

from __future__ import annotations

from functools import cache
from typing import Final

from floatbowl.bench.limit import DONE, RANKS, Beyond, Limit
from floatbowl.bench.measurements import Measurement, table
from floatbowl.quantities import to_si

AS_IT_STANDS: Final = "as it stands"
OFF_RECORD: Final = "off record"
SHARE_OF_RECORD: Final = "share of record"


def general_limits(measure: Measurement, record: float | None) -> list[Limit]:
    """Limits that hold for any carburettor; those told from a recorded figure only where there is one (SI)."""
    groups: dict[tuple[str, str], list[dict[str, str]]] = {}
    for row in _rows(measure.key):
        groups.setdefault((row["rank"], row["source"]), []).append(row)
    return [_limit(rows, measure, record) for rows in groups.values() if record is not None or not _relative(rows)]


def has_allowance(measure: Measurement) -> bool:
    """Whether general practice says how far from a recorded figure a reading may lie."""
    return _relative(_rows(measure.key))


def _relative(rows: list[dict[str, str]] | tuple[dict[str, str], ...]) -> bool:
    return any(row["basis"] != AS_IT_STANDS for row in rows)


def _limit(rows: list[dict[str, str]], measure: Measurement, record: float | None) -> Limit:
    first = rows[0]
    return Limit(
        measurement=measure.key,
        beyond=tuple(_beyond(row, measure, record or 0.0) for row in rows),
        rank=next(rank for rank in RANKS if rank == first["rank"]),
        source=first["source"],
        page=first["page"],
        doubt=first["doubt"],
        record=record if _relative(rows) else None,
    )


def _beyond(row: dict[str, str], measure: Measurement, record: float) -> Beyond:
    low, high = (_bound(row[name], row, measure, record) for name in ("low", "high"))
    return Beyond(next(name for name in DONE if name == row["does"]), low, high)


def _bound(text: str, row: dict[str, str], measure: Measurement, record: float) -> float | None:
    if not text:
        return None
    if row["basis"] == SHARE_OF_RECORD:
        return record * (1 + float(text))
    bound = to_si(float(text), measure.si_kind, row["unit"] or measure.unit)
    return bound + record if row["basis"] == OFF_RECORD else bound


def _rows(key: str) -> tuple[dict[str, str], ...]:
    return _all_rows().get(key, ())


@cache
def _all_rows() -> dict[str, tuple[dict[str, str], ...]]:
    found: dict[str, list[dict[str, str]]] = {}
    for row in table("limits.csv"):
        found.setdefault(row["measurement"], []).append(row)
    return {key: tuple(rows) for key, rows in found.items()}
