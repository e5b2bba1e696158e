"""Sums over alignments against plain enumeration, and the search against trying everything."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.photo.alphabet import CHARACTERS, COLUMNS, as_cut, columns_of, text_of, without_separators
from floatbowl.photo.ctc import Floats, likeliest_texts, log_sums


def matrix(seed: int, places: int, columns: int, sharp: float = 1.0) -> Floats:
    logits = np.random.default_rng(seed).normal(size=(places, columns)) * sharp
    return logits - np.log(np.exp(logits).sum(axis=1, keepdims=True))


def by_enumeration(log_probs: Floats) -> dict[str, float]:
    """Every path along the line, its repeats joined and its rests dropped."""
    found: dict[str, float] = {}
    places, columns = log_probs.shape
    for path in product(range(columns), repeat=places):
        joined = [c for i, c in enumerate(path) if c and (i == 0 or c != path[i - 1])]
        text = text_of(joined)
        found[text] = found.get(text, 0.0) + float(np.exp(sum(log_probs[t, c] for t, c in enumerate(path))))
    return found


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 5))
def test_sums_are_those_of_every_path(seed: int, places: int) -> None:
    log_probs = matrix(seed, places, 4)
    truth = by_enumeration(log_probs)
    texts = sorted(truth, key=lambda text: (seed * len(text), text))
    assert np.exp(log_sums(log_probs, texts)) == pytest.approx([truth[text] for text in texts], rel=1e-9)
    assert sum(truth.values()) == pytest.approx(1.0)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_a_wide_search_finds_the_likeliest_text(seed: int) -> None:
    log_probs = matrix(seed, 5, 4, 2.0)
    truth = by_enumeration(log_probs)
    assert likeliest_texts(log_probs, 200)[0] == max(truth, key=truth.__getitem__)


def test_order_and_repeats_of_the_texts_asked_for_change_nothing() -> None:
    log_probs = matrix(3, 30, COLUMNS)
    texts = ["K36/118", "206-D-3", "K36/113", "", "K36/118", "11", "1"]
    one_by_one = [float(log_sums(log_probs, [text])[0]) for text in texts]
    assert log_sums(log_probs, texts) == pytest.approx(one_by_one)
    assert log_sums(log_probs, []).shape == (0,)


def test_a_long_line_that_denies_a_text_still_answers_with_a_number() -> None:
    log_probs = np.full((200, COLUMNS), np.log(1e-7))
    log_probs[:, 1] = 0.0
    assert np.isfinite(log_sums(log_probs, ["K36/118", "ZZZZZZZZZZZZ"])).all()


def test_a_character_no_mark_has_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="é"):
        log_sums(matrix(1, 4, COLUMNS), ["é"])


@given(st.text(alphabet=CHARACTERS, max_size=14))
def test_columns_and_back(text: str) -> None:
    assert text_of(columns_of(text)) == text


@given(st.text(max_size=14))
def test_any_text_can_be_made_one_that_can_be_cut(text: str) -> None:
    cut = as_cut(text)
    assert set(cut) <= set(CHARACTERS)
    assert as_cut(cut) == cut
    assert set(without_separators(cut)) == set(cut) - set("/-. ")
