"""Boxes, one a character: written as people write doubt, changed by hand, weighed."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from floatbowl.shop.models.photograph import EYE, MACHINE
from floatbowl.shop.photographs.boxes import (
    Box,
    after_typing,
    boxes_of_cells,
    boxes_of_text,
    by_whom,
    read_boxes,
    text_of,
    weighable,
)

SIGNS = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ/-."


@st.composite
def cells(draw: st.DrawFn) -> tuple[tuple[str, float], ...]:
    signs = draw(st.lists(st.sampled_from([*SIGNS, ""]), min_size=1, max_size=5, unique=True))
    weights = draw(st.lists(st.floats(0.01, 1.0), min_size=len(signs), max_size=len(signs)))
    return tuple((sign, weight / (sum(weights) + 0.01)) for sign, weight in zip(signs, weights, strict=True))


readings = st.lists(cells(), min_size=1, max_size=12).map(boxes_of_cells)


@given(readings)
def test_boxes_survive_being_stored(boxes: list[Box]) -> None:
    assert read_boxes([box.as_json() for box in boxes]) == boxes


@given(readings)
def test_the_same_text_typed_again_leaves_every_odds(boxes: list[Box]) -> None:
    kept = after_typing(boxes, text_of(boxes))
    assert kept is not None
    written = [box for box in boxes if text_of([box])]
    assert [box for box in kept if text_of([box])] == written


@given(readings, st.data())
def test_one_character_typed_over_touches_no_other(boxes: list[Box], data: st.DataObject) -> None:
    shown = [box for box in boxes if text_of([box])]
    if not shown:
        return
    at = data.draw(st.integers(0, len(shown) - 1))
    typed = [text_of([box]) for box in shown]
    typed[at] = "Q"
    kept = after_typing(shown, "".join(typed))
    assert kept is not None
    assert [*kept[:at], *kept[at + 1 :]] == [*shown[:at], *shown[at + 1 :]]
    assert kept[at] == Box((("Q", 1.0),), EYE)


@given(st.text(alphabet=[*SIGNS, "?", "[", "]", "\\", "{", "}"], max_size=12))
def test_typed_text_is_what_its_boxes_say(text: str) -> None:
    boxes = boxes_of_text(text)
    assert boxes is not None
    again = boxes_of_text(text_of(boxes))
    assert again is not None
    assert text_of(again) == text_of(boxes)


@given(readings)
def test_weighing_loses_no_chance_and_adds_none(boxes: list[Box]) -> None:
    for cell in weighable([box.cell for box in boxes]):
        assert sum(chance for _, chance in cell) <= 1.01


def test_doubt_is_written_as_people_write_it() -> None:
    told = [[("K", 0.95)], [("8", 0.6), ("3", 0.35)], [("1", 0.03), ("7", 0.02)], [("", 0.8), ("1", 0.2)], [("?", 1.0)]]
    assert text_of(boxes_of_cells([tuple(cell) for cell in told])) == "K[83]?\\?"


def test_lost_characters_cannot_stand_in_boxes() -> None:
    assert boxes_of_text("K36*") is None


def test_whose_it_is() -> None:
    machine, eye = Box((("8", 0.9),)), Box((("8", 1.0),), EYE)
    assert by_whom([machine]) == MACHINE
    assert by_whom([machine, eye]) == by_whom([machine], confirmed=True) == EYE
