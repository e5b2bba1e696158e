"""A judged row with all that its consequence may need, and the consequence itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from floatbowl.bench.judging import Judged
from floatbowl.bench.on_record import OnRecord
from floatbowl.bench.runs_on import RunsOn
from floatbowl.bench.taking import Taken
from floatbowl.engine.doubt import Doubtful

SIZE_ORDER: Final = "direction and size order only"
NO_MODEL: Final = "no model"


@dataclass(frozen=True, slots=True)
class Consequence:
    """``says`` follows what was found; ``figure`` is what was worked out; ``missing`` what it would need to be.

    ``trust``: empty where it is geometry, else ``direction and size order only``. ``low`` and ``high``: 95 in 100.
    """

    says: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    trust: str = ""
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Case:
    """A judged row with all that its consequence may need."""

    judged: Judged
    taken: Sequence[Taken]
    known: OnRecord
    engine: RunsOn | None

    @property
    def figure(self) -> Doubtful:
        """The place that decided."""
        assert self.judged.worst is not None
        return self.judged.worst.figure

    @property
    def wanted(self) -> float | None:
        """The figure it should have: that of the limit used, or the middle of its range, or else the record's."""
        used = self.judged.row.limits.used
        if used is not None and used.record is not None:
            return used.record
        if used is not None and used.working.low is not None and used.working.high is not None:
            return (used.working.low + used.working.high) / 2
        return self.judged.row.record


def in_100(part: float) -> str:
    """A part as so many in 100.

    >>> in_100(0.312), in_100(0.004)
    ('31', '0.4')
    """
    hundredths = abs(part) * 100
    return f"{hundredths:.0f}" if hundredths >= 1.95 else f"{hundredths:.1g}"


def span(figure: Doubtful) -> tuple[float, float]:
    """The sizes between which 95 in 100 lie, least first; from nothing where even the direction is in doubt.

    >>> span(Doubtful(-2.0, 0.5))[0] > 1, span(Doubtful(0.1, 1.0))[0]
    (True, 0.0)
    """
    least, most = sorted((abs(figure.low), abs(figure.high)))
    return (least if figure.low * figure.high > 0 else 0.0), most


def unknown(verb: str, gaps: Iterable[str], what: str = "how much") -> Consequence:
    """A consequence that cannot be worked out, naming what is missing."""
    needed = tuple(gaps)
    return Consequence(f"{verb}, {what} is not known without {' and '.join(needed)}", missing=needed)
