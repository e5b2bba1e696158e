"""Which of a pack's marks photographs show: what was seen of the line, asked for every mark's text.

Two models answer for each mark, and their mean counts. The lattice: how likely the pictures are when the plate bears
just this text, separators as they are or left out of account. The weighing's error model, on the cells: the plate may
have lost characters or been struck again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from floatbowl.photo.alphabet import SEPARATORS, as_cut, without_separators

if TYPE_CHECKING:
    from floatbowl.identify.weigh import Weigher
    from floatbowl.photo.reading import PhotoReading
    from floatbowl.reference.facts import Mark
    from floatbowl.reference.observed import Cell

Floats = npt.NDArray[np.float64]
#: Rows of a ranking at most.
MOST: Final = 50
#: How far the lattice is believed over the cells weighed with wear, and how often separators are as in the records.
LATTICE_SHARE: Final = 0.9
AS_RECORDED: Final = 0.7
#: Chance that the plate bears none of the marks, and how many characters are equally likely at a place of a number that
#: nobody recorded (estimates).
UNRECORDED: Final = 0.1
AT_A_PLACE: Final = 20.0


class Ranking:
    """A pack's identifying marks, ready to be ranked. Carburettors that share a mark rank side by side.

    A number whose mark counts only together with a device (``{RING}``) may stand on a plate with that word before it.
    """

    def __init__(self, weigher: Weigher) -> None:
        from floatbowl.identify.marks import MarkIndex

        self.rates = weigher.error_model.rates("photo")
        self.rows_of: dict[str, list[tuple[str, str]]] = {}
        #: Texts as they may stand on a plate, each with the number it counts for (its place in ``rows_of``).
        self.numbers: dict[str, int] = {}
        places: dict[str, int] = {}
        for text, mark in _as_they_stand(weigher.reference.marks):
            number = as_cut(mark.text)
            rows = self.rows_of.setdefault(number, [])
            if (mark.text, mark.carburettor) not in rows:
                rows.append((mark.text, mark.carburettor))
            self.numbers.setdefault(text, places.setdefault(number, len(places)))
        self.texts = list(self.numbers)
        self.index = MarkIndex(self.texts, error_model=weigher.error_model) if self.texts else None

    def chances(self, found: PhotoReading) -> Floats:
        """The probability of each number in ``rows_of``, every text as likely as another beforehand; what is missing to
        1 is the chance that the plate bears none of them."""
        with_separators = found.lattice.scores(self.texts)
        without = found.lattice.scores_of_numbers(self.texts)
        seen = np.logaddexp(with_separators + np.log(AS_RECORDED), without + np.log(1 - AS_RECORDED))
        chances = LATTICE_SHARE * share_of(seen) + (1 - LATTICE_SHARE) * self._worn(found, share_of(seen))
        by_number = np.bincount(list(self.numbers.values()), chances, minlength=len(self.rows_of))
        return np.asarray(by_number * self._recorded(seen))

    def _worn(self, found: PhotoReading, otherwise: Floats) -> Floats:
        """Shares by the weighing's error model on the cells."""
        from floatbowl.identify.numbers import places_of
        from floatbowl.reference.observed import Reading

        assert self.index is not None
        places = places_of(Reading(cells=without_dividers(found.cells), via="photo"), self.index.alphabet)
        if not places.places:
            return otherwise
        worn = np.empty(len(self.texts))
        worn[self.index.order] = self.index.likelihoods(places, "photo", self.rates)
        return np.asarray(worn / max(float(worn.sum()), 1e-300))

    def _recorded(self, seen: Floats) -> float:
        """The chance that the plate bears one of the marks: how well they fit against any number at all."""
        characters = np.array([len(without_separators(text)) for text in self.texts])
        fit = np.logaddexp.reduce(seen + characters * np.log(AT_A_PLACE)) - np.log(len(self.texts))
        odds = np.exp(np.clip(fit, -50, 50)) * (1 - UNRECORDED) / UNRECORDED
        return float(odds / (1 + odds))

    def rows(self, found: PhotoReading) -> list[dict[str, Any]]:
        """The likeliest marks with their carburettors, as a result lists them."""
        if not self.texts:
            return []
        chances = self.chances(found)
        numbers = list(self.rows_of.values())
        rows: list[dict[str, Any]] = []
        for at in np.argsort(-chances, kind="stable")[:MOST]:
            bearers = numbers[at]
            rows += [
                {"text": text, "carburettor": carburettor, "probability": round(float(chances[at]) / len(bearers), 6)}
                for text, carburettor in bearers
            ]
        return rows[:MOST]


def _as_they_stand(marks: Iterable[Mark]) -> Iterator[tuple[str, Mark]]:
    """Each identifying mark's text; those that count only with a device also with its word before them."""
    marks = list(marks)
    devices = {(m.carburettor, m.with_): m.text.strip("{} ").upper() for m in marks if m.with_ and "{" in m.text}
    for mark in marks:
        text = as_cut(mark.text)
        if mark.role == "identifies" and without_separators(text):
            yield text, mark
            if mark.with_ and "{" not in mark.text and (mark.carburettor, mark.with_) in devices:
                yield as_cut(f"{devices[mark.carburettor, mark.with_]} {text}"), mark


def without_dividers(cells: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """Cells as the weighing takes them: where a stroke, dash, dot or space stands, no character does."""
    return tuple(tuple(("" if text in SEPARATORS else text, chance) for text, chance in cell) for cell in cells)


def share_of(scores: Floats) -> Floats:
    """Logarithms as shares of one."""
    chances = np.exp(scores - scores.max())
    return np.asarray(chances / chances.sum())
