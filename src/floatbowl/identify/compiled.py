"""Marks as symbols, split into beginnings and ends, ready for the forward sum."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify import forward
from floatbowl.identify.wear import Floats, Rates, Tables

Ints = npt.NDArray[np.int32]
Numbers = npt.NDArray[np.intp]
Symbols = npt.NDArray[Any]
#: End lengths tried for marks of each length; the one with the fewest rows to compute is taken.
_END_LENGTHS: Final = (3, 2, 4, 5, 6)


def scalars_of(rates: Rates) -> Floats:
    """The rates that the forward sum takes as plain numbers, in its order (see ``forward``)."""
    return np.array(
        [rates.extra, rates.swap, rates.lost_start, rates.lost_more, rates.lost_end, rates.start_worn,
         rates.swap / (1.0 - rates.gone_clean) ** 2]
    )  # fmt: skip


class CompiledMarks:
    """Marks (symbols, padded with the type's largest value) compiled for the forward sum.

    ``order[i]`` is the row of ``symbols`` that stands at place ``i`` of the results.
    """

    def __init__(self, symbols: Symbols, lengths: Ints) -> None:
        self._cut = _Cut(symbols, lengths, _end_lengths(symbols, lengths))
        self.order = self._cut.order

    def sum(self, tables: Tables) -> Floats:
        """Scaled likelihoods of one reading for every mark, in compiled order."""
        cut, rates = self._cut, tables.rates
        out = np.empty(self.order.shape[0])
        scratch = np.zeros((cut.ends[1].shape[0], forward.vector_length(tables.places)))
        forward.all_marks(
            *cut.beginnings, cut.first, cut.end_of, *cut.ends, tables.clean, tables.worn, tables.gone_clean,
            tables.gone_worn, tables.step, tables.chain, scalars_of(rates), scratch, out,
        )  # fmt: skip
        return out


class _Cut:
    """Marks split into distinct beginnings and ends, the ends as long as ``end_lengths`` says."""

    def __init__(self, symbols: Symbols, lengths: Ints, end_lengths: Ints) -> None:
        count, length = lengths.shape[0], int(end_lengths.max(initial=1))
        start_lengths = lengths - end_lengths
        column = np.arange(symbols.shape[1])
        starts = np.where(column < start_lengths[:, None], symbols, _padding(symbols))
        take = lengths[:, None] - 1 - np.arange(length)
        reversed_ends = np.where(
            take >= start_lengths[:, None],
            np.take_along_axis(symbols, np.maximum(take, 0).astype(np.intp), axis=1) if count else _padding(symbols),
            _padding(symbols),
        ).astype(symbols.dtype)
        ends, end_of = _distinct(reversed_ends)
        beginnings, start_of = _distinct(starts[:, : max(1, symbols.shape[1] - 1)])
        order = np.lexsort((end_of, start_of))
        self.order: Ints = order.astype(np.int32)
        self.end_of: Ints = end_of[order].astype(np.int32)
        self.first: Ints = np.searchsorted(start_of[order], np.arange(len(beginnings) + 1)).astype(np.int32)
        self.beginnings = _walk(beginnings)
        self.ends = _walk(ends)


def _end_lengths(symbols: Symbols, lengths: Ints) -> Ints:
    """How long an end to cut off marks of each length, so that few rows have to be computed in all."""
    best = np.minimum(lengths, _END_LENGTHS[0]).astype(np.int32)
    for length in np.unique(lengths):
        chosen = lengths == length
        rows = symbols[chosen, :length]
        choices = [end for end in _END_LENGTHS if end < length] or [int(length)]
        best[chosen] = min(choices, key=lambda end: _rows_to_compute(rows, end))
    return best


def _rows_to_compute(rows: Symbols, end: int) -> int:
    """Distinct beginnings plus distinct ends, when ends of this length are cut off."""
    cut = rows.shape[1] - end
    return sum(_count_distinct(np.ascontiguousarray(side)) for side in (rows[:, :cut], rows[:, cut:]) if side.shape[1])


def _count_distinct(rows: Symbols) -> int:
    return int(np.unique(rows.view(np.dtype((np.void, _width(rows))))).size)


def _distinct(rows: Symbols) -> tuple[Symbols, Ints]:
    """Distinct rows, sorted, and each row's place among them."""
    if not rows.shape[0]:
        return rows, np.zeros(0, np.int32)
    packed = np.ascontiguousarray(rows).view(np.dtype((np.void, _width(rows)))).ravel()
    # Unlike texts, void keys are compared byte by byte to the end.
    found, inverse = np.unique(packed, return_inverse=True)
    return found.view(rows.dtype).reshape(-1, rows.shape[1]), inverse.astype(np.int32).ravel()


def _walk(rows: Symbols) -> tuple[Symbols, Ints, Ints]:
    """Sorted rows with their lengths and how many first symbols each shares with the row before."""
    lengths = (rows != _padding(rows)).sum(axis=1).astype(np.int32)
    shared = np.zeros(rows.shape[0], np.int32)
    if rows.shape[0] > 1:
        alike = np.cumprod(rows[1:] == rows[:-1], axis=1).sum(axis=1)
        shared[1:] = np.minimum(alike, np.minimum(lengths[1:], lengths[:-1]))
    return rows, lengths, shared


def _padding(symbols: Symbols) -> int:
    return int(np.iinfo(symbols.dtype).max)


def _width(rows: Symbols) -> int:
    return int(rows.shape[1] * rows.dtype.itemsize)
