from __future__ import annotations

import re
from collections import Counter, defaultdict

import pytest
from benchmarks.catalogue import as_recorded, choose_unlisted, make_catalogue, make_truth
from benchmarks.edit_distance import coded, distances, tokens
from benchmarks.grammar import GRAMMARS, check_letter, make_marks, normalised

from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import Reading


@pytest.fixture(scope="module")
def truth() -> Reference:
    return make_truth(2000, 1)


def test_same_seed_same_catalogue_and_another_seed_another(truth: Reference) -> None:
    assert make_truth(2000, 1) == truth
    assert make_catalogue(300, 2) != make_catalogue(300, 3)


def test_shapes_are_as_promised(truth: Reference) -> None:
    assert len(truth.carburettors) == 2000
    assert len(truth.makers) == len(GRAMMARS) == 12
    assert 190 <= len(truth.machines) <= 210
    assert 3 <= len(truth.kit_fits) / len(truth.kits) <= 6
    assert sum(c.share or 0.0 for c in truth.carburettors) == pytest.approx(1.0)


def test_every_key_named_by_another_table_exists(truth: Reference) -> None:
    known = {c.carburettor for c in truth.carburettors}
    rows = (*truth.marks, *truth.features, *truth.kit_fits, *truth.came_on)
    assert {row.carburettor for row in rows} <= known
    assert {f.kit for f in truth.kit_fits} == {k.kit for k in truth.kits}
    assert {r.machine for r in truth.came_on} == {m.machine for m in truth.machines}


def test_numbers_keep_their_makers_pattern_and_check_letter(truth: Reference) -> None:
    maker = {c.carburettor: c.maker for c in truth.carburettors}
    patterns = {m.maker: (re.compile(m.pattern), m.check) for m in truth.makers}
    for mark in truth.marks:
        if mark.role != "identifies":
            continue
        shape, check = patterns[maker[mark.carburettor]]
        assert shape.fullmatch(mark.text), mark.text
        if check and "-" in mark.text and len(mark.text) == 7:
            assert mark.text[4] == check_letter(mark.text[:3] + "k")


def test_most_numbers_lie_one_character_from_another(truth: Reference) -> None:
    texts = [normalised(m.text) for m in truth.marks if m.role == "identifies"]
    table, lengths = coded(texts)
    near = 0
    for text in texts[::20]:
        taken = tokens(Reading(text))
        near += (distances(taken.costs, taken.dropped, taken.star, table, lengths) == 1).any()
    assert near / len(texts[::20]) > 0.8


def test_a_casting_number_is_shared_and_look_alikes_need_different_kits(truth: Reference) -> None:
    bearers = Counter((m.text, m.part) for m in truth.marks if m.role == "casting")
    assert sum(bearers.values()) / len(bearers) > 3
    kit = {f.carburettor: f.kit for f in truth.kit_fits}
    by_number: dict[str, set[str]] = defaultdict(set)
    for mark in truth.marks:
        if mark.role == "identifies":
            by_number[mark.text].add(kit.get(mark.carburettor, ""))
    assert any(len(kits) > 1 for kits in by_number.values())


def test_records_have_gaps_and_leave_the_unlisted_out(truth: Reference) -> None:
    unlisted = choose_unlisted(truth, 1)
    assert 0.04 * 2000 <= len(unlisted) <= 0.08 * 2000
    known = as_recorded(truth, 1, unlisted=unlisted)
    assert not unlisted & {
        row.carburettor for row in (*known.carburettors, *known.marks, *known.kit_fits, *known.came_on)
    }
    listed = len(known.carburettors) * len(truth.feature_kinds)
    assert 0.78 <= len(known.features) / listed <= 0.82


def test_marks_for_speed_are_unique_and_of_a_number_s_length() -> None:
    marks = make_marks(5000, 1)
    assert len(set(marks)) == 5000
    assert {normalised(m) for m in marks} == set(marks)
    assert all(5 <= len(m) <= 10 for m in marks)
    assert make_marks(5000, 1) == marks
