"""Readings as people write them become places: doubt is kept, and odd ones are an answer or a clear error."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.identify.numbers import (
    DIGITS_AND_LETTERS,
    LONGEST_READING,
    OTHER,
    Alphabet,
    Places,
    ReadingError,
    devices_in,
    inverted,
    lines_swapped,
    places_of,
    places_of_cells,
    places_of_text,
    separators_in,
    symbol_of,
    symbols_of_mark,
)
from floatbowl.reference.observed import Reading

RING = Alphabet(("BAR", "RING"))


def kinds(text: str, alphabet: Alphabet = RING) -> list[str]:
    return [place.kind for place in places_of_text(text, alphabet).places]


def shown(places: Places, alphabet: Alphabet = RING) -> str:
    """One symbol a place; ``?`` where nobody can read it."""
    return "".join(alphabet.show(place.weights[0][0]) if place.weights else "?" for place in places.places)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("K36/118", "K36118"),
        ("k36 118", "K36118"),
        ("  K 3 6 - 1.1/8  ", "K36118"),
        ("K3?/11?", "K3?11?"),
        # An escaped one is no doubt; like all punctuation it stands for nothing.
        (r"\?\*\[1\]", "1"),
        (r"1\\2", "12"),
        (r"\K", "K"),
        ("é", "E"),
        ("①②", "12"),
        ("ΑΒΓ", "□□□"),
        ("8🔧", "8□"),
        ("שלום", "□□□□"),
        ("a\u0000b", "AB"),
        ("8\u200d8", "88"),
    ],
)
def test_each_character_has_its_place(text: str, expected: str) -> None:
    assert shown(places_of_text(text, RING)) == expected


def test_doubt_forms() -> None:
    assert kinds("K3?/11[83]") == ["plain", "plain", "unread", "plain", "plain", "set"]
    assert kinds("[8]") == ["plain"]
    assert kinds("[88]") == ["plain"]
    assert kinds("[8?]") == ["unread"]
    assert kinds("[]") == []
    assert kinds("[83") == ["set"]


def test_the_likeliest_of_a_set_comes_first() -> None:
    weights = places_of_text("[835]", Alphabet()).places[0].weights
    assert [symbol for symbol, _ in weights] == [8, 3, 5]
    shares = [share for _, share in weights]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1.0)


def test_lost_characters_stand_between_places() -> None:
    assert places_of_text("*36*1", Alphabet()).lost == (True, False, True, False)
    assert places_of_text("36**", Alphabet()).lost == (False, False, True)
    assert places_of_text("*", Alphabet()).places == ()


def test_devices_by_braces_and_by_word() -> None:
    for text in ("{RING} 206", "{ring}206", "RING 206", "ring 206"):
        assert shown(places_of_text(text, RING)) == "{RING}206"
    assert shown(places_of_text("{STAR} 206", RING)) == "□206"
    assert shown(places_of_text("RING206", RING)) == "RING206"
    assert devices_in(["{RING} 206-D-3", "{bar}", "K36"]) == ("BAR", "RING")


def test_marks_lose_case_spaces_and_separators() -> None:
    assert symbols_of_mark("k36/118", Alphabet()) == symbols_of_mark("K 36-118", Alphabet())
    assert symbols_of_mark("{BAR}", RING) == (RING.device("bar"),)
    assert symbols_of_mark("?*[", Alphabet()) == ()
    assert separators_in("81 204-55/1.2") == frozenset("-/.")


def test_nothing_to_read_is_nothing_and_too_much_is_told() -> None:
    for text in ("", "   ", "-/.", "\u0000", "*"):
        assert places_of_text(text, RING).places == ()
    assert len(places_of_text("?" * LONGEST_READING, RING).places) == LONGEST_READING
    for text in ("8" * 500, "?" * 500, "[83]" * 500, "🔧" * 500):
        with pytest.raises(ReadingError, match="500 characters are too many"):
            places_of_text(text, RING)


def test_cells_keep_their_chances_and_spread_what_is_missing() -> None:
    places = places_of(Reading(cells=((("8", 0.7), ("3", 0.2)), (("{RING}", 0.9), ("", 0.1)))), RING)
    first, second = places.places
    weights = dict(first.weights)
    assert sum(weights.values()) == pytest.approx(1.0)
    assert weights[8] == pytest.approx(0.7 + 0.1 / RING.size)
    assert weights[0] == pytest.approx(0.1 / RING.size)
    assert second.empty == pytest.approx(0.1)
    assert dict(second.weights)[RING.device("RING")] == pytest.approx(0.9)


def test_a_separator_in_a_cell_is_no_character() -> None:
    cells = [(("6", 1.0),), (("/", 0.9), ("1", 0.1)), (("-", 1.0),), (("1", 1.0),)]
    first, divided, last = places_of_cells(cells, Alphabet()).places
    assert (first.empty, divided.empty, last.empty) == (0.0, 0.9, 0.0)
    assert dict(divided.weights)[1] == pytest.approx(0.1)


def test_a_cell_of_nothing_known_says_nothing() -> None:
    (place,) = places_of_cells([()], Alphabet()).places
    shares = [share for _, share in place.weights]
    assert max(shares) == pytest.approx(min(shares))


def test_upside_down() -> None:
    turned = inverted(places_of_text("68?1", Alphabet()))
    assert turned is not None
    assert shown(turned) == "1?89"
    assert inverted(places_of_text("K36", Alphabet())) is None
    assert inverted(places_of_text("6[83]", Alphabet())) is None
    assert inverted(places_of_cells([(("6", 1.0),)], Alphabet())) is None


@given(st.text(alphabet="01689HINOSXZMW?*", min_size=1, max_size=10))
def test_upside_down_twice_is_as_it_was(text: str) -> None:
    places = places_of_text(text, Alphabet())
    turned = inverted(places)
    assert turned is not None
    again = inverted(turned)
    assert again is not None
    assert (again.places, again.lost) == (places.places, places.lost)


def test_lines_in_the_other_order() -> None:
    orders = {shown(order) for order in lines_swapped(places_of_text("K36/118-2", Alphabet()))}
    assert orders == {"1182K36", "2K36118"}
    assert lines_swapped(places_of_text("K36118", Alphabet())) == ()


@given(st.lists(st.sampled_from([*DIGITS_AND_LETTERS[:12], "?", "*", "/", " "]), max_size=12).map("".join))
def test_lines_in_the_other_order_keep_every_place(text: str) -> None:
    places = places_of_text(text, Alphabet())
    for order in lines_swapped(places):
        assert sorted(map(repr, order.places)) == sorted(map(repr, places.places))
        assert len(order.lost) == len(order.places) + 1


@settings(max_examples=300)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        places = places_of_text(text, RING)
    except ReadingError:
        return
    assert len(places.places) <= LONGEST_READING
    assert len(places.lost) == len(places.places) + 1
    assert all(0 <= symbol < RING.size for place in places.places for symbol, _ in place.weights)


@given(st.characters())
def test_every_character_is_a_symbol_or_a_divider(character: str) -> None:
    symbol = symbol_of(character)
    assert symbol is None or 0 <= symbol <= OTHER
