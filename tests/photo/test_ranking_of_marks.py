"""Which marks a line's pictures speak for, on matrices made up for the purpose."""

from __future__ import annotations

import numpy as np
import pytest

from floatbowl.cli.ranking import Ranking, without_dividers
from floatbowl.identify.weigh import Weigher
from floatbowl.photo.alphabet import BLANK, CHARACTERS, COLUMNS
from floatbowl.photo.cells import cells_of
from floatbowl.photo.lattice import Mixture, mixed
from floatbowl.photo.reading import PhotoReading
from floatbowl.reference.facts import Carburettor, Maker, Mark, Reference


def reading(*places: str) -> PhotoReading:
    """A line in which each place shows one of some characters, all as likely."""
    rows = []
    for place in places:
        row, rest = np.full(COLUMNS, 1e-4), np.full(COLUMNS, 1e-4)
        row[[CHARACTERS.index(c) + 1 for c in place]] = 1 / len(place)
        rest[BLANK] = 1.0
        rows += [row, rest]
    made = np.array(rows)
    found = mixed([np.log(made / made.sum(axis=1, keepdims=True))], {}, Mixture(1.0, {}, 0.0, 1.0))
    return PhotoReading(found.text, cells_of(found.texts, found.probabilities), 0.9, None, (), found)


@pytest.fixture(scope="module")
def ranking() -> Ranking:
    marks = (
        Mark(carburettor="a", text="K36/118", role="identifies", form="stamped"),
        Mark(carburettor="b", text="K36/118", role="identifies", form="stamped"),
        Mark(carburettor="c", text="K36/113", role="identifies", form="stamped"),
        Mark(carburettor="d", text="{RING}", role="family", form="cast", with_="d"),
        Mark(carburettor="d", text="206-D-3", role="identifies", form="stamped", with_="d"),
        Mark(carburettor="a", text="2063", role="casting", form="cast"),
    )
    made = tuple(Carburettor(carburettor=key, maker="m") for key in "abcd")
    return Ranking(Weigher(Reference(makers=(Maker(maker="m", name="M"),), carburettors=made, marks=marks)))


def test_bearers_of_one_mark_share_its_chance(ranking: Ranking) -> None:
    rows = ranking.rows(reading("K", "3", "6", "/", "1", "1", "8"))
    assert {row["carburettor"] for row in rows[:2]} == {"a", "b"}
    assert rows[0]["probability"] == rows[1]["probability"] > 0.4


def test_doubt_between_two_marks_is_shared(ranking: Ranking) -> None:
    chances = dict(zip(ranking.rows_of, ranking.chances(reading("K", "3", "6", "/", "1", "1", "83")), strict=True))
    assert chances["K36/118"] == pytest.approx(chances["K36/113"], abs=0.05)
    assert chances["K36/118"] > 0.35


def test_a_number_is_found_with_and_without_the_word_for_its_device(ranking: Ranking) -> None:
    for places in ("206-D-3", "RING 206-D-3"):
        assert ranking.rows(reading(*places))[0]["text"] == "206-D-3"


def test_other_dividers_do_not_hide_a_mark(ranking: Ranking) -> None:
    assert ranking.rows(reading(*"206 D.3"))[0]["text"] == "206-D-3"


def test_a_number_that_no_mark_has_leaves_the_chance_with_none(ranking: Ranking) -> None:
    assert ranking.chances(reading(*"V52/946")).sum() < 0.05


def test_casting_numbers_are_not_ranked(ranking: Ranking) -> None:
    assert all(row["text"] != "2063" for row in ranking.rows(reading(*"2063")))


def test_dividers_are_no_characters_to_the_weighing() -> None:
    assert without_dividers(((("/", 0.9), ("1", 0.1)),)) == ((("", 0.9), ("1", 0.1)),)
