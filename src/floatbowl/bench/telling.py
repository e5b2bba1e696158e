"""The one sentence of a verdict: what was found, against what, what it does, and what to do."""

from __future__ import annotations

from collections.abc import Sequence

from floatbowl.bench.case import Consequence
from floatbowl.bench.judging import Judged, Word
from floatbowl.bench.limit import says, shown
from floatbowl.bench.measurements import YES_NO, BenchPart
from floatbowl.bench.readings import Combined


def sentence(part: BenchPart, judged: Judged, what: Consequence | None, to_read: Sequence[str]) -> str:
    """One plain sentence, such as ``0.25 mm play at both ends, ..., lets in roughly a fifth of the idle air: bush.``"""
    if judged.word is Word.NOT_YET or judged.worst is None:
        return f"{part.says} {'are' if part.many else 'is'} not measured yet: {'; '.join(map(_lower, to_read))}."
    if judged.word is Word.AGAIN:
        return f"{_again(judged)}."
    found = _answered(part, judged) if judged.row.measure.kind == YES_NO else _measured(judged)
    middle = _joined(found, what, judged)
    return f"{_upper(middle)}: {_do(part, judged)}."


def _measured(judged: Judged) -> str:
    return f"{_found(judged)}, {_against(judged)},"


def _found(judged: Judged) -> str:
    measure = judged.row.measure
    assert judged.worst is not None
    told = measure.found or f"{measure.name}: {{value}} {{where}}"
    value = shown(judged.worst.figure.value, measure).partition(" (")[0]
    return " ".join(told.format(value=value, where=where(judged)).split())


def where(judged: Judged) -> str:
    """Which place a reading is from; ``at both ends`` where both ends read much the same.

    Only the decisive place is named otherwise.
    """
    assert judged.worst is not None
    end = judged.worst.place.partition(",")[0]
    others = [each for each in judged.places if each.place.partition(",")[0] != end]
    if not end.endswith(" end"):
        return judged.worst.place
    alike = [each for each in others if _alike(each, judged.worst)]
    return "at both ends" if alike else f"at the {end}"


def _alike(one: Combined, other: Combined) -> bool:
    """Within a fifth, or within what the tools can tell."""
    apart = abs(one.figure.value - other.figure.value)
    return apart <= max(0.2 * abs(other.figure.value), 2.8 * max(one.figure.sd, other.figure.sd))


def _against(judged: Judged) -> str:
    used = judged.row.limits.used
    if used is None:
        return judged.why
    allowed = says(used.working, judged.row.measure)
    plain = allowed if "," in allowed else allowed.split(" (")[0]
    return f"with {plain} allowed ({used.rank})"


def _answered(part: BenchPart, judged: Judged) -> str:
    bad = judged.word is not Word.LEAVE
    if bad:
        return f"{part.says} {judged.row.measure.bad_says},"
    return f"{part.says} {'pass' if part.many else 'passes'} the look"


def _joined(found: str, what: Consequence | None, judged: Judged) -> str:
    if what is None:
        return found.rstrip(",")
    who = f" ({what.trust})" if what.trust == "direction and size order only" else ""
    return f"{found} {what.says}{who}"


def _again(judged: Judged) -> str:
    tool = f" with the {judged.again_with}" if judged.again_with else ""
    if judged.why:
        return f"{_upper(judged.why)}: measure again{tool}"
    chances = round(100 * judged.chance)
    found = _upper(_found(judged))
    return f"{found}, {_against(judged)}, may be outside it ({chances} in 100): measure again{tool}"


def _do(part: BenchPart, judged: Judged) -> str:
    told = {
        Word.LEAVE: part.leave,
        Word.NOTE: judged.row.measure.note or "leave it and write it down",
        Word.REPAIR: part.repair,
        Word.REPLACE: part.replace,
        Word.REFUSE: part.refuse,
    }[judged.word]
    return f"{told}, on the careful side" if judged.on_the_careful_side else told


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
