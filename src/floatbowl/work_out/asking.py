"""What a calculation asks, as people see it: the name of each ask, its unit, the usual figure, and what they wrote.

A doubt that is written (``28 mm +- 0.1``, "give or take 0.1") means the same as one that is shown: 19 times in 20 the
true figure lies within. Inside it is one standard deviation, 1.96 times smaller.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Final

from floatbowl.engine.doubt import COVER_95
from floatbowl.quantities import LENGTH
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure, Told, answered, read
from floatbowl.work_out.spoken import Lengths, spoken, unit_in

#: SI units as names of figures end in them; whoever asks never sees these.
_SI_ENDINGS: Final = re.compile(
    r"_(?:kg_m3|kg_s|m3_s|m2_s|m_s|turns_s|j_kg_k|j_kg|w_m2|per_k|per_s|pa_s|m3|m2|pa|kg|mol|deg|turns|n_m|nm|k|m|s|w|n|j)$"
)
_BARE: Final = re.compile(r"\s*[+-]?\d+\.?\d*\s*", re.ASCII)
_PLUS_MINUS: Final = "+-"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of what was written: an answer, or why there is none."""

    answer: Answer | None
    #: Each figure it was worked out from (told, or the usual one), in SI.
    values: Mapping[str, Told] = field(default_factory=dict)
    spreads: Mapping[str, float] = field(default_factory=dict)
    told: frozenset[str] = frozenset()
    #: What is wrong, by the name an ask is written under.
    faults: Mapping[str, str] = field(default_factory=dict)
    #: Why nothing can be worked out although each figure can be read.
    refused: str = ""

    @property
    def is_example(self) -> bool:
        """Whether nothing was told, so that the answer is one for usual figures."""
        return self.answer is not None and not self.told


def asks_by_name(calculation: Calculation) -> dict[str, Asked]:
    """The asks by the names that people write: without the SI unit, words joined by dashes.

    >>> throat = Asked("throat_m", "Throat", "length", "mm")
    >>> one = Calculation(key="one", title="One", asks=(throat,), work=Answer, equation="", holds="", source="")
    >>> list(asks_by_name(one))
    ['throat']
    """
    short = [_SI_ENDINGS.sub("", ask.name) for ask in calculation.asks]
    names = [name if short.count(name) == 1 else ask.name for name, ask in zip(short, calculation.asks, strict=True)]
    return {name.replace("_", "-"): ask for name, ask in zip(names, calculation.asks, strict=True)}


def in_lengths(ask: Asked, lengths: Lengths) -> Asked:
    """The ask with a bare number taken in the chosen unit of length."""
    return replace(ask, unit=unit_in(ask.kind, ask.unit, lengths))


def usual(ask: Asked, lengths: Lengths = "mm") -> str:
    """The usual figure with its doubt in words; empty where there is none.

    >>> usual(Asked("throat_m", "Throat", "length", "mm", usual=0.028, spread=0.00005))
    '28.00 mm, give or take 0.10'
    """
    if ask.usual is None or isinstance(ask.usual, str):
        return ask.usual or ""
    return spoken(Figure(ask.name, ask.says, ask.usual, ask.kind, ask.unit, ask.spread), lengths)


def usual_figure(ask: Asked, lengths: Lengths = "mm") -> str:
    """The usual figure alone, as one would write it into its field."""
    if ask.usual is None or isinstance(ask.usual, str):
        return ask.usual or ""
    return spoken(Figure(ask.name, ask.says, ask.usual, ask.kind, ask.unit), lengths)


def with_unit(ask: Asked, text: str, lengths: Lengths) -> str:
    """What was written, with the unit that its bare numbers were taken in: so that it means the same in another.

    >>> with_unit(Asked("throat_m", "Throat", "length", "mm"), "28 +- 0.1", "mm")
    '28 mm +- 0.1 mm'
    """
    if ask.kind != LENGTH:
        return text
    unit = in_lengths(ask, lengths).unit
    parts = [part.strip() for part in text.replace("±", _PLUS_MINUS).split(_PLUS_MINUS)]
    return f" {_PLUS_MINUS} ".join(f"{part} {unit}" if _BARE.fullmatch(part) else part for part in parts)


def worked(
    calculation: Calculation, written: Mapping[str, str], doubts: Mapping[str, str], lengths: Lengths = "mm"
) -> Outcome:
    """The answer to what was written under the names of ``asks_by_name``; empty texts count as not written.

    A doubt of its own stands in ``doubts``; one written beside the figure goes before it. Never raises for anything
    that can be written.
    """
    told: dict[str, Told] = {}
    spreads: dict[str, float] = {}
    faults: dict[str, str] = {}
    for name, ask in asks_by_name(calculation).items():
        text, doubt = written.get(name, "").strip(), doubts.get(name, "").strip()
        try:
            _take(in_lengths(ask, lengths), text, doubt, told, spreads)
        except ValueError as wrong:
            faults[name] = str(wrong).removeprefix(f"{ask.says}: ")
        else:
            if not text and ask.usual is None and not ask.optional:
                faults[name] = f"is needed: {ask.says}{_like(ask, lengths)}"
    if told:
        faults |= _own_untold(calculation, told, faults, lengths)
    if faults:
        return Outcome(None, told=frozenset(told), faults=faults)
    return _worked(calculation, told, spreads)


def _own_untold(
    calculation: Calculation, told: Mapping[str, Told], faults: Mapping[str, str], lengths: Lengths
) -> dict[str, str]:
    """What is measured on the thing in the hand and was not told while something else was."""
    asks = asks_by_name(calculation).items()
    missing = {name: ask for name, ask in asks if ask.own and ask.name not in told and name not in faults}
    return {name: f"is needed too: {ask.says}{_like(ask, lengths)}" for name, ask in missing.items()}


def _take(ask: Asked, text: str, doubt: str, told: dict[str, Told], spreads: dict[str, float]) -> None:
    if text:
        told[ask.name], spread = read(ask, text)
        if spread is not None:
            spreads[ask.name] = spread / COVER_95
            return
    if doubt and not ask.choices and ask.kind != "text":
        middle = text or f"0 {ask.unit}"
        _, spread = read(ask, f"{middle.partition(_PLUS_MINUS)[0]} {_PLUS_MINUS} {doubt}")
        spreads[ask.name] = (spread or 0.0) / COVER_95


def _worked(calculation: Calculation, told: Mapping[str, Told], spreads: Mapping[str, float]) -> Outcome:
    # The doubts of all figures ask for the same slightly changed cases: each is worked out once.
    once = replace(calculation, work=cache(calculation.work))
    try:
        answer, values = answered(once, told, spreads)
    except ValueError as refused:
        return Outcome(None, told=frozenset(told), refused=str(refused))
    usual_spreads = {ask.name: ask.spread for ask in calculation.asks if ask.name in values and ask.spread}
    return Outcome(answer, values, usual_spreads | dict(spreads), frozenset(told))


def _like(ask: Asked, lengths: Lengths) -> str:
    unit = unit_in(ask.kind, ask.unit, lengths)
    return f", in {unit}" if unit else ""
