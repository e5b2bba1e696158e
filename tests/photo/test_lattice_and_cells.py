"""What is kept of many pictures of one line, on matrices made up for the purpose."""

from __future__ import annotations

import json
from importlib import resources

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.photo.alphabet import BLANK, CHARACTERS, COLUMNS, columns_of
from floatbowl.photo.cells import cells_of, laid_along
from floatbowl.photo.ctc import Floats
from floatbowl.photo.lattice import Mixture, lattice, mixed, mixtures, one_apart
from floatbowl.photo.trust import SIGNS, coefficients, confidence, signs

EVEN = Mixture(1.0, {"plain": 1.0, "equalised": 1.0, "relief": 1.0}, 0.0, 1.0)
SOME = st.text(alphabet="0123456789KRB/-", min_size=1, max_size=8)


def shown(*places: dict[str, float], floor: float = 1e-4) -> Floats:
    """A matrix in which these characters stand one after another, each between places of rest."""
    rows = []
    for place in places:
        row = np.full(COLUMNS, floor)
        for character, chance in place.items():
            row[BLANK if character == "" else CHARACTERS.index(character) + 1] = chance
        rest = np.full(COLUMNS, floor)
        rest[BLANK] = 1.0
        rows += [row, rest]
    made = np.array(rows)
    return np.log(made / made.sum(axis=1, keepdims=True))


def plainly(text: str) -> Floats:
    return shown(*({c: 1.0} for c in text))


@settings(max_examples=20, deadline=None)
@given(SOME)
def test_a_clear_line_is_read_with_one_sure_cell_a_character(text: str) -> None:
    found = mixed([plainly(text)], {}, EVEN)
    assert found.text == text
    cells = cells_of(found.texts, found.probabilities)
    assert [cell[0][0] for cell in cells] == list(text)
    assert all(cell[0][1] > 0.97 for cell in cells)


def test_doubt_about_one_place_stays_in_its_cell() -> None:
    line = shown({"K": 1.0}, {"3": 0.6, "8": 0.4}, {"6": 1.0})
    found = mixed([line], {}, EVEN)
    cells = cells_of(found.texts, found.probabilities)
    assert dict(cells[1])["3"] == pytest.approx(0.6, abs=0.03)
    assert dict(cells[1])["8"] == pytest.approx(0.4, abs=0.03)


def test_a_character_that_may_not_be_there_shares_its_cell_with_nothing() -> None:
    found = mixed([shown({"1": 1.0}, {"7": 0.7, "": 0.3}, {"2": 1.0})], {}, EVEN)
    assert dict(cells_of(found.texts, found.probabilities)[1])[""] == pytest.approx(0.3, abs=0.03)


def test_two_pictures_that_each_doubt_settle_it_together() -> None:
    left = shown({"K": 1.0}, {"3": 0.5, "8": 0.5}, {"6": 0.9, "G": 0.1})
    right = shown({"K": 0.6, "R": 0.4}, {"8": 0.9, "3": 0.1}, {"6": 0.6, "G": 0.4})
    alone = mixed([left], {}, EVEN)
    both = mixed([left], {"plain+": right}, EVEN)
    assert both.text == "K86"
    assert both.probabilities[0] > alone.probabilities[0]


def test_a_negative_that_shows_nothing_does_not_spoil_its_picture() -> None:
    doubt = shown({"3": 0.5, "8": 0.5})
    nothing = np.full((2, COLUMNS), -np.log(COLUMNS))
    found = mixed([doubt], {"relief+": plainly("8"), "relief-": nothing}, EVEN)
    assert found.text == "8"
    assert found.probabilities[0] > 0.95


def test_any_text_can_be_asked_and_separators_left_out_of_account() -> None:
    found = mixed([plainly("81 204-55")], {}, EVEN)
    asked = found.scores(["81 204-55", "81 204 55", "82 204-55"])
    assert asked[0] > asked[1] > -np.inf
    assert asked[0] > asked[2]
    numbers = found.scores_of_numbers(["81 204 55", "8120455", "82 204 55"])
    assert numbers[0] == numbers[1] > numbers[2] + 3


def test_a_picture_without_weight_is_not_heard() -> None:
    quiet = Mixture(1.0, {"plain": 0.0}, 0.0, 1.0)
    assert mixed([plainly("12")], {"plain+": plainly("98")}, quiet).text == "12"


def test_nothing_seen_is_refused() -> None:
    with pytest.raises(ValueError, match="no view"):
        mixed([], {}, EVEN)


@given(SOME)
def test_neighbours_are_one_change_away(text: str) -> None:
    near = one_apart(text)
    assert all(abs(len(other) - len(text)) <= 1 for other in near)
    assert len(set(near)) >= len(CHARACTERS) * len(text)


@given(st.data(), SOME)
def test_a_text_one_change_away_is_laid_whole(data: st.DataObject, first: str) -> None:
    text = data.draw(st.sampled_from(one_apart(first)))
    laid = laid_along(first, text)
    assert len(laid) == 2 * len(first) + 1
    assert "".join(laid) == text


@given(SOME, st.text(alphabet="0123456789KRB/-", max_size=8))
def test_what_is_laid_along_a_text_keeps_its_order(first: str, text: str) -> None:
    kept = iter(text)
    assert all(character in kept for character in laid_along(first, text) if character)


@settings(max_examples=15, deadline=None)
@given(st.lists(SOME, min_size=1, max_size=6, unique=True), st.integers(0, 99))
def test_cells_hold_probabilities(texts: list[str], seed: int) -> None:
    chances = np.sort(np.random.default_rng(seed).dirichlet(np.ones(len(texts))))[::-1]
    for cell in cells_of(texts, chances):
        values = [chance for _, chance in cell]
        assert all(0 < value <= 1 for value in values)
        assert sum(values) <= 1.0 + 1e-3 * len(values)
        assert values == sorted(values, reverse=True)


def test_confidence_grows_with_what_is_seen() -> None:
    clear = confidence(lattice([plainly("K36/118")] * 4, {}))
    doubtful = confidence(lattice([shown({"K": 0.4, "R": 0.35}, {"3": 0.4, "8": 0.35}, {"6": 0.4, "G": 0.4})] * 4, {}))
    assert 0 < doubtful < 0.5 < clear < 1


def test_the_fitted_numbers_are_whole_and_say_where_they_are_from() -> None:
    stored = json.loads(resources.files("floatbowl.photo").joinpath("data", "fusion.json").read_text(encoding="utf-8"))
    assert set(mixtures()) == {"plain", "relief"}
    assert coefficients().shape == (len(SIGNS),)
    assert stored["figures"]["cases"] >= 400
    assert stored["figures"]["seeds"]
    assert signs(lattice([plainly("1")], {})).shape == (len(SIGNS),)
    assert columns_of("0").tolist() == [1]


@pytest.mark.parametrize(("looks", "is_read"), [("57I-E", "571-E"), ("K3I", "K31"), ("RING", "RING")])
def test_a_plain_stroke_beside_a_digit_is_a_1(looks: str, is_read: str) -> None:
    assert mixed([plainly(looks)], {}, mixtures()["relief"]).text == is_read
