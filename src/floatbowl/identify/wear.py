"""How marks are misread: the rates of the error model, and the tables one reading makes of them.

The model of a reading, given the true mark, is a small hidden Markov model over the mark's characters. Each character
is *clean* or *worn* (worn ones come in runs); in either state it may be read right, read as another (look-alikes or
sound-alikes first), be given up as ``?``, or leave nothing at all. Between characters a scratch may be read as an
extra one; two neighbours may be exchanged; the start or the end of the mark may be lost outright. The likelihood of a
reading is the exact sum over all ways it could have come about (the forward algorithm: L. R. Rabiner, "A tutorial on
hidden Markov models", Proc. IEEE 77(2), 1989, pp. 262-263).
"""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from itertools import pairwise
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify.numbers import DIGITS_AND_LETTERS, FIRST_DEVICE, Alphabet, Place, Places

Floats = npt.NDArray[np.float64]

#: Every place's emission is multiplied by this, so that long readings do not underflow; taken off again in the end.
PLACE_SCALE: Final = 37.0
#: Share of a device's misreadings that name another device (estimate); the rest are spread over all symbols.
_DEVICE_FOR_DEVICE: Final = 0.8
#: Of the misreadings with a likeness, how many are slips of the finger onto the next key (estimate).
_TYPED: Final = 0.10
_KEY_ROWS: Final = ("1234567890", "QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM")
#: Of the misreadings with a likeness, how many go to any other of the class, digits or letters (estimate).
_ANY_OF_CLASS: Final = 0.22


@dataclass(frozen=True, slots=True)
class Rates:
    """The error model's parameters for one way a reading reaches the shop. All are probabilities.

    ``start_worn``, ``go_worn``, ``stay_worn``: the chain between clean and worn. ``wrong_*``: read as another
    character; ``alike_*``: share of those that go to look-alikes. ``unread_*``: given as ``?``. ``doubt_*``: given as
    one of several, relative to given plainly. ``gone_*``: leaves nothing. ``extra``: an extra character follows;
    ``extra_unread``: of those, given as ``?``. ``swap``: a clean one and the next change places, both being read.
    ``lost_start``, ``lost_more``: the start is lost, and each further character of it. ``lost_end``: everything from
    here on is lost. ``star``: a character is lost where the reader said that some are. ``inverted``, ``lines``: the
    whole is read upside down, or a two-line tag in the wrong order.
    """

    start_worn: float
    go_worn: float
    stay_worn: float
    wrong_clean: float
    wrong_worn: float
    alike_clean: float
    alike_worn: float
    unread_clean: float
    unread_worn: float
    doubt_clean: float
    doubt_worn: float
    gone_clean: float
    gone_worn: float
    extra: float
    swap: float
    lost_start: float
    lost_more: float
    lost_end: float
    star: float
    extra_unread: float
    inverted: float
    lines: float

    def __post_init__(self) -> None:
        for name in (f.name for f in fields(self)):
            value = getattr(self, name)
            if not 0.0 < value < 1.0:
                raise ValueError(f"{name} = {value}: a rate must lie between 0 and 1")
        for state in ("clean", "worn"):
            taken = getattr(self, f"unread_{state}") + getattr(self, f"gone_{state}")
            if taken >= 1.0:
                raise ValueError(f"unread_{state} + gone_{state} = {taken}: must stay below 1")


@dataclass(frozen=True, slots=True)
class ErrorModel:
    """Rates for each way a reading comes (``seen``, ``heard``, ``photo``, ``bench``), and where they are from."""

    seen: Rates
    heard: Rates
    photo: Rates
    bench: Rates
    source: str = ""

    def rates(self, via: str) -> Rates:
        """The rates of one way; an unknown way is taken as ``seen``."""
        found = getattr(self, via, None)
        return found if isinstance(found, Rates) else self.seen


def error_model_from_json(data: dict[str, Any]) -> ErrorModel:
    """An error model from its JSON form (see ``data/wear.json``). Raises ``ValueError`` naming what is wrong."""
    try:
        ways = {via: Rates(**data[via]) for via in ("seen", "heard", "photo", "bench")}
    except (KeyError, TypeError) as fault:
        raise ValueError(f"error model: {fault}; each of seen, heard, photo, bench needs every rate") from fault
    return ErrorModel(**ways, source=str(data.get("source", "")))


@cache
def shipped_error_model() -> ErrorModel:
    """The error model that comes with floatbowl: estimates, to be refitted by the shop."""
    return error_model_from_json(json.loads(_data("wear.json")))


@cache
def alike(by: str, symbols: int) -> Floats:
    """Row-normalised (symbols x symbols) weights of what each character is taken for, by ``eye`` or ``ear``.

    A character without look-alikes, and devices, get rows of their own: devices for other devices.
    """
    weights = np.zeros((symbols, symbols))
    for row in csv.DictReader(_data("lookalikes.csv").splitlines()):
        if row["by"] == by:
            a, b = DIGITS_AND_LETTERS.index(row["a"]), DIGITS_AND_LETTERS.index(row["b"])
            weights[a, b] += float(row["weight"])
            weights[b, a] += float(row["weight"])
    _devices_for_devices(weights)
    for symbol in np.flatnonzero(weights.sum(axis=1) == 0.0):
        weights[symbol] = 1.0
        weights[symbol, symbol] = 0.0
    normalised: Floats = weights / weights.sum(axis=1, keepdims=True)
    return normalised


def _devices_for_devices(weights: Floats) -> None:
    devices = weights.shape[0] - FIRST_DEVICE
    if devices > 1:
        weights[FIRST_DEVICE:, FIRST_DEVICE:] = _DEVICE_FOR_DEVICE / (devices - 1)
        weights[FIRST_DEVICE:, :FIRST_DEVICE] = (1 - _DEVICE_FOR_DEVICE) / FIRST_DEVICE
        np.fill_diagonal(weights[FIRST_DEVICE:, FIRST_DEVICE:], 0.0)


@dataclass(frozen=True, slots=True)
class Tables:
    """One reading turned into numbers for the forward sum.

    ``clean`` and ``worn`` are (symbols x places): probability (times :data:`PLACE_SCALE`) that a character of the mark
    gives what stands at that place. ``gone_clean``, ``gone_worn`` (places + 1): probability that a character leaves
    nothing before that place. ``step`` (places): factor for stepping over a place that no character of the mark gave.
    ``chain``: clean to clean, clean to worn, worn to clean, worn to worn.
    """

    clean: Floats
    worn: Floats
    gone_clean: Floats
    gone_worn: Floats
    step: Floats
    chain: Floats
    rates: Rates

    @property
    def places(self) -> int:
        return int(self.step.shape[0])

    @property
    def log_scale(self) -> float:
        """What to take off a logarithm of a scaled likelihood."""
        return self.places * float(np.log(PLACE_SCALE))


def confusion(rates: Rates, via: str, symbols: int, state: str) -> Floats:
    """Probability that each true character (row) is read as each character (column), given that one is read."""
    wrong, alike_share = getattr(rates, f"wrong_{state}"), getattr(rates, f"alike_{state}")
    uniform = (1.0 - np.eye(symbols)) / (symbols - 1)
    found: Floats = (1 - wrong) * np.eye(symbols)
    found += wrong * (alike_share * likeness(via, symbols) + (1 - alike_share) * uniform)
    return found


@cache
def likeness(via: str, symbols: int) -> Floats:
    """What each character (row) is taken for when it is taken for one like it, for one way a reading comes.

    Look-alikes (by telephone sound-alikes, too, since what is heard was seen by somebody first), the next key when it
    is typed, and now and then any other of its class: digits for digits, letters for letters.
    """
    like = alike("eye", symbols)
    if via == "heard":
        like = 0.5 * like + 0.5 * alike("ear", symbols)
    typed, any_of_class = next_keys(symbols), same_class(symbols)
    return np.asarray((1 - _TYPED - _ANY_OF_CLASS) * like + _TYPED * typed + _ANY_OF_CLASS * any_of_class)


@cache
def next_keys(symbols: int) -> Floats:
    """Row-normalised (symbols x symbols) weights of the keys left and right of each key."""
    weights = np.zeros((symbols, symbols))
    for row in _KEY_ROWS:
        for a, b in pairwise(DIGITS_AND_LETTERS.index(key) for key in row):
            weights[a, b] = weights[b, a] = 1.0
    alone = weights.sum(axis=1) == 0.0
    weights[alone] = same_class(symbols)[alone]
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


@cache
def same_class(symbols: int) -> Floats:
    """Row-normalised (symbols x symbols) even weights over the others of a character's class: digits, letters, rest."""
    weights = np.zeros((symbols, symbols))
    for low, high in ((0, 10), (10, len(DIGITS_AND_LETTERS)), (len(DIGITS_AND_LETTERS), symbols)):
        weights[low:high, low:high] = 1.0
    np.fill_diagonal(weights, 0.0)
    alone = weights.sum(axis=1) == 0.0
    weights[alone] = 1.0 - np.eye(symbols)[alone]
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def tables(places: Places, alphabet: Alphabet, rates: Rates, via: str) -> Tables:
    """The numbers of one reading for the forward sum."""
    symbols, length = alphabet.size, len(places.places)
    clean, worn, step = np.empty((symbols, length)), np.empty((symbols, length)), np.empty(length)
    plain = np.array([j for j, place in enumerate(places.places) if place.kind == "plain"], np.intp)
    given = [place.weights[0][0] for place in places.places if place.kind == "plain"]
    scaled = _confusions(rates, via, symbols)
    clean[:, plain], worn[:, plain] = scaled[0][:, given], scaled[1][:, given]
    step[plain] = _stepping_over(_ANY_PLAIN, rates, symbols)
    for j, place in enumerate(places.places):
        if place.kind != "plain":
            clean[:, j] = _emission(place, scaled[0], rates, "clean")
            worn[:, j] = _emission(place, scaled[1], rates, "worn")
            step[j] = _stepping_over(place, rates, symbols)
    lost = np.array(places.lost, dtype=bool)
    return Tables(
        clean,
        worn,
        np.where(lost, rates.star, rates.gone_clean),
        np.where(lost, rates.star, rates.gone_worn),
        step,
        np.array([1 - rates.go_worn, rates.go_worn, 1 - rates.stay_worn, rates.stay_worn]),
        rates,
    )


#: A place holding one character; which one makes no difference to stepping over it.
_ANY_PLAIN: Final = Place("plain", ((0, 1.0),))


@cache
def _confusions(rates: Rates, via: str, symbols: int) -> tuple[Floats, Floats]:
    """What a plainly read place says of each character, clean and worn, times :data:`PLACE_SCALE`."""
    return _plainly(rates, via, symbols, "clean"), _plainly(rates, via, symbols, "worn")


def _plainly(rates: Rates, via: str, symbols: int, state: str) -> Floats:
    read = 1 - getattr(rates, f"unread_{state}") - getattr(rates, f"gone_{state}")
    return np.asarray(PLACE_SCALE * read * confusion(rates, via, symbols, state))


def _emission(place: Place, plainly: Floats, rates: Rates, state: str) -> Floats:
    if place.kind == "unread":
        return np.full(plainly.shape[0], PLACE_SCALE * getattr(rates, f"unread_{state}"))
    columns = [symbol for symbol, _ in place.weights]
    given: Floats = plainly[:, columns] @ np.array([weight for _, weight in place.weights])
    return np.asarray(given * getattr(rates, f"doubt_{state}")) if place.kind == "set" else given


def _stepping_over(place: Place, rates: Rates, symbols: int) -> float:
    if place.kind == "unread":
        given = rates.extra_unread
    else:
        given = (1 - rates.extra_unread) * sum(weight for _, weight in place.weights) / symbols
    return PLACE_SCALE * (rates.extra * given) + PLACE_SCALE * place.empty


def _data(name: str) -> str:
    return resources.files("floatbowl.identify").joinpath("data", name).read_text(encoding="utf-8")
