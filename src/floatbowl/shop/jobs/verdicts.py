"""The verdict on each part of a job: worked out from its readings, and what somebody decided about it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from floatbowl.bench.judging import Word
from floatbowl.bench.measurements import bench_parts
from floatbowl.bench.runs_on import RunsOn, runs_on
from floatbowl.bench.verdict import Verdict, agreed, verdicts
from floatbowl.shop.jobs.entering import write_named
from floatbowl.shop.jobs.errors import AskBackError, ConflictError
from floatbowl.shop.jobs.measuring import DECISION, known_of, readings_of, rows_of, taken_of
from floatbowl.shop.models import Job, JobEntry
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.standing import current_weigher

#: What somebody may decide, from the mildest.
DECISIONS = tuple(word.value for word in (Word.LEAVE, Word.REPAIR, Word.REPLACE, Word.REFUSE))
WORKED_OUT = {word.value: word for word in Word}
#: Between the word and the reason of a decision that goes against what was worked out.
BECAUSE = "; "


@dataclass(frozen=True)
class JudgedPart:
    """One part: the verdict that was worked out, and the decision, if somebody took one."""

    verdict: Verdict
    decision: JobEntry | None
    sent: str

    @property
    def part(self) -> str:
        """The part as the bench names it."""
        return self.verdict.part

    @property
    def slug(self) -> str:
        """The part as an element's name."""
        return self.part.replace(" ", "-")

    @cached_property
    def name(self) -> str:
        """The part as a headline begins with it."""
        return self.part[:1].upper() + self.part[1:]

    @property
    def worked_out(self) -> str:
        """The verdict in a word."""
        return self.verdict.word.value

    @property
    def decided(self) -> str:
        """The word that was decided; empty while nobody has."""
        return self.decision.value.partition(BECAUSE)[0] if self.decision else ""

    @property
    def why(self) -> str:
        """Why it goes against what was worked out."""
        return self.decision.value.partition(BECAUSE)[2] if self.decision else ""

    @property
    def decided_by(self) -> str:
        """Who decided."""
        return self.decision.who if self.decision else ""

    @property
    def proposed(self) -> str:
        """What is taken when nobody says otherwise: the verdict; empty while it is not settled."""
        word = self.verdict.word
        if word is Word.NOTE:
            return Word.LEAVE.value
        return word.value if word.value in DECISIONS else ""

    @property
    def in_force(self) -> str:
        """What is done with the part: as decided, else as proposed."""
        return self.decided or self.proposed

    @property
    def is_open(self) -> bool:
        """Whether somebody must still say what is done."""
        return not self.decided and self.proposed != Word.LEAVE.value

    def excused(self, rows: Collection[str]) -> bool:
        """Whether nothing is left to measure on it but rows for which a reason was written why not."""
        unread = [each.row.key for each in self.verdict.judged if each.word is Word.NOT_YET]
        return self.verdict.word is Word.NOT_YET and bool(unread) and set(unread) <= set(rows)

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done to it, so that what to mind while doing it is said."""
        return {self.in_force, self.worked_out} - {"", Word.LEAVE.value, Word.NOTE.value, Word.NOT_YET.value} != set()

    @property
    def choices(self) -> list[tuple[str, str]]:
        """What may be decided, in the part's own words; two that are the same work are one."""
        row = bench_parts()[self.part]
        said = {getattr(row, word): word for word in reversed(DECISIONS) if getattr(row, word)}
        chosen = self.decided or self.proposed
        said |= {getattr(row, chosen): chosen} if chosen and getattr(row, chosen) else {}
        return sorted(((word, words) for words, word in said.items()), key=lambda choice: DECISIONS.index(choice[0]))


def engine_of(job: Job) -> RunsOn | None:
    """The engine the job's machine has, as far as it is recorded."""
    machine = book_of(current_weigher().reference).machines.get(job.machine)
    return runs_on(machine) if machine else None


def judged_parts(job: Job, entries: Mapping[str, JobEntry]) -> list[JudgedPart]:
    """Every part the sheet measures, with its verdict; a typical engine, named, stands in for what is not known."""
    rows = rows_of(job, entries)
    taken = taken_of(rows, readings_of(job))
    found = verdicts(rows, taken, known_of(job), engine_of(job), typical=True)
    return [JudgedPart(verdict, entries.get(f"{DECISION}{verdict.part}"), new_key()) for verdict in found]


def undecided(job: Job, entries: Mapping[str, JobEntry]) -> tuple[str, ...]:
    """Parts that are not to be left alone and for which nobody has decided yet."""
    excused = {reading.row for reading in readings_of(job) if reading.why_not}
    return tuple(part.name for part in judged_parts(job, entries) if part.is_open and not part.excused(excused))


def decide(job: Job, part: JudgedPart, word: str, reason: str, *, sent: str, seen: int, who: str) -> None:
    """Keep a decision; one against the verdict wants its reason. ``seen`` is the decision the page showed, 0 for none.

    Raises AskBackError, ConflictError where somebody else decided since.
    """
    standing = part.decision
    if standing and standing.pk != seen and standing.who != who and standing.sent != sent:
        raise ConflictError(
            f"{standing.who or 'Somebody'} decided “{part.decided}” meanwhile. Send yours again to put it in its place."
        )
    value = word
    if word != part.proposed:
        try:
            agreed(part.verdict, WORKED_OUT[word], reason)
        except ValueError as wrong:
            raise AskBackError(f"{wrong}.") from None
        value = f"{word}{BECAUSE}{reason.strip()}"
    write_named(job, f"{DECISION}{part.part}", value, sent=sent, who=who)
