"""An answer as one object for other programs: every value in SI with its unit, and the text that is shown."""

from __future__ import annotations

from typing import Any, Final

from floatbowl.work_out.asking import Outcome, asks_by_name
from floatbowl.work_out.calculation import DIRECTION_ONLY, Answer, Asked, Calculation, Figure
from floatbowl.work_out.spoken import Lengths, si_unit, spoken

#: Raised when a key of the object is taken away or means something else.
VERSION: Final = 1


def as_object(calculation: Calculation, outcome: Outcome, lengths: Lengths = "mm") -> dict[str, Any]:
    """Everything that is shown of an answer. Raises ValueError where there is none.

    Keys are only ever added within one ``version``; ``low`` and ``high`` hold 95 in 100.
    """
    if outcome.answer is None:
        raise ValueError("there is no answer to write out; look at its faults first")
    return {
        "version": VERSION,
        "calculation": calculation.key,
        "title": calculation.title,
        **_answer(outcome.answer, lengths),
        "asked": [_asked(name, ask, outcome, lengths) for name, ask in asks_by_name(calculation).items()],
        "validated": calculation.validated,
        "standing": "" if calculation.validated else DIRECTION_ONLY,
        "cautions": [{"says": mind.says, "rule": mind.rule} for mind in calculation.cautions],
        "equation": calculation.equation,
        "holds": calculation.holds,
        "source": calculation.source,
    }


def _answer(answer: Answer, lengths: Lengths) -> dict[str, Any]:
    curve = answer.curve
    return {
        "says": answer.says,
        "figures": [_figure(figure, lengths) for figure in answer.figures],
        "tables": [{"says": table.says, "heads": table.heads, "rows": table.rows} for table in answer.tables],
        "curve": curve
        and {
            "across": curve.across,
            "up": curve.up,
            "points": curve.points,
            "here": curve.here,
            "bands": [{"low": low, "high": high, "says": says} for low, high, says in curve.bands],
        },
        "notes": answer.notes,
    }


def _figure(figure: Figure, lengths: Lengths) -> dict[str, Any]:
    doubtful = figure.doubtful
    return {
        "name": figure.name,
        "says": figure.says,
        "kind": figure.kind,
        "value": figure.value,
        "sd": figure.sd,
        "low": doubtful.low,
        "high": doubtful.high,
        "si_unit": si_unit(figure.kind),
        "shown": spoken(figure, lengths),
    }


def _asked(name: str, ask: Asked, outcome: Outcome, lengths: Lengths) -> dict[str, Any]:
    value = outcome.values.get(ask.name)
    sd = outcome.spreads.get(ask.name, 0.0)
    number = None if value is None or isinstance(value, str) else float(value)
    return {
        "name": name,
        "says": ask.says,
        "kind": ask.kind,
        "value": value,
        "sd": None if number is None else sd,
        "si_unit": "" if number is None else si_unit(ask.kind),
        "told": ask.name in outcome.told,
        "shown": shown_ask(ask, outcome, lengths),
    }


def shown_ask(ask: Asked, outcome: Outcome, lengths: Lengths = "mm") -> str:
    """What an answer was worked out from, one ask of it, in words; empty where it was left open."""
    value = outcome.values.get(ask.name)
    if value is None or isinstance(value, str):
        return value or ""
    sd = outcome.spreads.get(ask.name, 0.0)
    return spoken(Figure(ask.name, ask.says, float(value), ask.kind, ask.unit, sd), lengths)
