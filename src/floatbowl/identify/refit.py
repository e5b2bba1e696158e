"""The shop's own rates: refitted from confirmed enquiries, and judged on others that were held back."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from floatbowl.identify.assumptions import Assumptions, assumptions_from_json, shipped_assumptions
from floatbowl.identify.learning.answers import AnswerCount, count_answers
from floatbowl.identify.learning.cases import Case, split
from floatbowl.identify.learning.fit import fit_rates, fit_shares, fit_swapped
from floatbowl.identify.learning.loss import SURE_ENOUGH, improved_in, log_losses
from floatbowl.identify.learning.told_of import Heard, from_the_carburettor, lay_out_readings, readings_of
from floatbowl.identify.wear import ErrorModel, error_model_from_json, shipped_error_model
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import VIAS

#: Fewer readings of one way than this leave its rates as they are; so with machines for ``swapped``.
LEAST_READINGS: Final = 50
LEAST_MACHINES: Final = 30
#: Fewer held-back cases than this judge nothing, and the old rates stay.
LEAST_HELD_BACK: Final = 20
#: So many of the fitted cases say which of the refitted rates to take.
MOST_JUDGED: Final = 600


@dataclass(frozen=True, slots=True)
class Refit:
    """What a refit found: ``error_model`` and ``assumptions`` to use from now on, the old ones unless ``better``.

    ``loss_before`` and ``loss_after`` are mean log losses (nats) on the held-back cases; ``improved_in`` is the share
    of resamples in which the new ones do better. ``fitted`` names each refitted rate with its value before and after.
    """

    error_model: ErrorModel
    assumptions: Assumptions
    better: bool
    why: str
    fit_cases: int
    held_back: int
    loss_before: float
    loss_after: float
    improved_in: float
    readings: Mapping[str, int]
    fitted: Mapping[str, tuple[float, float]]
    answers: tuple[AnswerCount, ...]


def refit(
    reference: Reference,
    cases: Sequence[Case],
    error_model: ErrorModel | None = None,
    assumptions: Assumptions | None = None,
    seed: int = 0,
) -> Refit:
    """Refits rates from confirmed cases; the old ones stay unless the new ones do better on held-back cases.

    Three quarters of the cases are fitted, the rest (by a hash of the enquiry's name and ``seed``) held back. Raises
    ``ValueError`` when a case is confirmed as a carburettor that the reference does not hold.
    """
    old = Weigher(reference, error_model, assumptions)
    _refuse_unknown(old, cases)
    fit, held = split(cases, seed)
    heard = readings_of(old, fit)
    new = _taken_in_turn(old, heard, fit)
    fitted = _changed(old, new)
    before, after = log_losses(old, held), log_losses(new, held)
    sure = improved_in(before, after, seed)
    why = _why_not(heard, fitted, len(held), float((before - after).mean()) if held else 0.0, sure)
    kept = old if why else new
    return Refit(
        kept.error_model, kept.assumptions, not why, why or "They do better on the cases held back.",
        len(fit), len(held), float(before.mean()) if held else 0.0, float(after.mean()) if held else 0.0, sure,
        {via: len(heard.get(via, ())) for via in VIAS}, fitted, count_answers(old, cases),
    )  # fmt: skip


def _taken_in_turn(old: Weigher, heard: Mapping[str, list[Heard]], fit: Sequence[Case]) -> Weigher:
    """The rates, then the shares of marks, then what was swapped: each if it foretells the fitted cases better.

    The rates make the readings as likely as can be, which need not make the carburettors so: hence the second look.
    """
    judged_by = fit[:MOST_JUDGED]
    kept, loss = old, float(log_losses(old, judged_by).mean()) if judged_by else 0.0
    for refitted in (_with_rates, _with_shares, _with_swapped):
        found = refitted(kept, heard, fit)
        if found is None:
            continue
        tried = _weigher(old, *found, cases=len(fit))
        tried_loss = float(log_losses(tried, judged_by).mean())
        if tried_loss < loss:
            kept, loss = tried, tried_loss
    return kept


def _weigher(old: Weigher, model: ErrorModel, assumptions: Assumptions, cases: int) -> Weigher:
    before = old.error_model.source, old.assumptions.source
    model_source, source = (
        f"refitted from {cases} confirmed enquiries of this shop, with these as prior: {each}" for each in before
    )
    return Weigher(old.reference, replace(model, source=model_source), replace(assumptions, source=source))


def _refuse_unknown(weigher: Weigher, cases: Sequence[Case]) -> None:
    for case in cases:
        if case.confirmed is not None and case.confirmed not in weigher.catalogue.at:
            raise ValueError(
                f"{case.enquiry.enquiry}: confirmed: {case.confirmed!r} is no carburettor of the pack; "
                "correct the key, or write null for one that is not in the records"
            )


def _with_rates(
    weigher: Weigher, heard: Mapping[str, list[Heard]], _: Sequence[Case]
) -> tuple[ErrorModel, Assumptions] | None:
    enough = {via: readings for via, readings in heard.items() if len(readings) >= LEAST_READINGS}
    model = weigher.error_model
    found: dict[str, Any] = {
        via: fit_rates(lay_out_readings(weigher, readings, via), model.rates(via)) for via, readings in enough.items()
    }
    return (replace(model, **found), weigher.assumptions) if found else None


def _with_shares(
    weigher: Weigher, heard: Mapping[str, list[Heard]], _: Sequence[Case]
) -> tuple[ErrorModel, Assumptions] | None:
    own = {via: from_the_carburettor(readings) for via, readings in heard.items()}
    if sum(map(len, own.values())) < LEAST_READINGS:
        return None
    layouts = [
        (lay_out_readings(weigher, own[via], via, 0.0), weigher.error_model.rates(via)) for via in own if own[via]
    ]
    return weigher.error_model, fit_shares(layouts, weigher.assumptions)


def _with_swapped(
    weigher: Weigher, _: Mapping[str, list[Heard]], cases: Sequence[Case]
) -> tuple[ErrorModel, Assumptions] | None:
    found, machines = fit_swapped(weigher, cases)
    return (weigher.error_model, found) if machines >= LEAST_MACHINES else None


def _changed(old: Weigher, new: Weigher) -> dict[str, tuple[float, float]]:
    """Every rate that is not what it was: before and after."""
    found: dict[str, tuple[float, float]] = {}
    sides: list[tuple[str, Any, Any]] = [("", old.assumptions, new.assumptions)]
    sides += [(f"{via} ", old.error_model.rates(via), new.error_model.rates(via)) for via in VIAS]
    for label, before, after in sides:
        then, now = asdict(before), asdict(after)
        found |= {
            label + name: (then[name], now[name]) for name in then if then[name] != now[name] and name != "source"
        }
    return found


def _why_not(
    heard: Mapping[str, list[Heard]], fitted: Mapping[str, Any], held_back: int, gain: float, sure: float
) -> str:
    """Why the old ones stay; empty when the new ones are better."""
    if not fitted and max(map(len, heard.values()), default=0) < LEAST_READINGS:
        return f"There are too few confirmed readings (fewer than {LEAST_READINGS} of every way they came)."
    if not fitted:
        return "No other rates foretell the fitted cases better."
    if held_back < LEAST_HELD_BACK:
        return f"There are only {held_back} held-back cases to judge by (at least {LEAST_HELD_BACK} are wanted)."
    if gain <= 0:
        return "The new rates do no better on the cases held back."
    if sure < SURE_ENOUGH:
        return f"The gain may be chance: it shows in {sure:.0%} of resamples, and {SURE_ENOUGH:.0%} are wanted."
    return ""


def model_as_json(error_model: ErrorModel, assumptions: Assumptions) -> dict[str, Any]:
    """Both as one JSON object; ``error_model_from_json`` and ``assumptions_from_json`` read it."""
    about = (
        "Rates and shares of one shop, written by 'floatbowl refit'; floatbowl.identify.wear and .assumptions say more."
    )
    ways = {via: asdict(error_model.rates(via)) for via in VIAS}
    return {"about": about, **asdict(assumptions), "source": error_model.source, **ways}


def model_from_json_text(text: str) -> tuple[ErrorModel, Assumptions]:
    """What ``model_as_json`` wrote. Rates it does not name are the shipped ones, so that an older file still serves.

    Raises ``ValueError`` that says what is wrong.
    """
    told = json.loads(text)
    if not isinstance(told, dict):
        raise ValueError("is not an object of rates")
    shipped = model_as_json(shipped_error_model(), shipped_assumptions())
    for name, value in told.items():
        if name in VIAS and isinstance(value, dict):
            shipped[name] = {**shipped[name], **value}
        elif name in shipped:
            _refuse_odd(name, value, shipped[name])
            shipped[name] = value
    return error_model_from_json(shipped), assumptions_from_json(shipped)


def _refuse_odd(name: str, value: Any, usual: Any) -> None:
    if isinstance(usual, float | int) and (isinstance(value, bool) or not isinstance(value, float | int) or value < 0):
        raise ValueError(f"{name} = {value!r} must be a number, 0 or more")
    if isinstance(usual, str | dict) and not isinstance(value, type(usual)):
        raise ValueError(f"{name} = {value!r} must be {'text' if isinstance(usual, str) else 'an object of rates'}")
