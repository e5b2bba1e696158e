"""The invented shop's pack: made the same each time, large enough, and holding what its stories rely on."""

from __future__ import annotations

import json
import re
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from floatbowl.demo.make_pack.numbers import CHECK_LETTERS, brattock_number
from floatbowl.demo.make_pack.whole_pack import PACK, make_pack
from floatbowl.demo.stories import enquiry_lines, read_stories
from floatbowl.reference.facts import Reference
from floatbowl.reference.pack import read_pack


@pytest.fixture(scope="module")
def reference() -> Reference:
    return read_pack(PACK)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_made_again_it_is_the_same_byte_for_byte(tmp_path: Path) -> None:
    make_pack(tmp_path)
    assert contents(tmp_path) == contents(PACK)


def test_the_enquiries_are_the_stories(reference: Reference) -> None:
    text = (PACK.parent / "enquiries.jsonl").read_text(encoding="utf-8")
    assert text == enquiry_lines()
    assert [json.loads(line)["enquiry"] for line in text.splitlines()] == [story.key for story in read_stories()]


def test_it_is_large_enough_to_convince(reference: Reference) -> None:
    assert len(reference.makers) == 5
    assert len(reference.carburettors) >= 300
    assert len(reference.kits) >= 90
    assert len(reference.machines) >= 60
    assert {row.machine for row in reference.came_on} == {row.machine for row in reference.machines}


def test_every_number_keeps_to_its_own_maker_s_grammar_and_no_other(reference: Reference) -> None:
    maker_of = {row.carburettor: row.maker for row in reference.carburettors}
    for mark in reference.marks:
        if mark.role == "identifies":
            fits = [row.maker for row in reference.makers if re.fullmatch(row.pattern, mark.text)]
            assert fits == [maker_of[mark.carburettor]], mark.text


def test_check_letters_are_the_remainder_by_seven(reference: Reference) -> None:
    assert brattock_number(206, 3) == "206-D-3"
    stamps = [re.fullmatch(r"(\d{3})-([A-G])-\d", mark.text) for mark in reference.marks]
    found = [(int(stamp[1]), stamp[2]) for stamp in stamps if stamp]
    assert len(found) > 80
    assert all(CHECK_LETTERS.index(letter) == number % 7 for number, letter in found)


def test_each_number_bears_its_bore(reference: Reference) -> None:
    """A Tarnsyke number gives the bore in thirty-seconds of an inch."""
    bores = {row.carburettor: float(row.value) for row in reference.features if row.feature == "throat bore"}
    for mark in reference.marks:
        if mark.role == "identifies" and re.fullmatch(r"[DKNV]\d\d/\d{3}", mark.text):
            assert bores[mark.carburettor] == pytest.approx(int(mark.text[1:3]) / 32 * 25.4, abs=0.06)


def test_a_foundry_number_is_on_many_carburettors(reference: Reference) -> None:
    bearing = {mark.carburettor for mark in reference.marks if (mark.text, mark.role) == ("2063", "casting")}
    assert "k36-118" in bearing
    assert "k36-113" not in bearing
    assert len(bearing) > 3


def test_kits_at_one_level_fit_only_what_takes_all_their_parts(reference: Reference) -> None:
    takes = defaultdict(set)
    for row in reference.carburettor_parts:
        takes[row.carburettor].add(row.part)
    inside = defaultdict(set)
    for part in reference.kit_parts:
        inside[part.kit].add(part.part.removesuffix("-hard"))
    for fit in reference.kit_fits:
        assert inside[fit.kit] <= takes[fit.carburettor], fit


def test_two_numbers_of_one_text_differ_by_the_bar_and_take_different_kits(reference: Reference) -> None:
    kits = defaultdict(set)
    for fit in reference.kit_fits:
        kits[fit.carburettor].add(fit.kit)
    texts = Counter(mark.text for mark in reference.marks if mark.text == "6.114.2" and mark.role == "identifies")
    assert texts["6.114.2"] == 2
    assert not kits["6-114-2-raised"] & kits["6-114-2-flat"]


def test_five_originals_are_replaced_by_one_of_today(reference: Reference) -> None:
    assert sum(row.new == "complete-81-204-55" for row in reference.replacements) == 5


def test_every_kit_of_a_story_is_one_of_its_carburettor(reference: Reference) -> None:
    fits = {(row.kit, row.carburettor) for row in reference.kit_fits}
    for story in read_stories():
        for step in (*story.steps, story.deciding):
            kit = step.expect.get("kit") or step.expect.get("leading_kit")
            if kit:
                assert all((kit, key) in fits for key in step.expect["carburettors"]), (story.key, kit)
