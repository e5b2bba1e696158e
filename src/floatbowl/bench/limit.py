"""A limit: what is done beyond which figure, and where the figure comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from floatbowl.bench.measurements import Measurement
from floatbowl.quantities import parse_quantity, rounded, show_quantity

Rank = Literal["machine's own book", "maker's sheet", "family figure", "shop rule", "general practice"]
RANKS: Final[tuple[Rank, ...]] = (
    "machine's own book",
    "maker's sheet",
    "family figure",
    "shop rule",
    "general practice",
)
Does = Literal["note", "repair", "replace", "refuse"]
DONE: Final[tuple[Does, ...]] = ("note", "repair", "replace", "refuse")
#: Gaps below it are shown in thousandths of an inch as well.
SMALL_M: Final = 0.7e-3
FROM_MEMORY: Final = "Common practice, from memory"


@dataclass(frozen=True, slots=True)
class Beyond:
    """What is done when a reading lies outside ``low`` to ``high`` (SI; ``None`` is no bound)."""

    does: Does
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One source's limit of one measurement: mildest first what is done beyond which range.

    ``record`` is the figure in SI that the ranges were built round, if any.
    """

    measurement: str
    beyond: tuple[Beyond, ...]
    rank: Rank
    source: str
    page: str = ""
    doubt: str = ""
    datum: str = ""
    record: float | None = None

    @property
    def working(self) -> Beyond:
        """The mildest range beyond which something must be done (a note is not)."""
        return next((each for each in self.beyond if each.does != "note"), self.beyond[-1])


@dataclass(frozen=True, slots=True)
class LimitsOf:
    """All limits of one measurement: the one used, the others, and why figures of theirs disagree, if they do."""

    used: Limit | None
    others: tuple[Limit, ...] = ()
    disagree: str = ""
    #: Records that could not be read as a figure, and why.
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure somebody gives for one measurement: from the machine's own book, or a rule of the shop's own.

    ``low`` and ``high`` are written as people write them; a bare number is in the measurement's unit.
    """

    measurement: str
    low: str = ""
    high: str = ""
    does: Does = "repair"
    rank: Rank = "machine's own book"
    source: str = ""
    page: str = ""
    doubt: str = ""
    datum: str = ""
    record: float | None = None


def limit_of(figure: Figure, measure: Measurement) -> Limit:
    """A given figure as a limit. Raises ValueError naming what cannot be read or stands the wrong way round."""
    if not (figure.low.strip() or figure.high.strip()):
        raise ValueError(f"{measure.name}: neither a lowest nor a highest figure is given; give one of them")
    low, high = (_written(text, measure) for text in (figure.low, figure.high))
    if low is not None and high is not None and low > high:
        raise ValueError(f"{measure.name}: the lowest, {figure.low}, is above the highest, {figure.high}; change one")
    return Limit(
        measurement=measure.key,
        beyond=(Beyond(figure.does, low, high),),
        rank=figure.rank,
        source=figure.source or figure.rank,
        page=figure.page,
        doubt=figure.doubt,
        datum=figure.datum,
        record=figure.record,
    )


def says(beyond: Beyond, measure: Measurement) -> str:
    """The range that is allowed, as people say it.

    >>> from floatbowl.bench.measurements import measurement
    >>> says(Beyond("repair", None, 0.000127), measurement("shaft_play"))
    'at most 0.127 mm (.005 in)'
    """
    low, high = beyond.low, beyond.high
    if low is None and high is None:
        return "no limit"
    if low is None and high == 0:
        return "none"
    if low is None:
        return f"at most {shown(high or 0.0, measure)}"
    if high is None:
        return f"at least {shown(low, measure)}"
    return f"{shown(low, measure).removesuffix(f' {measure.unit}')} to {shown(high, measure)}"


def shown(value: float, measure: Measurement) -> str:
    """A figure in the measurement's unit; small gaps in thousandths of an inch as well."""
    if measure.kind != "length":
        text = show_quantity(value, measure.si_kind, measure.unit)
        return "1 turn" if text == "1 turns" else text
    if 0 < abs(value) < SMALL_M and "feeler" in measure.tools:
        return f"{rounded(round(value * 1e3, 3))} mm ({value / 25.4e-3:.3f} in)".replace("(0.", "(.")
    return show_quantity(value, "length", "mm")


def where_from(limit: Limit) -> str:
    """Rank, source and page in words: ``maker's sheet: Brattock Works Bulletin 14, page 30``."""
    page = f", page {limit.page}" if limit.page else ""
    return f"{limit.rank}: {limit.source}{page}"


def _written(text: str, measure: Measurement) -> float | None:
    if not text.strip():
        return None
    value = parse_quantity(text, measure.si_kind, measure.unit)
    if not math.isfinite(value):
        raise ValueError(f"{measure.name}: {text!r} is no figure; write a number with its unit")
    return value
