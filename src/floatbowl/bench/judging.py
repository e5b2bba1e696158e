"""One measurement held against its limit: what is to be done, given the reading's doubt.

The rule: ``p`` is the chance, the doubt being normal, that the true figure lies outside the range. With ``p`` of at
least 95 in 100 it does; with 5 in 100 or less it does not; between, measure again with a finer tool. When the finest
tool was used three times and the answer is still between, the careful side is taken. Of several ranges that are passed
the most serious counts that is passed more likely than not. More over a limit never gives a milder answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from floatbowl.bench.limit import Beyond, Limit
from floatbowl.bench.measurements import YES_NO
from floatbowl.bench.readings import Combined, combined, unread_places
from floatbowl.bench.sheet import Row
from floatbowl.bench.taking import Taken
from floatbowl.engine.doubt import Doubtful

SURE: Final = 0.95
UNLIKELY: Final = 0.05
#: Readings by the finest tool after which the careful side is taken.
ENOUGH: Final = 3


class Word(StrEnum):
    """What is done with a part, from the mildest to the most serious."""

    LEAVE = "leave"
    NOTE = "leave, with a note"
    NOT_YET = "not measured yet"
    AGAIN = "measure again"
    REPAIR = "repair"
    REPLACE = "replace"
    REFUSE = "refuse"

    @property
    def severity(self) -> int:
        """Its place from the mildest, from 0."""
        return tuple(Word).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One row judged. ``places`` are all that was read, ``worst`` the one that decided; ``chance`` is its ``p``.

    ``again_with`` names the tool to measure again with, ``why`` why; ``to_read`` are places still wanting a reading.
    """

    row: Row
    word: Word
    places: tuple[Combined, ...] = ()
    worst: Combined | None = None
    chance: float = 0.0
    again_with: str = ""
    why: str = ""
    to_read: tuple[str, ...] = ()
    on_the_careful_side: bool = False


def judge(row: Row, taken: Iterable[Taken]) -> Judged:
    """One row held against the limit that is used; rows without one are noted."""
    mine = tuple(each for each in taken if each.measure == row.key)
    to_read = unread_places(row.measure, mine)
    places = combined(row.measure, mine)
    if not places:
        return Judged(row=row, word=Word.NOT_YET, to_read=to_read)
    if row.measure.kind == YES_NO:
        return _answered(row, mine, places)
    worst = max((_at_place(row, place, places) for place in places), key=lambda each: (each.word.severity, each.chance))
    if to_read and worst.word.severity < Word.NOT_YET.severity:
        return Judged(row=row, word=Word.NOT_YET, places=places, worst=worst.worst, to_read=to_read)
    return worst


def chance_outside(figure: Doubtful, beyond: Beyond) -> float:
    """The chance that the true figure lies outside the range.

    >>> round(chance_outside(Doubtful(1.0, 0.1), Beyond("repair", None, 1.0)), 2)
    0.5
    """
    over = figure.chance_above(beyond.high) if beyond.high is not None else 0.0
    under = 0.0
    if beyond.low is not None:
        under = 1 - figure.chance_above(beyond.low) if figure.sd > 0 else float(figure.value < beyond.low)
    return min(1.0, over + under)


def _answered(row: Row, taken: Sequence[Taken], places: tuple[Combined, ...]) -> Judged:
    answers = {each.yes for each in taken}
    if len(answers) > 1:
        return Judged(row=row, word=Word.AGAIN, places=places, worst=places[0], why="two looks gave both answers")
    good = answers == {row.measure.good == "yes"}
    word = Word.LEAVE if good else Word(row.measure.does)
    return Judged(row=row, word=word, places=places, worst=places[0], chance=float(not good))


def _at_place(row: Row, place: Combined, places: tuple[Combined, ...]) -> Judged:
    limit = row.limits.used
    finest = min(row.tools, key=lambda each: each.spread).tool if row.tools else ""
    if place.contradict:
        why, tool = place.contradict, finest
        return Judged(row=row, word=Word.AGAIN, places=places, worst=place, why=why, again_with=tool)
    if limit is None:
        return Judged(row=row, word=Word.NOTE, places=places, worst=place, why="no figure is known to hold it against")
    chances = [(each, chance_outside(place.figure, each)) for each in limit.beyond]
    chance = next(p for each, p in chances if each is limit.working)
    enough = bool(finest) and set(place.tools) == {finest} and place.readings >= ENOUGH
    word = _word(limit, chances, careful=row.careful, enough=enough)
    in_doubt = UNLIKELY < chance < SURE
    return Judged(
        row=row,
        word=word,
        places=places,
        worst=place,
        chance=chance,
        again_with=finest if word is Word.AGAIN else "",
        on_the_careful_side=in_doubt and word.severity > Word.AGAIN.severity and enough,
    )


def _word(limit: Limit, chances: Sequence[tuple[Beyond, float]], *, careful: bool, enough: bool) -> Word:
    work = [(each, p) for each, p in chances if careful or each.does != "note"]
    passed = [Word(_does(each)) for each, p in work if p >= 0.5]
    most = max((p for _, p in work), default=0.0)
    if most >= SURE:
        return max(passed, key=lambda word: word.severity)
    if most > UNLIKELY:
        mildest = min((Word(_does(each)) for each, p in work if p > UNLIKELY), key=lambda word: word.severity)
        return max([mildest, *passed], key=lambda word: word.severity) if enough else Word.AGAIN
    noted = any(p >= 0.5 for each, p in chances if each.does == "note")
    return Word.NOTE if noted else Word.LEAVE


def _does(beyond: Beyond) -> str:
    """What is done; a note that is made good is a repair."""
    return "repair" if beyond.does == "note" else beyond.does
