from __future__ import annotations

import numpy as np
import pytest
from benchmarks.catalogue import as_recorded, choose_unlisted, make_truth
from benchmarks.edit_distance import coded, distances, tokens
from benchmarks.simulator import simulate
from benchmarks.soft_edit_distance import SoftEditDistance
from benchmarks.tuning import tune
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from floatbowl.reference.facts import Reference
from floatbowl.reference.observed import Enquiry, Look, Reading


def distance(text: str, mark: str) -> float:
    taken = tokens(Reading(text))
    return float(distances(taken.costs, taken.dropped, taken.star, *coded([mark]))[0])


def plain(places: list[str], mark: str) -> float:
    """The same by recursion over both ends: a place is ``?``, ``*``, or the characters that match."""
    if not places:
        return len(mark)
    first, rest = places[0], places[1:]
    if first == "*":
        return min(plain(rest, mark[i:]) for i in range(len(mark) + 1))
    options = [1 + plain(rest, mark)]
    if mark:
        options.append((0 if first == "?" or mark[0] in first else 1) + plain(rest, mark[1:]))
        options.append(1 + plain(places, mark[1:]))
    return min(options)


@given(st.text("AB12", max_size=7), st.text("AB12", min_size=1, max_size=7))
def test_without_signs_it_is_the_edit_distance(text: str, mark: str) -> None:
    taken = tokens(Reading(text or "-"))
    if text:
        assert distances(taken.costs, taken.dropped, taken.star, *coded([mark]))[0] == Levenshtein.distance(text, mark)
    else:
        assert len(taken.star) == 0


@given(
    st.lists(st.sampled_from(["A", "B", "1", "?", "*", "AB"]), min_size=1, max_size=4),
    st.text("AB1", min_size=1, max_size=5),
)
def test_with_signs_it_equals_plain_python(places: list[str], mark: str) -> None:
    text = "".join(f"[{p}]" if len(p) > 1 else p for p in places)
    assert distance(text, mark) == plain(places, mark)


@pytest.mark.parametrize(
    ("text", "mark", "expected"),
    [
        ("K3?118", "K36118", 0),
        ("K[38]6118", "K36118", 0),
        ("K3*", "K36118", 0),
        ("K[12]6118", "K36118", 1),
        ("*", "K36", 0),
    ],
)
def test_signs(text: str, mark: str, expected: float) -> None:
    assert distance(text, mark) == expected


def test_a_photograph_s_place_costs_one_less_its_chance() -> None:
    taken = tokens(Reading(cells=((("8", 0.7), ("3", 0.2), ("", 0.1)),)))
    got = distances(taken.costs, taken.dropped, taken.star, *coded(["8", "3", "7"]))
    assert got == pytest.approx([0.3, 0.8, 1.0])


@pytest.fixture(scope="module")
def known() -> tuple[Reference, Reference, frozenset[str]]:
    truth = make_truth(600, 1)
    unlisted = choose_unlisted(truth, 1)
    return truth, as_recorded(truth, 1, unlisted=unlisted), unlisted


def test_chances_sum_to_one_and_equal_plain_sums(known: tuple[Reference, Reference, frozenset[str]]) -> None:
    """One reading and one look, worked out carburettor by carburettor."""
    _, reference, _ = known
    model = SoftEditDistance(reference)
    reading = Reading("K3?/1")
    kind = next(k for k in reference.feature_kinds if k.feature == "magnet body")
    look = Look("magnet body", "sticks")
    [(chances, not_listed)] = model.posteriors(Enquiry("E", readings=(reading,), looks=(look,)), [(2.0, 1.0)])
    assert chances.sum() + not_listed == pytest.approx(1.0)
    marks: dict[str, list[float]] = {}
    for mark in reference.marks:
        weight = {"identifies": 1.0, "casting": 0.1, "family": 0.03, "cross": 0.05}[mark.role]
        text = "".join(c for c in mark.text if c.isalnum() or c in "{}")
        score = weight * np.exp(-2.0 * plain(["K", "3", "?", "1"], text))
        marks.setdefault(mark.carburettor, []).append(score)
    value = {f.carburettor: f.value for f in reference.features if f.feature == "magnet body"}
    said = {"sticks": 1 - (kind.wrong_untold or 0), "does not": kind.wrong_untold or 0}
    expected = {c.carburettor: (c.share or 0) * max(marks[c.carburettor]) * said[value[c.carburettor]]
                for c in reference.carburettors if c.carburettor in value}  # fmt: skip
    got = {name: chances[model.at[name]] for name in expected}
    total, got_total = sum(expected.values()), sum(got.values())
    for name, weight in expected.items():
        assert got[name] / got_total == pytest.approx(weight / total, rel=1e-9)


def test_the_machine_orders_the_candidates(known: tuple[Reference, Reference, frozenset[str]]) -> None:
    _, reference, _ = known
    model = SoftEditDistance(reference)
    row = reference.came_on[0]
    [(chances, _)] = model.posteriors(Enquiry("E", machine=row.machine), [(3.0, 1.0)])
    options = [model.at[r.carburettor] for r in reference.came_on if r.machine == row.machine]
    assert chances[options].sum() == pytest.approx(0.95 * (0.85 + 0.15 * model.share[options].sum()))


def test_tuning_finds_the_setting_with_the_least_log_loss(known: tuple[Reference, Reference, frozenset[str]]) -> None:
    truth, reference, unlisted = known
    model = SoftEditDistance(reference)
    cases = [c for c in simulate(truth, 60, 2, unlisted=unlisted) if c.kits or c.truth is None]
    (sharpness, far), loss = tune(model, cases)

    def by_hand(setting: tuple[float, float]) -> float:
        total = 0.0
        for case in cases:
            [(chances, not_listed)] = model.posteriors(case.enquiry, [setting])
            kits = dict(zip(model.kit_names, model.kits(chances), strict=True))
            right = not_listed if case.truth is None else max(kits[k] for k in case.kits)
            total -= float(np.log(max(right, 1e-6)))
        return total / len(cases)

    assert by_hand((sharpness, far)) == pytest.approx(loss)
    assert loss < by_hand((1.0, far)) or sharpness == 1.0
    assert loss <= by_hand((sharpness + 1.0, far)) + 1e-9
