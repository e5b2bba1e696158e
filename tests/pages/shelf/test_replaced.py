"""What replaces what, told on both items' pages as the Notebook has it; a way round is refused where it is written."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.pages.shelf.conftest import Shelf, words
from tests.shop.shelf.conftest import RECORDS

from floatbowl.reference.facts import Replacement
from floatbowl.shop.load import load_reference
from floatbowl.shop.records import rows_where


def write(shelf: Shelf, old: str, new: str, both_ways: str = "no") -> Any:
    told = {"new": new, "both_ways": both_ways, "condition": ""}
    return shelf.client.post(f"/notebook/add/replacements/?old={old}", {"given-old": old, **told}, follow=True)


def test_it_is_told_on_the_old_numbers_page_and_on_the_new_ones(shelf: Shelf) -> None:
    assert "takes the place of" not in shelf.see("part/W-1/")
    assert write(shelf, "G-1", "W-1").status_code == 200
    assert "What will do instead Seat washer takes its place, 5 free" in shelf.see("part/G-1/")
    assert "What it takes the place of Bowl gasket the older number, 8 free" in shelf.see("part/W-1/")
    assert "What it takes the place of Old bowl gasket the older number" in shelf.see("part/G-1/")


def test_a_way_round_is_refused_where_it_is_written_and_named(shelf: Shelf) -> None:
    write(shelf, "G-1", "W-1")
    before = len(rows_where("replacements"))
    answer = write(shelf, "W-1", "G-0")
    assert answer.status_code == 422
    assert "would go round: G-0 -&gt; G-1 -&gt; W-1 -&gt; G-0" in words(answer.content.decode())
    assert 'value="G-0"' in answer.content.decode()
    assert len(rows_where("replacements")) == before
    assert write(shelf, "W-1", "cord").status_code == 200


def test_a_way_round_that_was_loaded_does_not_hide_the_rest(shelf: Shelf) -> None:
    round_ = (Replacement(old="W-1", new="cord"), Replacement(old="cord", new="W-1"))
    load_reference(replace(RECORDS, replacements=(*RECORDS.replacements, *round_)), "Ines")
    page = shelf.see("part/G-0/")
    assert "Bowl gasket takes its place" in page
    assert "Replacements go round: W-1 -&gt; cord -&gt; W-1" in page
    assert write(shelf, "G-1", "cord").status_code == 200
