"""Published worked examples of the forward algorithm, run through our compiled kernel.

The kernel sums over a chain of two hidden states (clean, worn) with losses and extras. With those switched off it is a
plain two-state hidden Markov model whose emissions and transitions are handed in, so a published two-state example can
be put in its place. One difference: our chain takes a step before the first character; where a source's start is no
such step's result, the kernel runs once from each start state and the two are combined, which is exact (the sum is
linear in the start). hmmlearn checks the same chain with our own rates, marks and readings.
"""

from __future__ import annotations

import numpy as np
import pytest

from floatbowl.identify.compiled import CompiledMarks
from floatbowl.identify.marks import MarkIndex
from floatbowl.identify.numbers import Alphabet, places_of_text, symbols_of_mark
from floatbowl.identify.wear import Rates, Tables, confusion, shipped_error_model

NEVER = 1e-300


def chain_only(start_worn: float = 0.5, **changes: float) -> Rates:
    told = dict.fromkeys(
        ("go_worn", "stay_worn", "wrong_clean", "wrong_worn", "alike_clean", "alike_worn", "unread_clean",
         "unread_worn", "doubt_clean", "doubt_worn", "gone_clean", "gone_worn", "extra", "swap", "lost_start",
         "lost_more", "lost_end", "star", "extra_unread", "inverted", "lines"),
        NEVER,
    )  # fmt: skip
    return Rates(**(told | {"start_worn": start_worn} | changes))


def kernel(start_second: float, transitions: np.ndarray, emissions: np.ndarray) -> float:
    """P(observations); ``emissions`` are (times x 2 states), and the start is the one before the first step."""
    times = emissions.shape[0]
    marks = CompiledMarks(np.arange(times, dtype=np.uint8)[None, :], np.array([times], np.int32))
    only_here = np.eye(times)
    tables = Tables(
        clean=only_here * emissions[:, 0],
        worn=only_here * emissions[:, 1],
        gone_clean=np.zeros(times + 1),
        gone_worn=np.zeros(times + 1),
        step=np.zeros(times),
        chain=transitions.ravel(),
        rates=chain_only(min(max(start_second, NEVER), 1 - 1e-16)),
    )
    return float(marks.sum(tables)[0])


def forward(start: np.ndarray, transitions: np.ndarray, emissions: np.ndarray) -> float:
    """P(observations) when ``start`` is the distribution *at* the first observation, as books have it."""
    before = np.linalg.solve(transitions.T, start)
    return float(before @ [kernel(0.0, transitions, emissions), kernel(1.0, transitions, emissions)])


def in_state(state: int, start: np.ndarray, transitions: np.ndarray, emissions: np.ndarray) -> float:
    """P(observations, last state)."""
    last = emissions.copy()
    last[-1, 1 - state] = 0.0
    return forward(start, transitions, last)


#: D. Jurafsky, J. H. Martin, Speech and Language Processing, 3rd edition draft, figure 9.7, p. 130 (from memory): ice
#: cream eaten on hot (H) and cold (C) days. Rows do not sum to one there, since the model may end. One ice cream is
#: seen after three.
HOT, COLD = 0, 1
ICE_START = np.array([0.8, 0.2])
ICE_STEPS = np.array([[0.6, 0.3], [0.4, 0.5]])
ICE_SEEN = {3: (0.4, 0.1), 1: (0.2, 0.5)}


@pytest.mark.parametrize(
    ("eaten", "state", "printed", "places"),
    [((3,), HOT, 0.32, 2), ((3,), COLD, 0.02, 2), ((3, 1), HOT, 0.040, 3), ((3, 1), COLD, 0.053, 3)],
)
def test_ice_cream_trellis(eaten: tuple[int, ...], state: int, printed: float, places: int) -> None:
    """alpha_1(2) = .32, alpha_1(1) = .02, alpha_2(2) = .32*.12 + .02*.08 = .040,
    alpha_2(1) = .32*.15 + .02*.25 = .053."""
    found = in_state(state, ICE_START, ICE_STEPS, np.array([ICE_SEEN[day] for day in eaten]))
    assert round(found, places) == printed
    exact = {0.040: 0.32 * 0.12 + 0.02 * 0.08, 0.053: 0.32 * 0.15 + 0.02 * 0.25}.get(printed, printed)
    assert found == pytest.approx(exact, rel=1e-12)


def test_tufts_course_example() -> None:
    """Tufts University, course page COMP 250P "hmmex.html": the output + - 0 has probability 61/1728; its start of one
    half each is one step of its own chain from (0.6, 0.4)."""
    steps = np.array([[1 / 3, 2 / 3], [3 / 4, 1 / 4]])
    seen = {"+": (1 / 4, 1 / 3), "0": (1 / 2, 1 / 3), "-": (1 / 4, 1 / 3)}
    emissions = np.array([seen[sign] for sign in "+-0"])
    printed = 61 / 1728
    assert kernel(0.4, steps, emissions) == pytest.approx(printed, rel=1e-12)
    assert forward(np.array([0.5, 0.5]), steps, emissions) == pytest.approx(printed, rel=1e-12)


@pytest.mark.parametrize(
    ("days", "printed"),
    [("U", 0.8182), ("UU", 0.8834), ("UUN", 0.1907), ("UUNU", 0.7308), ("UUNUU", 0.8673)],
)
def test_umbrella_world(days: str, printed: float) -> None:
    """Wikipedia, "Forward-backward algorithm", section "Example": normalised forward probabilities of rain, four places
    (S. Russell, P. Norvig, Artificial Intelligence, 3rd edition, section 15.2.1, prints .818 and .883; from memory)."""
    steps = np.array([[0.7, 0.3], [0.3, 0.7]])
    seen = {"U": (0.9, 0.2), "N": (0.1, 0.8)}
    emissions = np.array([seen[day] for day in days])
    start = np.array([0.5, 0.5])
    rain = in_state(0, start, steps, emissions)
    assert round(rain / forward(start, steps, emissions), 4) == printed


def test_hmmlearn_gives_the_same_for_our_chain_without_losses_and_extras() -> None:
    """hmmlearn's CategoricalHMM over the chain unrolled: one clean and one worn state for each character of the mark,
    each stepping to the next character's two. It checks chain, look-alikes and ``?`` together, with shipped rates."""
    hmm = pytest.importorskip("hmmlearn.hmm")
    alphabet = Alphabet()
    for via, mark, reading in (
        ("seen", "K36118", "K3611?"),
        ("heard", "BD59", "PB95"),
        ("photo", "81", "8?"),
        ("bench", "PWKBZM", "P?KRZN"),
    ):
        shipped = shipped_error_model().rates(via)
        rates = chain_only(
            **{
                name: getattr(shipped, name)
                for name in ("start_worn", "go_worn", "stay_worn", "wrong_clean", "wrong_worn", "alike_clean",
                             "alike_worn", "unread_clean", "unread_worn")
            }
        )  # fmt: skip
        symbols = symbols_of_mark(mark, alphabet)
        model = hmm.CategoricalHMM(n_components=2 * len(symbols), n_features=alphabet.size + 1)
        step = np.array([[1 - rates.go_worn, rates.go_worn], [1 - rates.stay_worn, rates.stay_worn]])
        model.startprob_ = np.concatenate(
            [np.array([1 - rates.start_worn, rates.start_worn]) @ step, np.zeros(2 * len(symbols) - 2)]
        )
        model.transmat_ = np.eye(2 * len(symbols))
        for i in range(len(symbols) - 1):
            model.transmat_[2 * i : 2 * i + 2] = 0.0
            model.transmat_[2 * i : 2 * i + 2, 2 * i + 2 : 2 * i + 4] = step
        model.emissionprob_ = np.array(
            [
                [*((1 - unread) * confusion(rates, via, alphabet.size, state)[symbol]), unread]
                for symbol in symbols
                for state, unread in (("clean", rates.unread_clean), ("worn", rates.unread_worn))
            ]
        )
        places = places_of_text(reading, alphabet).places
        seen = [alphabet.size if place.kind == "unread" else place.weights[0][0] for place in places]
        expected = model.score(np.array(seen)[:, None])
        index = MarkIndex([mark], alphabet)
        found = float(np.log(index.likelihoods(places_of_text(reading, alphabet), via, rates)[0]))
        assert found - len(seen) * np.log(37.0) == pytest.approx(expected, rel=1e-9)
