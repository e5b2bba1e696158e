"""The forward sum over every way a reading can have come from a mark, compiled, for all marks at once.

Each mark is split into a beginning and an end of a few characters. Forward rows are computed once per distinct
beginning (walking a sorted list, so that shared first characters are computed once), backward rows once per distinct
end, and a mark's likelihood is the dot product of the two: exact, since the sum over all ways passes through the cut.
Exchanged neighbours that straddle the cut, a lost start that reaches into the end, and a lost end that began in the
beginning have entries of their own in both vectors.
"""

from __future__ import annotations

import numpy as np
from numba import njit

#: Order of the scalars handed to the kernels. ``EXCHANGED`` is ``SWAP`` given that both neighbours leave something.
EXTRA, SWAP, LOST_START, LOST_MORE, LOST_END, START_WORN, EXCHANGED = range(7)
_SUMS = {"reassoc", "contract", "nsz"}


def vector_length(places: int) -> int:
    """Length of the vectors whose dot product is a likelihood: two states, straddling swaps, lost end, lost start;
    filled up with zeros to whole bundles of eight, which is quicker than a remainder."""
    return -(-(2 * (places + 1) + max(places - 1, 0) + 2) // 8) * 8


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def _weighted(clean, gone_c, scalars):  # type: ignore[no-untyped-def]
    """What a clean character gives when it stays in its place, and when it is exchanged with its neighbour."""
    keep = 1.0 - scalars[SWAP]
    return keep * clean, keep * gone_c, scalars[EXCHANGED] * clean


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def _steps(chain, scalars):  # type: ignore[no-untyped-def]
    """The chain's steps clean to clean, clean to worn, worn to clean, worn to worn, when neither an extra character
    follows nor the rest is lost."""
    return chain * ((1.0 - scalars[EXTRA]) * (1.0 - scalars[LOST_END]))


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def _started(deepest, scalars):  # type: ignore[no-untyped-def]
    """Probability that just so many first characters were lost, and that at least so many were, given some."""
    just, least = np.zeros(deepest + 1), np.ones(deepest + 1)
    just[0] = 1.0 - scalars[LOST_START]
    for i in range(1, deepest + 1):
        just[i] = scalars[LOST_START] * least[i - 1] * (1.0 - scalars[LOST_MORE])
        least[i] = least[i - 1] * scalars[LOST_MORE]
    return just, least


@njit(cache=True, fastmath=_SUMS, error_model="numpy", forceinline=True)
def _row(i, y, y_before, begun, rc, rw, lost, clean, worn, gone_c, gone_w, exchanged, either, step, steps, scalars):  # type: ignore[no-untyped-def]
    """Row ``i`` (``i`` characters of the mark used up) from row ``i - 1`` and, for exchanged neighbours, ``i - 2``.

    One pass: what arrives at ``j`` characters read, then the extra characters that may follow, then the chain's step.
    Row ``i`` stands at ``i + 2``, below two rows of nothing, with which nothing is exchanged. What the pass reads again
    is kept at hand, and ``i`` is unsigned: both halve its time.
    """
    n = step.shape[0]
    cc, cw, wc, ww = steps[0], steps[1], steps[2], steps[3]
    next_c, next_w = rc[i + 1, 0], rw[i + 1, 0]
    here_c = next_c * gone_c[0] + begun * (1.0 - scalars[START_WORN])
    here_w = next_w * gone_w[0] + begun * scalars[START_WORN]
    rc[i + 2, 0] = here_c * cc + here_w * wc
    rw[i + 2, 0] = here_c * cw + here_w * ww
    if n > 0:
        last_c, last_w = next_c, next_w
        next_c, next_w = rc[i + 1, 1], rw[i + 1, 1]
        here_c = last_c * clean[y, 0] + next_c * gone_c[1] + step[0] * here_c
        here_w = last_w * worn[y, 0] + next_w * gone_w[1] + step[0] * here_w
        rc[i + 2, 1] = here_c * cc + here_w * wc
        rw[i + 2, 1] = here_c * cw + here_w * ww
    for j in range(2, n + 1):
        last_c, last_w = next_c, next_w
        next_c, next_w = rc[i + 1, j], rw[i + 1, j]
        swapped = rc[i, j - 2] * either[y, j - 2] * exchanged[y_before, j - 1]
        here_c = last_c * clean[y, j - 1] + next_c * gone_c[j] + swapped + step[j - 1] * here_c
        here_w = last_w * worn[y, j - 1] + next_w * gone_w[j] + step[j - 1] * here_w
        rc[i + 2, j] = here_c * cc + here_w * wc
        rw[i + 2, j] = here_c * cw + here_w * ww
    lost[i + 2] = lost[i + 1] + scalars[LOST_END] * (1.0 - scalars[EXTRA]) * (here_c + here_w)


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def _ends(symbols, lengths, shared, clean, worn, gone_c, gone_w, step, chain, scalars, out):  # type: ignore[no-untyped-def]
    """Backward vectors of every distinct end. ``symbols`` hold each end reversed, sorted; ``shared`` how many symbols
    each has in common with the one before."""
    n = step.shape[0]
    longest = symbols.shape[1]
    bc, bw = np.zeros((longest + 1, n + 1)), np.zeros((longest + 1, n + 1))
    ic, iw = np.zeros((longest + 1, n + 1)), np.zeros((longest + 1, n + 1))
    to_c, to_w = np.zeros((longest + 1, n + 1)), np.zeros((longest + 1, n + 1))
    tau, end, more = scalars[EXCHANGED], scalars[LOST_END], scalars[LOST_MORE]
    stop = 1.0 - scalars[EXTRA]
    bc[0, n] = 1.0
    bw[0, n] = 1.0
    _chain_back(bc[0], ic[0], stop, step)
    _chain_back(bw[0], iw[0], stop, step)
    for s in range(lengths.shape[0]):
        q = lengths[s]
        for r in range(shared[s] + 1, q + 1):
            y = symbols[s, r - 1]
            keep = 1.0 if r < 2 else 1.0 - scalars[SWAP]
            for j in range(n + 1):
                via_c = gone_c[j] * ic[r - 1, j]
                via_w = gone_w[j] * iw[r - 1, j]
                if j < n:
                    via_c += clean[y, j] * ic[r - 1, j + 1]
                    via_w += worn[y, j] * iw[r - 1, j + 1]
                via_c *= keep
                if r >= 2 and j < n - 1:
                    via_c += tau * clean[symbols[s, r - 2], j] * clean[y, j + 1] * ic[r - 2, j + 2]
                to_c[r, j] = via_c
                to_w[r, j] = via_w
                bc[r, j] = (1.0 - end) * (chain[0] * via_c + chain[1] * via_w)
                bw[r, j] = (1.0 - end) * (chain[2] * via_c + chain[3] * via_w)
            bc[r, n] += end
            bw[r, n] += end
            _chain_back(bc[r], ic[r], stop, step)
            _chain_back(bw[r], iw[r], stop, step)
        y = symbols[s, q - 1]
        for j in range(n + 1):
            out[s, j] = to_c[q, j]
            out[s, n + 1 + j] = to_w[q, j]
        at = 2 * (n + 1)
        for j in range(n - 1):
            out[s, at + j] = clean[y, j] * ic[q - 1, j + 2]
        at += max(n - 1, 0)
        out[s, at] = 1.0
        started = 0.0
        for r in range(1, q + 1):
            leave = 1.0 if r == q else 1.0 - more
            begin = (1.0 - scalars[START_WORN]) * ic[q - r, 0] + scalars[START_WORN] * iw[q - r, 0]
            started += scalars[LOST_START] * more ** (r - 1) * leave * begin
        out[s, at + 1] = started


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def _chain_back(row, arrived, stop, step):  # type: ignore[no-untyped-def]
    n = step.shape[0]
    arrived[n] = stop * row[n]
    for j in range(n - 1, -1, -1):
        arrived[j] = stop * row[j] + step[j] * arrived[j + 1]


@njit(cache=True, fastmath=_SUMS, error_model="numpy", forceinline=True)
def _beginning(p, y, rc, rw, lost, least, exchanged, vector):  # type: ignore[no-untyped-def]
    """The forward vector of one beginning of ``p`` characters, the last being ``y``, from its rows."""
    n = exchanged.shape[1]
    for j in range(n + 1):
        vector[j] = rc[p + 2, j]
        vector[n + 1 + j] = rw[p + 2, j]
    at = 2 * (n + 1)
    for j in range(n - 1):
        vector[at + j] = rc[p + 1, j] * exchanged[y, j + 1]
    at += max(n - 1, 0)
    vector[at] = lost[p + 2]
    vector[at + 1] = least[p]


@njit(cache=True, fastmath=_SUMS, error_model="numpy", forceinline=True)
def _products(vector, ends, end_of, first, stop, out):  # type: ignore[no-untyped-def]
    """Dot products of a beginning's vector with the ends of its marks, four marks at a time: twice as quick."""
    size = vector.shape[0]
    m = first
    while m + 3 < stop:
        a, b, c, d = np.uint64(end_of[m]), np.uint64(end_of[m + 1]), np.uint64(end_of[m + 2]), np.uint64(end_of[m + 3])
        of_a, of_b, of_c, of_d = 0.0, 0.0, 0.0, 0.0
        for k in range(size):
            of_a += vector[k] * ends[a, k]
            of_b += vector[k] * ends[b, k]
            of_c += vector[k] * ends[c, k]
            of_d += vector[k] * ends[d, k]
        out[m], out[m + 1], out[m + 2], out[m + 3] = of_a, of_b, of_c, of_d
        m += 4
    while m < stop:
        a = np.uint64(end_of[m])
        of_a = 0.0
        for k in range(size):
            of_a += vector[k] * ends[a, k]
        out[m] = of_a
        m += 1


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def all_marks(  # type: ignore[no-untyped-def]
    p_symbols,
    p_lengths,
    p_shared,
    p_first,
    end_of,
    e_symbols,
    e_lengths,
    e_shared,
    clean,
    worn,
    gone_c,
    gone_w,
    step,
    chain,
    scalars,
    ends,
    out,
):
    """Scaled likelihoods of every mark, in compiled order. ``ends`` is scratch space."""
    n = step.shape[0]
    _ends(e_symbols, e_lengths, e_shared, clean, worn, gone_c, gone_w, step, chain, scalars, ends)
    deepest = p_symbols.shape[1]
    rc, rw = np.zeros((deepest + 3, n + 1)), np.zeros((deepest + 3, n + 1))
    lost = np.zeros(deepest + 3)
    stays, gone, exchanged = _weighted(clean, gone_c, scalars)
    steps = _steps(chain, scalars)
    just, least = _started(deepest, scalars)
    none, start = p_symbols.dtype.type(0), np.uint64(0)
    _row(start, none, none, just[0], rc, rw, lost, stays, worn, gone, gone_w, exchanged, clean, step, steps, scalars)
    vector = np.zeros(ends.shape[1])
    for b in range(p_lengths.shape[0]):
        p = p_lengths[b]
        for used in range(p_shared[b] + 1, p + 1):
            y, before, i = p_symbols[b, used - 1], p_symbols[b, max(used - 2, 0)], np.uint64(used)
            begun = just[used]
            _row(i, y, before, begun, rc, rw, lost, stays, worn, gone, gone_w, exchanged, clean, step, steps, scalars)
        last = p_symbols[b, p - 1] if p > 0 else none
        _beginning(p, last, rc, rw, lost, least, exchanged, vector)
        _products(vector, ends, end_of, p_first[b], p_first[b + 1], out)


@njit(cache=True, fastmath=_SUMS, error_model="numpy")
def each_pair(marks, lengths, table, at, same, like, totals, kinds, empty, lost, emission, chain, scalars, out):  # type: ignore[no-untyped-def]
    """Scaled likelihoods of chosen pairs of a mark and a reading, for rates that change from call to call.

    ``table[pair]`` is the pair's reading, whose places stand from ``at[reading]`` on in ``kinds`` (0 one character, 1
    one of several, 2 unread), ``empty`` and ``totals``; ``same[symbol, place]`` and ``like[symbol, place]`` are the
    weights of a place on a symbol itself and on those it is taken for. ``lost[reading, place]`` is as in ``Places``.
    ``emission``: wrong, alike, unread, doubt and gone, clean and worn each; star, extra and extra_unread; the scale and
    the number of symbols.
    """
    scale, symbols = emission[13], emission[14]
    for pair in range(lengths.shape[0]):
        m, reading = lengths[pair], table[pair]
        first = at[reading]
        n = at[reading + 1] - first
        given = np.empty((2, m, n))
        gone = np.empty((2, n + 1))
        step = np.empty(n)
        for state in range(2):
            wrong, alike, unread, doubt, away = (
                emission[state],
                emission[2 + state],
                emission[4 + state],
                emission[6 + state],
                emission[8 + state],
            )
            for j in range(n + 1):
                gone[state, j] = emission[10] if lost[reading, j] else away
            for j in range(n):
                place = first + j
                factor = scale * (1.0 - unread - away) * (doubt if kinds[place] == 1 else 1.0)
                for i in range(m):
                    if kinds[place] == 2:
                        given[state, i, j] = scale * unread
                    else:
                        y = marks[pair, i]
                        other = (totals[place] - same[y, place]) / (symbols - 1.0)
                        given[state, i, j] = factor * (
                            (1.0 - wrong) * same[y, place] + wrong * (alike * like[y, place] + (1.0 - alike) * other)
                        )
        for j in range(n):
            place = first + j
            extra = emission[12] if kinds[place] == 2 else (1.0 - emission[12]) * totals[place] / symbols
            step[j] = scale * emission[11] * extra + scale * empty[place]
        start = np.empty((1, max(1, m - 1)), np.uint8)
        for i in range(m - 1):
            start[0, i] = i
        all_marks(
            start,
            np.full(1, m - 1, np.int32),
            np.zeros(1, np.int32),
            np.array([0, 1], np.int32),
            np.zeros(1, np.int32),
            np.full((1, 1), m - 1, np.uint8),
            np.ones(1, np.int32),
            np.zeros(1, np.int32),
            given[0],
            given[1],
            gone[0],
            gone[1],
            step,
            chain,
            scalars,
            np.zeros((1, (2 * (n + 1) + max(n - 1, 0) + 9) // 8 * 8)),
            out[pair : pair + 1],
        )
