"""All marks of a reference, compiled so that one reading is weighed against every one of them at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from floatbowl.identify.compiled import CompiledMarks
from floatbowl.identify.encoded import encode
from floatbowl.identify.numbers import (
    Alphabet,
    Places,
    devices_in,
    inverted,
    lines_swapped,
    places_of_text,
)
from floatbowl.identify.wear import PLACE_SCALE, ErrorModel, Floats, Rates, Tables, shipped_error_model, tables


class MarkIndex:
    """Distinct marks, compiled for the forward sum.

    ``marks`` are texts, each with at least one character; ``marks[order[i]]`` stands at place ``i`` of the compiled
    order, which is the order of :meth:`likelihoods`. Raises ``ValueError`` when a mark holds nothing to compare.
    Memory: about 100 bytes a mark.
    """

    def __init__(
        self, marks: Sequence[str], alphabet: Alphabet | None = None, error_model: ErrorModel | None = None
    ) -> None:
        self.alphabet = alphabet if alphabet is not None else Alphabet(devices_in(marks))
        self.error_model = error_model or shipped_error_model()
        symbols, lengths = encode(marks, self.alphabet)
        if lengths.size and int(lengths.min()) == 0:
            raise ValueError(f"mark {marks[int(lengths.argmin())]!r} holds no letter, digit or device to compare")
        self._compiled = CompiledMarks(symbols, lengths)
        #: The marks as they were handed in.
        self.marks = marks
        #: ``order[i]``: which of the marks handed in stands at place ``i`` of the likelihoods.
        self.order = self._compiled.order
        #: How many symbols each mark has, in compiled order.
        self.lengths = lengths[self.order]

    def __len__(self) -> int:
        return int(self.order.shape[0])

    def likelihoods(self, places: Places, via: str = "seen", rates: Rates | None = None) -> Floats:
        """P(reading | mark) for every mark in compiled order, up to one factor that depends on the reading alone.

        The reading may have been taken upside down, or a two-line tag in the wrong order; both are weighed with their
        rates. The factor is ``wear.PLACE_SCALE`` to the number of places.
        """
        return over_orders(places, rates or self.error_model.rates(via), lambda p, r: self._straight(p, via, r))

    def log_likelihoods(self, reading: str, via: str = "seen") -> Floats:
        """Natural logarithm of P(reading | mark) for every mark, in the order the marks were handed in.

        >>> index = MarkIndex(["K36/118", "K36/113"])
        >>> best = index.log_likelihoods("K36/11[83]")
        >>> bool(best[0] > best[1])
        True
        """
        places = places_of_text(reading, self.alphabet)
        logs: Floats = np.empty(len(self))
        with np.errstate(divide="ignore"):
            logs[self.order] = np.log(self.likelihoods(places, via))
        return logs - len(places.places) * float(np.log(PLACE_SCALE))

    def nearest(self, reading: str, via: str = "seen") -> tuple[int, float]:
        """The likeliest mark for a reading (its place among the marks handed in), and its log-likelihood.

        >>> MarkIndex(["K36/118", "206-D-3"]).nearest("2O6-?-3")[0]
        1
        """
        places = places_of_text(reading, self.alphabet)
        found = self.likelihoods(places, via)
        best = int(found.argmax())
        return int(self.order[best]), float(np.log(found[best])) - len(places.places) * float(np.log(PLACE_SCALE))

    def sum(self, tables: Tables) -> Floats:
        """The bare forward sum for tables made elsewhere, in compiled order."""
        return self._compiled.sum(tables)

    def _straight(self, places: Places, via: str, rates: Rates) -> Floats:
        return self._compiled.sum(tables(places, self.alphabet, rates, via))


def over_orders(places: Places, rates: Rates, straight: Callable[[Places, Rates], Floats]) -> Floats:
    """The likelihoods of a reading that may have been read upside down or with its lines exchanged."""
    turned, orders = inverted(places), lines_swapped(places)
    share_turned = rates.inverted if turned is not None else 0.0
    share_orders = rates.lines if orders else 0.0
    total = straight(places, rates)
    if share_turned or share_orders:
        total *= 1.0 - share_turned - share_orders
    if turned is not None:
        total += share_turned * straight(turned, rates)
    for order in orders:
        total += share_orders / len(orders) * straight(order, rates)
    return total
