"""How well a reading speaks for each hypothesis: which mark was read, where it stands, how it is made and worn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.catalogue import NOT_TOLD, Catalogue
from floatbowl.identify.compiled import Numbers
from floatbowl.identify.numbers import Places, places_of
from floatbowl.identify.spoken import by_carburettor
from floatbowl.identify.wear import ErrorModel, Floats
from floatbowl.reference.facts import FORMS, ROLES
from floatbowl.reference.observed import PLACE_BOOK, Reading

#: Share of numbers nobody recorded that follow no maker's grammar: foundry and pattern numbers (estimate).
_NO_GRAMMAR: Final = 0.6
#: Of the others on a carburettor, how many follow its own maker's grammar; the rest are any maker's (estimate).
_OWN_GRAMMAR: Final = 0.8


@dataclass(frozen=True, slots=True)
class ReadingLikelihood:
    """P(reading | hypothesis) up to one factor, and the best mark on each recorded carburettor for the explanation."""

    reading: Reading
    values: Floats
    by_mark: Floats


def reading_likelihood(
    catalogue: Catalogue, reading: Reading, model: ErrorModel, assumptions: Assumptions
) -> ReadingLikelihood | None:
    """Weighs one reading against every hypothesis; ``None`` when the reading holds no character at all.

    For a carburettor it is the mixture over its marks (by role, place and form) and over numbers nobody recorded;
    for a sibling the identifying mark is one missing beside its own; for the rest it is any number of the maker.
    """
    places = places_of(reading, catalogue.alphabet)
    if not places.places:
        return None
    rates = model.rates(reading.via)
    by_mark = catalogue.index.likelihoods(places, reading.via, rates)
    grammar = catalogue.unlisted.likelihoods(places, reading.text, reading.via, rates)
    recorded, weights = catalogue.recorded, _kind_weights(catalogue, reading, places, assumptions)
    letters = catalogue.unlisted.check_factors(places, reading.text)
    beside = catalogue.sibling_numbers.likelihoods(places, reading.via, rates, by_mark, letters)
    own, castings, sibling = _spoken(catalogue, weights, by_mark, beside)
    elsewhere = _elsewhere(catalogue, grammar)
    unrecorded = elsewhere[catalogue.maker_of[:recorded]]
    rest = castings + _unrecorded_share(catalogue, reading, assumptions) * unrecorded
    values = np.empty(catalogue.hypotheses)
    values[:recorded] = own + rest
    values[catalogue.siblings] = sibling + rest
    values[2 * recorded :] = _of_makers(catalogue, grammar, elsewhere, assumptions) * _place_unknown(catalogue, reading)
    values[2 * recorded :] += _castings_of_makers(catalogue, castings)
    return ReadingLikelihood(reading, values, by_mark)


def _spoken(catalogue: Catalogue, weights: Floats, by_mark: Floats, beside: Floats) -> tuple[Floats, Floats, Floats]:
    """For each recorded carburettor: its identifying marks, its other marks, and an unlisted sibling's number."""
    rows, recorded = catalogue.rows, catalogue.recorded

    def summed(which: slice, mark: Numbers, likelihoods: Floats) -> Floats:
        of = rows.hypothesis[which], mark, rows.share[which], rows.kind[which]
        return np.asarray(by_carburettor(*of, weights, likelihoods, recorded))

    own, others = rows.identifying, rows.others
    return (
        summed(own, rows.mark[own], by_mark),
        summed(others, rows.mark[others], by_mark),
        summed(own, catalogue.sibling_numbers.number_of, beside),
    )


def _of_makers(catalogue: Catalogue, grammar: Floats, elsewhere: Floats, assumptions: Assumptions) -> Floats:
    """Unlisted carburettors of each maker: their own number, or one of no grammar."""
    return assumptions.read_identifies * grammar + (1 - assumptions.read_identifies) * elsewhere


def _castings_of_makers(catalogue: Catalogue, castings: Floats) -> Floats:
    """Unlisted carburettors of a maker bear that maker's foundry numbers, too; ``castings`` is by recorded one."""
    size = len(catalogue.makers) + 1
    maker = catalogue.maker_of[: catalogue.recorded]
    spoken = np.bincount(maker, catalogue.share * castings, minlength=size)
    everyone = np.bincount(maker, catalogue.share, minlength=size)
    return np.asarray(spoken / np.maximum(everyone, 1e-300))


def _kind_weights(catalogue: Catalogue, reading: Reading, places: Places, assumptions: Assumptions) -> Floats:
    """How likely it is that just a mark of each kind was read, given a carburettor that bears one."""
    role, part, form, separators = catalogue.rows.kinds.T
    weights: Floats = _role_shares(reading, assumptions)[role]
    if reading.part and reading.part != PLACE_BOOK:
        told = _place(catalogue.parts, reading.part)
        weights *= _told_right(part, told, len(catalogue.parts), assumptions.part_told_right)
    if reading.form in FORMS:
        weights *= _told_right(form, FORMS.index(reading.form), len(FORMS), assumptions.form_told_right)
    if places.separators:
        same = np.array([s == places.separators for s in catalogue.separator_sets])
        weights *= np.where(same, assumptions.same_separators, 1 - assumptions.same_separators)[separators]
    return weights


def _role_shares(reading: Reading, assumptions: Assumptions) -> Floats:
    shares = np.array([assumptions.read_role(role) for role in ROLES])
    if reading.part == PLACE_BOOK:
        others = np.array([role != "cross" for role in ROLES])
        shares = np.where(others, shares * (1 - assumptions.book_cross), assumptions.book_cross)
    return shares


def _told_right(column: np.ndarray, told: int, choices: int, right: float) -> Floats:
    """Factor for a place or form told: right, another, or not recorded."""
    choices = max(2, choices)
    factor = np.where(column == told, right, (1 - right) / (choices - 1))
    return np.where(column == NOT_TOLD, 1.0 / choices, factor)


def _place(names: tuple[str, ...], name: str) -> int:
    return names.index(name) if name in names else -2


def _place_unknown(catalogue: Catalogue, reading: Reading) -> float:
    """The same factors for a mark nobody recorded: any place, any form."""
    factor = 1.0
    if reading.part and reading.part != PLACE_BOOK:
        factor /= max(2, len(catalogue.parts))
    if reading.form in FORMS:
        factor /= len(FORMS)
    return factor


def _unrecorded_share(catalogue: Catalogue, reading: Reading, assumptions: Assumptions) -> Floats:
    """How likely the number read is one nobody recorded, for each recorded carburettor."""
    shares = _role_shares(reading, assumptions)
    rest: Floats = 1.0 - catalogue.bears @ shares
    return np.maximum(rest, assumptions.read_elsewhere) * _place_unknown(catalogue, reading)


def _elsewhere(catalogue: Catalogue, unlisted: Floats) -> Floats:
    """P(reading | some number that nobody recorded), on a carburettor of each maker, then of none that is known."""
    anyones = unlisted[:-1].sum() / max(1, len(catalogue.makers))
    own = np.append(_OWN_GRAMMAR * unlisted[:-1] + (1 - _OWN_GRAMMAR) * anyones, anyones)
    return np.asarray(_NO_GRAMMAR * unlisted[-1] + (1 - _NO_GRAMMAR) * own)


@dataclass(frozen=True, slots=True)
class Spoken:
    """What one reading may be of, given the carburettor: a mark of it, or a number nobody recorded.

    P(reading | carburettor) is ``weight`` times the marks' likelihoods, summed, plus ``unrecorded`` times
    ``elsewhere``. ``mark`` holds places in the index's compiled order.
    """

    places: Places
    mark: Numbers
    role: Numbers
    weight: Floats
    unrecorded: float
    elsewhere: float


def spoken_by(
    catalogue: Catalogue, reading: Reading, hypothesis: int, model: ErrorModel, assumptions: Assumptions
) -> Spoken | None:
    """The mixture behind one reading of one recorded carburettor; ``None`` when the reading holds no character."""
    places = places_of(reading, catalogue.alphabet)
    if not places.places:
        return None
    rows = catalogue.rows
    own = np.flatnonzero(rows.hypothesis == hypothesis)
    grammar = catalogue.unlisted.likelihoods(places, reading.text, reading.via, model.rates(reading.via))
    return Spoken(
        places,
        rows.mark[own],
        rows.role[own],
        rows.share[own] * _kind_weights(catalogue, reading, places, assumptions)[rows.kind[own]],
        float(_unrecorded_share(catalogue, reading, assumptions)[hypothesis]),
        float(_elsewhere(catalogue, grammar)[catalogue.maker_of[hypothesis]]),
    )
