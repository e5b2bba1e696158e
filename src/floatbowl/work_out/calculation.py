"""A calculation: what it asks, how it is worked out, and what it answers. Knows no page and no terminal.

How to write one (a module a subject; the module's last line is ``CALCULATIONS = (NAME, ...)``)::

    def _work(*, suction_pa: float, lip_m: float, fuel: str) -> Answer:
        speed_m_s = lifting_speed_m_s(suction_pa, lip_m)
        return Answer(
            says=f"Fuel begins to flow when air passes the nozzle at {speed_m_s:.1f} m/s.",
            figures=(Figure("speed", "Air speed that lifts fuel", speed_m_s, "speed", "m/s"),),
        )

    LIFTING = Calculation(
        key="lifting-speed",
        title="The air speed that lifts fuel",
        asks=(
            Asked("suction_pa", "Suction at the nozzle", "pressure", "kPa", usual=2000, spread=50, how="..."),
            Asked("lip_m", "Height of the lip over the fuel", "length", "mm", usual=0.005, spread=0.0005, how="..."),
            Asked("fuel", "Fuel", choices=("petrol", "E10"), usual="petrol"),
        ),
        work=_work,
        equation="v = sqrt(2 rho_f g z / rho_a)",
        holds="...range of validity in plain words...",
        source="...",
    )

``work`` takes each ask by its name, numbers in SI (turns in turns, angles in degrees, a share as 0 to 1), and raises
``floatbowl.engine.refusal.Refused`` outside its range. It answers for exact figures; the doubt is carried through by
``with_doubt``, which works it out again for slightly other figures: so every ``Figure`` keeps its name and place
whatever the numbers are. A figure that shall have no doubt (a count, a nearest drill) is a row of a ``Table``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from floatbowl.engine.doubt import Doubtful, first_order
from floatbowl.engine.refusal import Refused
from floatbowl.quantities import parse_quantity

#: Said with every answer of a model that has not been held against measurements.
DIRECTION_ONLY: Final = "This model has not been held against measurements: take its direction and size order only."

Told = float | str


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing a calculation needs. ``usual`` and ``spread`` (one standard deviation) are in SI; none: must be told.

    ``kind`` and ``unit`` are those of ``floatbowl.quantities``; ``unit`` is what a bare number is taken in. With
    ``choices`` it is one of those words instead. ``optional`` ones may stay untold and are then left out of ``work``.
    """

    name: str
    says: str
    kind: str = "number"
    unit: str = ""
    usual: Told | None = None
    spread: float = 0.0
    how: str = ""
    choices: tuple[str, ...] = ()
    optional: bool = False
    #: Measured on the very thing in the hand: once anything is told this must be too; its usual figure is an example.
    own: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of an answer, in SI. ``sd`` is filled in by ``with_doubt``."""

    name: str
    says: str
    value: float
    kind: str = "number"
    unit: str = ""
    sd: float = 0.0

    @property
    def doubtful(self) -> Doubtful:
        """The figure with its doubt."""
        return Doubtful(self.value, self.sd)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows beside the figures (nearest drills, likely threads), already written out."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    says: str = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """A line to plot: ``points`` in the units written in the labels; ``here`` is where this case lies."""

    across: str
    up: str
    points: tuple[tuple[float, float], ...]
    here: tuple[float, float] | None = None
    bands: tuple[tuple[float, float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What comes out: one plain sentence first, then figures, perhaps tables and a curve, and what to mind."""

    says: str
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    curve: Curve | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MindThis:
    """What to mind before acting on an answer, and whose rule decides."""

    says: str
    rule: str

    @property
    def defers(self) -> str:
        """Who decides, in a sentence."""
        return self.rule if self.rule.endswith(".") else f"Whose rule decides: {self.rule}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculation:
    """One calculation. ``drawing`` names a line drawing of what to measure; ``validated`` is false for a mere model."""

    key: str
    title: str
    asks: tuple[Asked, ...]
    work: Callable[..., Answer]
    equation: str
    holds: str
    source: str
    about: str = ""
    validated: bool = True
    cautions: tuple[MindThis, ...] = ()
    drawing: str = ""

    def ask(self, name: str) -> Asked:
        """The ask of this name; raises KeyError."""
        return {ask.name: ask for ask in self.asks}[name]


def read(ask: Asked, text: str) -> tuple[Told, float | None]:
    """What was written for one ask, in SI, and its spread if one was written after ``+-`` or a plus-minus sign.

    Raises ValueError that names the ask and says what is wrong.

    >>> level = Asked("level_m", "Float level", "length", "mm")
    >>> read(level, "5/8 +- 1/64") == (0.015875, 0.000396875)
    True
    >>> read(level, "much")
    Traceback (most recent call last):
    ValueError: Float level: 'much' is not a length; write one like 1 1/8 in, .156 in or 28.6 mm
    """
    if ask.choices:
        return _chosen(ask, text), None
    if ask.kind == "text":
        return text.strip(), None
    value, _, spread = text.replace("±", "+-").partition("+-")
    try:
        told = parse_quantity(value.strip(), ask.kind, ask.unit)
        return told, abs(_spread(spread.strip(), ask)) if spread.strip() else None
    except ValueError as wrong:
        raise ValueError(f"{ask.says}: {wrong}") from None


def _spread(text: str, ask: Asked) -> float:
    kind = "temperature step" if ask.kind == "temperature" else ask.kind
    return parse_quantity(text, kind, "K" if ask.kind == "temperature" else ask.unit)


def _chosen(ask: Asked, text: str) -> str:
    wanted = " ".join(text.split()).lower()
    for choice in ask.choices:
        if choice.lower() == wanted:
            return choice
    raise ValueError(f"{ask.says}: {text.strip()!r} is not one of {', '.join(ask.choices)}")


def answered(
    calculation: Calculation, told: Mapping[str, Told], spreads: Mapping[str, float] | None = None
) -> tuple[Answer, Mapping[str, Told]]:
    """The answer with its doubt, and every figure it was worked out from (told, or the usual one).

    Raises ValueError for an unknown or missing ask, ``Refused`` outside the calculation's range.
    """
    values = complete(calculation, told)
    usual_spreads = {ask.name: ask.spread for ask in calculation.asks if ask.name in values}
    return with_doubt(calculation, values, usual_spreads | dict(spreads or {})), values


def complete(calculation: Calculation, told: Mapping[str, Told]) -> dict[str, Told]:
    """What was told, with the usual figure for what was not; raises ValueError naming what is missing."""
    known = {ask.name for ask in calculation.asks}
    if unknown := sorted(set(told) - known):
        raise ValueError(f"{calculation.title} asks for no {', '.join(unknown)}")
    values = {ask.name: told.get(ask.name, ask.usual) for ask in calculation.asks}
    if missing := [ask.says for ask in calculation.asks if values[ask.name] is None and not ask.optional]:
        raise ValueError(f"{calculation.title} needs: {'; '.join(missing)}")
    return {name: value for name, value in values.items() if value is not None}


def with_doubt(calculation: Calculation, values: Mapping[str, Told], spreads: Mapping[str, float]) -> Answer:
    """The answer, each figure with the doubt that the spreads bring, to first order."""
    words = {name: value for name, value in values.items() if isinstance(value, str)}
    numbers = {name: float(value) for name, value in values.items() if not isinstance(value, str)}
    sds = {name: spreads.get(name, 0.0) for name in numbers}

    @cache
    def worked(changed: tuple[tuple[str, float], ...]) -> Answer:
        return calculation.work(**words, **dict(changed))

    def figure_of(name: str) -> Callable[..., float]:
        def value(**changed: float) -> float:
            answer = worked(tuple(changed.items()))
            return next(figure.value for figure in answer.figures if figure.name == name)

        return value

    def doubted(figure: Figure) -> Figure:
        try:
            return replace(figure, sd=first_order(figure_of(figure.name), numbers, sds).sd)
        except StopIteration:
            raise Refused(f"{figure.says} is there for these figures only; its doubt cannot be told") from None

    answer = worked(tuple(numbers.items()))
    return replace(answer, figures=tuple(map(doubted, answer.figures)))
