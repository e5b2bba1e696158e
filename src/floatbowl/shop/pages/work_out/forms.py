"""A calculation's fields: what was typed into each, what is usual, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from floatbowl.work_out.asking import Outcome, asks_by_name, in_lengths, usual, usual_figure, with_unit
from floatbowl.work_out.calculation import Asked, Calculation, Figure
from floatbowl.work_out.spoken import LENGTHS, Lengths, spoken

#: Names in the address that no ask may have.
LENGTHS_NAME: Final = "lengths"
TURN_NAME: Final = "turn-to"
#: Before the name of an ask: how far off it may be.
DOUBT: Final = "doubt."


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing asked, as it stands on the page."""

    name: str
    says: str
    how: str
    unit: str
    typed: str
    usual: str
    usual_figure: str
    error: str
    needed: bool
    choices: tuple[str, ...]
    chosen: str
    doubt_name: str
    doubt_typed: str
    doubt_usual: str
    doubted: bool


def typed_texts(calculation: Calculation, sent: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """What was typed for each ask, and for the doubt of each."""
    names = tuple(asks_by_name(calculation))
    return {name: sent.get(name, "") for name in names}, {name: sent.get(DOUBT + name, "") for name in names}


def fields_of(
    calculation: Calculation, sent: Mapping[str, str], lengths: Lengths, outcome: Outcome
) -> tuple[Field, ...]:
    """Every field of a calculation."""
    return tuple(
        _field(name, in_lengths(ask, lengths), sent, lengths, outcome)
        for name, ask in asks_by_name(calculation).items()
    )


def _field(name: str, ask: Asked, sent: Mapping[str, str], lengths: Lengths, outcome: Outcome) -> Field:
    typed = sent.get(name, "")
    # A figure that is only missing is not yet wrong: it is marked as needed.
    wrong = outcome.faults.get(name, "") if typed.strip() or sent.get(DOUBT + name, "").strip() else ""
    same = next((choice for choice in ask.choices if choice.lower() == " ".join(typed.split()).lower()), typed)
    return Field(
        name=name,
        says=ask.says,
        how=ask.how,
        unit=ask.unit,
        typed=typed,
        usual=usual(ask, lengths),
        usual_figure=usual_figure(ask, lengths),
        error=wrong,
        needed=ask.usual is None and not ask.optional,
        choices=_choices(ask, same),
        chosen=same or str(ask.usual or ""),
        doubt_name=DOUBT + name,
        doubt_typed=sent.get(DOUBT + name, ""),
        doubt_usual=_doubt(ask, lengths),
        doubted=not ask.choices and ask.kind != "text",
    )


def _choices(ask: Asked, typed: str) -> tuple[str, ...]:
    """The words to choose from; a wrong one that came with the address stays to be seen."""
    extra = (typed,) if typed and typed not in ask.choices else ()
    open_choice = ("",) if ask.choices and ask.usual is None else ()
    return (*open_choice, *ask.choices, *extra) if ask.choices else ()


def _doubt(ask: Asked, lengths: Lengths) -> str:
    """The usual doubt alone: what is said after "give or take"."""
    if not ask.spread or ask.usual is None or isinstance(ask.usual, str):
        return ""
    # The middle lies far off, so that the doubt is never told as a range.
    kind = "temperature step" if ask.kind == "temperature" else ask.kind
    unit = "K" if ask.kind == "temperature" else ask.unit
    far = 1000 * ask.spread
    return f"{spoken(Figure(ask.name, ask.says, far, kind, unit, ask.spread), lengths).partition('take ')[2]} {unit}"


def lengths_of(sent: Mapping[str, str], chosen: Lengths) -> Lengths:
    """The unit of length that the address says, else the one chosen on this browser."""
    return next((one for one in LENGTHS if one == sent.get(LENGTHS_NAME)), chosen)


def turned(calculation: Calculation, sent: Mapping[str, str], before: Lengths, into: str) -> str:
    """The query of the same page in the other unit: bare numbers get the unit they were typed in."""
    asks = asks_by_name(calculation)
    kept = {}
    for name, text in sent.items():
        ask = asks.get(name.removeprefix(DOUBT))
        if ask is not None and text.strip():
            kept[name] = with_unit(ask, text, before)
    return urlencode({**kept, LENGTHS_NAME: into if into in LENGTHS else before})


def query_of(calculation: Calculation, sent: Mapping[str, str], lengths: Lengths) -> str:
    """The address's query with what was typed, and the unit it was typed in: the same on another browser."""
    names = [name for ask in asks_by_name(calculation) for name in (ask, DOUBT + ask)]
    typed = {name: sent[name].strip() for name in names if sent.get(name, "").strip()}
    return urlencode({**typed, LENGTHS_NAME: lengths})
