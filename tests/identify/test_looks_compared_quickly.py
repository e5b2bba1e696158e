"""The compiled comparison of looks equals the plain mutual information of the joint table it stands for."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from worked_shop import worked_shop

from floatbowl.identify import outlook
from floatbowl.identify.encoded import NONE, encode, plain_texts
from floatbowl.identify.features import ChoiceColumn, MeasureColumn
from floatbowl.identify.numbers import Alphabet, symbols_of_mark
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.observed import Enquiry, Look, Reading

WEIGHER = Weigher(worked_shop())
ENQUIRIES = (
    Enquiry(),
    Enquiry(machine="lowfold"),
    Enquiry(readings=(Reading("K3?/11[83]", part="tag"),)),
    Enquiry(readings=(Reading("206", part="lid"),), looks=(Look("inlet side", "left"),)),
    Enquiry(looks=(Look("bolt spacing", 58.0, spread=2.0), Look("vent", "no")), want_level="full"),
)


@pytest.fixture(params=range(len(ENQUIRIES)))
def standing(request: pytest.FixtureRequest) -> Standing:
    return WEIGHER.weigh(ENQUIRIES[request.param])


def test_gains_equal_the_mutual_information_of_the_joint_table(standing: Standing) -> None:
    pool = outlook.candidates(standing)
    told = []
    for column in WEIGHER.features.values():
        if isinstance(column, ChoiceColumn):
            quick = outlook.choice_gain_bits(standing, pool, column)
            joint = outlook.choice_joint(standing, pool, column)
        else:
            quick = outlook.measure_gain_bits(pool, column)
            joint = outlook.measure_joint(pool, column)
        assert quick == pytest.approx(outlook.gain_bits(joint), abs=1e-12)
        told.append(quick)
    assert max(told) > 0.01


def test_a_mark_tells_what_its_joint_table_tells(standing: Standing) -> None:
    pool = outlook.candidates(standing)
    for part in WEIGHER.identifying_parts:
        marks, code = np.unique(WEIGHER.mark_on(part)[pool.at], return_inverse=True)
        joint = np.zeros((marks.size, pool.groups.size))
        np.add.at(joint, (code, pool.group), pool.probability)
        assert outlook.mark_gain_bits(standing, pool, part) == pytest.approx(outlook.gain_bits(joint), abs=1e-12)
        assert outlook.settled_by_mark(standing, pool, part) == pytest.approx(joint.max(axis=1).sum(), abs=1e-12)


def test_candidates_stand_group_by_group(standing: Standing) -> None:
    pool = outlook.candidates(standing)
    assert (np.diff(pool.group) >= 0).all()
    groups = WEIGHER.kit_groups(standing.enquiry.want_level, standing.enquiry.want_fuel)
    assert (groups[pool.at] == pool.groups[pool.group]).all()
    np.testing.assert_allclose(pool.by_group, np.bincount(pool.group, pool.probability), rtol=1e-14)
    assert pool.probability.sum() == pytest.approx(1.0)


def test_a_rule_shows_one_of_the_intervals_and_leaves_the_groups_their_chances() -> None:
    column = WEIGHER.features["bolt spacing"]
    assert isinstance(column, MeasureColumn)
    pool = outlook.candidates(WEIGHER.weigh(Enquiry()))
    joint = outlook.measure_joint(pool, column)
    # Hardly anything is shown outside all intervals, and the groups keep their chances.
    assert joint.sum() == pytest.approx(1.0, abs=0.01)
    np.testing.assert_allclose(joint.sum(axis=0) / joint.sum(), pool.by_group, atol=0.003)


@settings(max_examples=200)
@given(st.lists(st.text(alphabet="kK0-9/. {}[]?é□Ω+\\", max_size=12), max_size=8))
def test_texts_in_symbols_are_as_their_marks_one_by_one(texts: list[str]) -> None:
    alphabet = Alphabet(("K0",))
    plain = plain_texts(texts, alphabet)
    rows, lengths = encode([plain[text] for text in texts], alphabet)
    for text, row, length in zip(texts, rows.tolist(), lengths.tolist(), strict=True):
        assert tuple(row[:length]) == symbols_of_mark(text, alphabet)
        assert set(row[length:]) <= {NONE}
