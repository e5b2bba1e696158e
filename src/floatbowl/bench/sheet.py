"""The measuring sheet of one carburettor: only the rows that apply, in bench order, each with limit and cautions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from floatbowl.bench.limit import Figure, LimitsOf, says, shown
from floatbowl.bench.limits import limits_of, recorded_limits
from floatbowl.bench.measurements import BenchTool, Caution, Measurement, bench_parts, bench_tools, holds, measurements
from floatbowl.bench.on_record import OnRecord

#: Parts whose turning makes the mixture richer or leaner.
NEEDLES: Final = ("idle needle", "main needle")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the sheet. ``datum`` belongs to the figure used; ``record`` is the recorded figure in SI."""

    measure: Measurement
    limits: LimitsOf
    datum: str = ""
    record: float | None = None
    record_source: str = ""
    tools: tuple[BenchTool, ...] = ()
    cautions: tuple[Caution, ...] = ()
    notes: tuple[str, ...] = ()
    #: Whether what could stay with a note is made good after all (the idle is not steady).
    careful: bool = False

    @property
    def key(self) -> str:
        """Which measurement it is."""
        return self.measure.key

    @property
    def limit_says(self) -> str:
        """The range that is used, in words; for a yes or no the answer that is wanted."""
        if self.measure.question:
            return f"the answer wanted is {self.measure.good}"
        return says(self.limits.used.working, self.measure) if self.limits.used else "no limit known"

    @property
    def record_says(self) -> str:
        """The recorded figure in words, or nothing."""
        return shown(self.record, self.measure) if self.record is not None else ""


def sheet(
    known: OnRecord,
    parts_present: Iterable[str] | None = None,
    *,
    seen: Mapping[str, str] | None = None,
    figures: Iterable[Figure] = (),
) -> tuple[Row, ...]:
    """The rows that apply to one carburettor, in bench order.

    ``parts_present`` are names of the bench's parts; without it, those that a carburettor usually has. ``seen`` is
    what the bench sees, over the records: ``float material`` (brass, cork, foam), ``float shape`` (single, twin,
    horseshoe), ``body metal`` (iron, zinc, aluminium), ``venturi`` (loose, cast in, none), ``idle`` (steady,
    unsteady), or any recorded look. ``figures`` are the machine's book's, or rules of the shop's own.

    What is not known never drops a row, except one that only a rarer build has (a twin float, say).
    Raises ValueError for a part or a figure's measurement that the bench does not know, naming those it knows.
    """
    present = _checked(parts_present) if parts_present is not None else usual_parts()
    given = tuple(figures)
    _check_figures(given)
    facts = known.seen(seen)
    return tuple(
        _row(each, known, facts, given) for each in measurements() if each.part in present and each.applies(facts)
    )


def usual_parts() -> frozenset[str]:
    """The parts a carburettor usually has; new bushes and an idle jet are there only when told."""
    return frozenset(each.part for each in bench_parts().values() if each.present == "usually")


def _row(measure: Measurement, known: OnRecord, facts: Mapping[str, str], figures: tuple[Figure, ...]) -> Row:
    limits = limits_of(measure, known, figures)
    recorded = next(iter(recorded_limits(measure, known)), None)
    used = limits.used or recorded
    return Row(
        measure=measure,
        limits=limits,
        datum=used.datum if used else "",
        record=recorded.record if recorded else None,
        record_source=recorded.source if recorded else "",
        tools=tuple(bench_tools()[name] for name in measure.tools),
        cautions=tuple(each for each in measure.cautions if each.applies(facts)),
        notes=_notes(measure, limits, used.datum if used else "", known),
        careful=bool(measure.careful_if) and holds(measure.careful_if, facts),
    )


def _notes(measure: Measurement, limits: LimitsOf, datum: str, known: OnRecord) -> tuple[str, ...]:
    notes = [*limits.unread]
    if datum:
        notes.append(f"Measure so: {datum}.")
    elif measure.setting == "float level":
        notes.append("No datum is recorded: a float figure without its datum is worthless. Find the sheet first.")
    if limits.disagree:
        notes.append(f"{limits.disagree}. The first is used.")
    if direction := _direction(measure, known):
        notes.append(direction)
    return tuple(notes)


def _direction(measure: Measurement, known: OnRecord) -> str:
    """Which needle a screw is and what turning it in does: makers differ, so it is always said where it is known."""
    if measure.kind != "turns":
        return ""
    row = next((each for each in known.settings if each.quantity == measure.setting), None)
    if row is None or not (row.needle and row.inward):
        return "See first whether it meters fuel or air: makers differ." if measure.part in NEEDLES else ""
    return f"It is a needle for {row.needle}: turned in, the mixture is {row.inward}."


def _checked(parts: Iterable[str]) -> frozenset[str]:
    present = frozenset(parts)
    if unknown := sorted(present - set(bench_parts())):
        raise ValueError(f"the bench knows no part {', '.join(unknown)}; name one of {', '.join(bench_parts())}")
    return present


def _check_figures(figures: tuple[Figure, ...]) -> None:
    known = {each.key for each in measurements()}
    if unknown := sorted({each.measurement for each in figures} - known):
        raise ValueError(f"no measurement is called {', '.join(unknown)}; use one of {', '.join(sorted(known))}")
