"""The verdict on each part: leave, repair, replace, refuse, or measure again, with the reason in one plain sentence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from floatbowl.bench.case import SIZE_ORDER, Consequence
from floatbowl.bench.consequence import consequence
from floatbowl.bench.judging import Judged, Word, judge
from floatbowl.bench.limit import where_from
from floatbowl.bench.measurements import BenchPart, Caution, Stage, bench_parts
from floatbowl.bench.on_record import OnRecord
from floatbowl.bench.runs_on import TYPICAL, RunsOn, filled_up
from floatbowl.bench.sheet import Row
from floatbowl.bench.taking import Taken
from floatbowl.bench.telling import sentence

FIRST_STAGES: Final[tuple[Stage, ...]] = ("strip sheet", "measure")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What is done with one part. ``sentence`` is the reason; ``decided_by`` the row that decided it.

    ``short`` is a trailing word on trust ("direction and size order only") or empty; ``limit_from`` where the limit
    used comes from, ``disagree`` what other sources say; ``still_to_measure`` names rows without their readings.
    """

    part: str
    word: Word
    sentence: str
    short: str = ""
    decided_by: Judged | None = None
    judged: tuple[Judged, ...] = ()
    consequence: Consequence | None = None
    limit_from: str = ""
    disagree: str = ""
    still_to_measure: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()


def verdicts(
    rows: Iterable[Row],
    taken: Iterable[Taken],
    known: OnRecord,
    engine: RunsOn | None = None,
    *,
    typical: bool = False,
    stages: Sequence[Stage] = FIRST_STAGES,
) -> tuple[Verdict, ...]:
    """A verdict for each part that the sheet measures up to these ``stages``, in bench order.

    ``typical`` allows a named typical engine's figures where this engine's are not known; the sentence says so.
    Without it a consequence that needs them says what is missing.
    """
    readings = tuple(taken)
    runs = filled_up(engine or RunsOn(name=TYPICAL.name)) if typical else engine
    counted = [row for row in rows if row.measure.stage in stages and not row.measure.record_only]
    found = []
    for part in bench_parts().values():
        mine = [row for row in counted if row.measure.part == part.part]
        judged = [each for each in (judge(row, readings) for row in mine) if _counts(each)]
        if judged:
            found.append(_verdict(part, judged, readings, known, runs))
    return tuple(found)


def _counts(judged: Judged) -> bool:
    """An optional row counts once somebody has read it."""
    return bool(judged.places) or not judged.row.measure.optional


def _verdict(
    part: BenchPart, judged: Sequence[Judged], taken: Sequence[Taken], known: OnRecord, engine: RunsOn | None
) -> Verdict:
    worst = max(judged, key=lambda each: (each.word.severity, each.chance))
    to_read = tuple(each.row.measure.name for each in judged if each.word is Word.NOT_YET)
    what = consequence(worst, taken, known, engine) if worst.word is not Word.NOT_YET else None
    limits = worst.row.limits
    return Verdict(
        part=part.part,
        word=worst.word,
        sentence=sentence(part, worst, what, to_read),
        short=what.trust if what and what.trust == SIZE_ORDER else "",
        decided_by=worst,
        judged=tuple(judged),
        consequence=what,
        limit_from=where_from(limits.used) if limits.used else "",
        disagree=limits.disagree,
        still_to_measure=to_read,
        cautions=_cautions(judged),
    )


def _cautions(judged: Sequence[Judged]) -> tuple[Caution, ...]:
    found = {caution.says: caution for each in judged for caution in each.row.cautions}
    return tuple(found.values())


def agreed(verdict: Verdict, word: Word, reason: str) -> Verdict:
    """The same part with what a person decided instead, the reason in the sentence. Raises ValueError without one.

    A part that must not be shipped may not be let through as it is.
    """
    if not reason.strip():
        raise ValueError(f"{verdict.part}: worked out is “{verdict.word.value}”; write why you decide “{word.value}”")
    if verdict.word is Word.REFUSE and word in (Word.LEAVE, Word.NOTE):
        raise ValueError(f"{verdict.part}: {verdict.sentence} Repair or replace it; it cannot be left")
    told = f"Decided by hand, {word.value}: {reason.strip().rstrip('.')}; measured: {verdict.sentence}"
    return replace(verdict, word=word, sentence=told)
