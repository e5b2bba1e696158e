"""The fast sum over all marks equals a slow one written independently, and probabilities of readings sum to one."""

from __future__ import annotations

import itertools
import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nbinom
from slow_forward import (
    Story,
    add_up,
    add_up_story_by_story,
    probability,
    probability_any_order,
    story_of,
)

from floatbowl.identify.compiled import CompiledMarks
from floatbowl.identify.marks import MarkIndex
from floatbowl.identify.numbers import (
    DIGITS_AND_LETTERS,
    Alphabet,
    Place,
    Places,
    places_of_cells,
    places_of_text,
    symbols_of_mark,
)
from floatbowl.identify.wear import PLACE_SCALE, Rates, shipped_error_model, tables

RELATIVE = 1e-9
VIAS = ("seen", "heard", "photo", "bench")
DEVICES = Alphabet(("BAR", "RING", "STAR"))

characters = st.sampled_from(DIGITS_AND_LETTERS)
mark_pieces = st.one_of(characters, characters, characters, st.sampled_from(["{RING}", "{BAR}", "□"]))
mark_texts = st.lists(mark_pieces, min_size=1, max_size=12).map("".join)
reading_pieces = st.one_of(
    characters,
    characters,
    st.sampled_from(["?", "[83]", "[O0Q]", "*", "-", "/", "{STAR}", "{RING}", "é", "6", "9", "H"]),
)
reading_texts = st.lists(reading_pieces, min_size=1, max_size=12).map("".join)
cell_texts = st.one_of(st.just(""), characters, st.just("{RING}"))


@st.composite
def cells(draw: st.DrawFn) -> tuple[tuple[str, float], ...]:
    names = draw(st.lists(cell_texts, min_size=1, max_size=4, unique=True))
    weights = [draw(st.floats(0.01, 1.0)) for _ in names]
    whole = sum(weights) / draw(st.floats(0.5, 1.0))
    return tuple((name, weight / whole) for name, weight in zip(names, weights, strict=True))


@st.composite
def any_rates(draw: st.DrawFn) -> Rates:
    return Rates(**{f.name: draw(st.floats(0.001, 0.45)) for f in fields(Rates)})


def assert_same_logarithm(fast: float, slow: float) -> None:
    """Equal to a relative error of 1e-9 of the log-likelihood (absolutely where that is near nought)."""
    assert math.log(fast) == pytest.approx(math.log(slow), rel=RELATIVE, abs=1e-12)


def compare(marks: list[str], places: Places, via: str, rates: Rates) -> None:
    index = MarkIndex(marks, DEVICES)
    found = np.empty(len(index))
    found[index.order] = index.likelihoods(places, via, rates)
    for mark, fast in zip(marks, found, strict=True):
        slow = probability_any_order(symbols_of_mark(mark, DEVICES), places, rates, DEVICES.size, via)
        assert_same_logarithm(fast * PLACE_SCALE ** -len(places.places), slow)


@settings(max_examples=60, deadline=None)
@given(st.lists(mark_texts, min_size=1, max_size=4), reading_texts, st.sampled_from(VIAS))
def test_typed_readings(marks: list[str], reading: str, via: str) -> None:
    compare(marks, places_of_text(reading, DEVICES), via, shipped_error_model().rates(via))


@settings(max_examples=30, deadline=None)
@given(st.lists(mark_texts, min_size=1, max_size=3), st.lists(cells(), min_size=1, max_size=8), st.sampled_from(VIAS))
def test_photographed_readings(marks: list[str], read: list[tuple[tuple[str, float], ...]], via: str) -> None:
    compare(marks, places_of_cells(read, DEVICES), via, shipped_error_model().rates(via))


@settings(max_examples=30, deadline=None)
@given(st.lists(mark_texts, min_size=1, max_size=3), reading_texts, any_rates())
def test_any_rates(marks: list[str], reading: str, rates: Rates) -> None:
    compare(marks, places_of_text(reading, DEVICES), "heard", rates)


@settings(max_examples=20, deadline=None)
@given(st.lists(mark_texts, min_size=2, max_size=6, unique=True), reading_texts)
def test_a_marks_likelihood_does_not_depend_on_its_neighbours_in_the_index(marks: list[str], reading: str) -> None:
    together = MarkIndex(marks, DEVICES).log_likelihoods(reading)
    alone = [float(MarkIndex([mark], DEVICES).log_likelihoods(reading)[0]) for mark in marks]
    assert together == pytest.approx(alone, rel=1e-12)


FIXED = (
    # mark, reading: clean, look-alikes, unread, sets, gaps, short, lost start and end, extra, exchanged, devices
    ("K36/118", "K36/118"),
    ("K36/118", "K3?/11[83]"),
    ("K36/118", "*6/11*"),
    ("K36/118", "36118"),
    ("K36/118", "K36"),
    ("K36/118", "KK36/1118"),
    ("K36/118", "K63/118"),
    ("K36/118", "118/K36"),
    ("68", "89"),
    ("9", "?"),
    ("5", "S5"),
    ("{RING}206-D-3", "{BAR} 2O6-?-3"),
    ("AB", "BA"),
    ("ABC", "CAB"),
    ("ABCD", "ACBD"),
    ("PWKBZM", "PKW[BR]ZM?"),
)


@pytest.mark.parametrize(("mark", "reading"), FIXED)
def test_worked_pairs(mark: str, reading: str) -> None:
    for via in ("seen", "heard"):
        compare([mark], places_of_text(reading, DEVICES), via, shipped_error_model().rates(via))


def test_worked_cells() -> None:
    read = ((("K", 0.7), ("R", 0.2)), (("3", 0.5), ("8", 0.3), ("", 0.2)), (("", 1.0),), (("6", 0.9),))
    compare(["K36", "R8", "6", "{RING}36"], places_of_cells(read, DEVICES), "photo", shipped_error_model().photo)


def test_a_cell_that_holds_nothing_is_stepped_over() -> None:
    """As if it were not there; a character lost beside it is lost before or after it, which counts at most twice."""
    index = MarkIndex(["K6", "K16"])
    read: list[tuple[tuple[str, float], ...]] = [(("K", 1.0),), (("", 1.0),), (("6", 1.0),)]
    with_empty = index.likelihoods(places_of_cells(read, Alphabet()), "photo") / PLACE_SCALE
    without = index.likelihoods(places_of_cells([read[0], read[2]], Alphabet()), "photo")
    times = dict(zip(index.order.tolist(), (with_empty / without).tolist(), strict=True))
    assert times[0] == pytest.approx(1.0, rel=0.05)
    assert 1.0 <= times[1] <= 2.05


@settings(max_examples=25, deadline=None)
@given(
    st.text(alphabet="68B", min_size=1, max_size=3),
    st.sampled_from(["", "6", "8", "?", "*", "68", "8?", "6[8B]", "B*8"]),
    any_rates(),
)
def test_the_slow_sum_is_the_sum_of_every_story(mark: str, reading: str, rates: Rates) -> None:
    places = places_of_text(reading, Alphabet())
    story = story_of(symbols_of_mark(mark, Alphabet()), places, rates, 37)
    assert add_up(story) == pytest.approx(add_up_story_by_story(story), rel=1e-12)


def test_the_slow_sum_is_the_sum_of_every_story_for_three_places() -> None:
    rates = shipped_error_model().seen
    for mark, reading in (("68", "868"), ("B68", "?86"), ("B68", "B86")):
        story: Story = story_of(
            symbols_of_mark(mark, Alphabet()), places_of_text(reading, Alphabet()), rates, Alphabet().size
        )
        assert add_up(story) == pytest.approx(add_up_story_by_story(story), rel=1e-12)


def concrete_places(alphabet: Alphabet) -> list[Place]:
    """Everything that can stand at one place of a reading without doubt: each symbol, or one nobody can read."""
    return [*(Place("plain", ((symbol, 1.0),)) for symbol in range(alphabet.size)), Place("unread")]


def longer_than(length: int, mark: int, rates: Rates) -> float:
    """At most this likely is a reading of more than ``length`` places: the mark's own characters give one each at most,
    and extras are told off one by one in each of the (mark + 1) gaps: a negative binomial."""
    return float(nbinom.sf(length - mark, mark + 1, 1.0 - rates.extra))


@pytest.mark.parametrize("via", VIAS)
@pytest.mark.parametrize("devices", [(), ("RING", "BAR")])
def test_readings_of_a_short_mark_sum_to_one_listed_one_by_one(via: str, devices: tuple[str, ...]) -> None:
    alphabet, rates = Alphabet(devices), shipped_error_model().rates(via)
    index = MarkIndex(["8"], alphabet)
    total = 0.0
    for length in range(3):
        for read in itertools.product(concrete_places(alphabet), repeat=length):
            places = Places(read, (False,) * (length + 1))
            total += float(index.likelihoods(places, via)[0]) * PLACE_SCALE**-length
    tail = longer_than(2, 1, rates)
    assert tail < 1e-3
    assert 1.0 - tail - 1e-12 <= total <= 1.0 + 1e-12


def summed_over_every_reading(mark: str, longest: int, rates: Rates, via: str) -> float:
    """The sum over all concrete readings up to a length. Every story uses each place once, so what may stand at a place
    can be added up within the place."""
    alphabet = DEVICES
    symbols = np.array([symbols_of_mark(mark, alphabet)], np.uint8)
    compiled = CompiledMarks(symbols, np.array([symbols.shape[1]], np.int32))
    every = [tables(Places((place,), (False, False)), alphabet, rates, via) for place in concrete_places(alphabet)]
    clean, worn, stray = (sum(getattr(t, name) for t in every) for name in ("clean", "worn", "step"))
    total = 0.0
    for length in range(longest + 1):
        blank = tables(Places((Place("unread"),) * length, (False,) * (length + 1)), alphabet, rates, via)
        whole = replace(
            blank,
            clean=np.tile(clean, (1, length)),
            worn=np.tile(worn, (1, length)),
            step=np.tile(stray, length),
        )
        total += float(compiled.sum(whole)[0]) * PLACE_SCALE**-length
    return total


@pytest.mark.parametrize("mark", ["8", "6B", "PWK", "{RING}206", "K36118", "8120455", "PWKBZMGHVLPD"])
@pytest.mark.parametrize("via", VIAS)
def test_readings_of_a_mark_sum_to_one(mark: str, via: str) -> None:
    rates, size = shipped_error_model().rates(via), len(symbols_of_mark(mark, DEVICES))
    longest = size + 3
    total = summed_over_every_reading(mark, longest, rates, via)
    tail = longer_than(longest, size, rates)
    assert tail < 1e-4
    assert 1.0 - tail - 1e-12 <= total <= 1.0 + 1e-12


@settings(max_examples=25, deadline=None)
@given(st.text(alphabet=DIGITS_AND_LETTERS, min_size=1, max_size=6), any_rates())
def test_readings_of_a_mark_sum_to_one_whatever_the_rates(mark: str, rates: Rates) -> None:
    longest = len(mark) + 15
    total = summed_over_every_reading(mark, longest, rates, "seen")
    assert 1.0 - longer_than(longest, len(mark), rates) - 1e-12 <= total <= 1.0 + 1e-12


def test_every_step_of_the_slow_sum_is_a_distribution_too() -> None:
    rates = shipped_error_model().seen
    total = sum(
        probability((3,), Places(read, (False,) * (length + 1)), rates, 37)
        for length in range(3)
        for read in itertools.product(concrete_places(Alphabet()), repeat=length)
    )
    assert total == pytest.approx(1.0, abs=longer_than(2, 1, rates))
