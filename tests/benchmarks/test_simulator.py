from __future__ import annotations

import ast
import random
from collections import Counter
from pathlib import Path

import pytest
from benchmarks.catalogue import choose_unlisted, make_truth
from benchmarks.grammar import normalised
from benchmarks.lines import enquiry_line
from benchmarks.simulator import Case, simulate

from benchmarks import damage
from floatbowl.reference.facts import Reference

ROOT = Path(__file__).resolve().parents[2]
#: These run the engine; everything else must not know it.
MEASURING = {"accuracy.py", "photographs_to_kit.py", "speed.py"}


@pytest.fixture(scope="module")
def truth() -> Reference:
    return make_truth(2000, 1)


@pytest.fixture(scope="module")
def unlisted(truth: Reference) -> frozenset[str]:
    return choose_unlisted(truth, 1)


@pytest.fixture(scope="module")
def cases(truth: Reference, unlisted: frozenset[str]) -> list[Case]:
    return simulate(truth, 4000, 3, unlisted=unlisted)


def share(cases: list[Case], trouble: str) -> float:
    return sum(trouble in case.troubles for case in cases) / len(cases)


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
    return names


def test_the_simulator_and_the_baseline_know_nothing_of_the_weighing() -> None:
    files = [path for path in (ROOT / "benchmarks").glob("*.py") if path.name not in MEASURING]
    assert {"simulator.py", "damage.py", "soft_edit_distance.py"} <= {path.name for path in files}
    for path in files:
        assert not {name for name in imported(path) if "identify" in name}, path.name


def test_same_seed_same_cases(truth: Reference, unlisted: frozenset[str], cases: list[Case]) -> None:
    assert simulate(truth, 4000, 3, unlisted=unlisted) == cases
    assert simulate(truth, 50, 4, unlisted=unlisted) != cases[:50]


def test_rates_are_near_what_is_claimed(cases: list[Case]) -> None:
    listed = [c for c in cases if c.truth]
    assert 1 - len(listed) / len(cases) == pytest.approx(0.05, abs=0.012)
    assert share(cases, "casting number given") == pytest.approx(0.11, abs=0.025)
    with_machine = [c for c in listed if c.enquiry.machine]
    assert len(with_machine) / len(listed) == pytest.approx(0.5, abs=0.03)
    assert share(with_machine, "swapped") == pytest.approx(0.15, abs=0.03)
    assert share(cases, "prefix only") == pytest.approx(0.03, abs=0.012)
    assert share(cases, "worn patch") == pytest.approx(0.25, abs=0.04)


def test_little_evidence_is_a_reading_and_at_most_two_looks(cases: list[Case]) -> None:
    assert {len(c.enquiry.readings) for c in cases} == {1}
    looks = Counter(len(c.enquiry.looks) for c in cases)
    assert set(looks) == {0, 1, 2}
    assert looks.most_common(1)[0][0] == 1


def test_plentiful_evidence_is_four_to_six_looks(truth: Reference) -> None:
    rich = simulate(truth, 400, 3, "plentiful")
    assert {len(c.enquiry.looks) for c in rich} == {4, 5, 6}
    assert sum(bool(c.enquiry.machine) for c in rich) / 400 == pytest.approx(0.8, abs=0.06)
    assert any(len(c.enquiry.readings) == 2 for c in rich)


def test_a_true_answer_comes_from_the_carburettor_in_hand(truth: Reference, cases: list[Case]) -> None:
    values = {(f.carburettor, f.feature): f.value for f in truth.features}
    kind = {k.feature: k.kind for k in truth.feature_kinds}
    for case in cases:
        for look in case.enquiry.looks:
            if case.truth and kind[look.feature] == "choice" and "wrong look" not in case.troubles:
                assert look.value in (values[case.truth, look.feature], "unsure", "cannot see")


def test_kits_are_those_that_fit_the_truth(truth: Reference, cases: list[Case], unlisted: frozenset[str]) -> None:
    fits = {(f.kit, f.carburettor) for f in truth.kit_fits}
    for case in cases:
        assert all((kit, case.truth) in fits for kit in case.kits)
        assert case.truth not in unlisted
        assert bool(case.kits) <= bool(case.truth)


def test_an_untroubled_reading_is_one_of_the_carburettors_marks(truth: Reference, cases: list[Case]) -> None:
    marks = {(m.carburettor, normalised(m.text)) for m in truth.marks}
    clean = [
        c for c in cases if c.truth and c.enquiry.readings[0].text and not c.troubles - {"swapped", "wrong look"}
    ]  # fmt: skip
    right = sum((c.truth, normalised(c.enquiry.readings[0].text)) in marks for c in clean)
    assert len(clean) > 0.4 * len(cases)
    assert right / len(clean) > 0.97


def test_more_error_makes_fewer_clean_readings(truth: Reference) -> None:
    marks = {(m.carburettor, normalised(m.text)) for m in truth.marks}

    def clean(factor: float) -> float:
        drawn = simulate(truth, 1500, 5, error_factor=factor)
        return sum((c.truth, normalised(c.enquiry.readings[0].text)) in marks for c in drawn) / len(drawn)

    assert clean(1.0) > clean(2.0) + 0.08 > clean(3.0) + 0.12


def test_hybrids_have_evidence_on_two_castings_of_two_carburettors(truth: Reference) -> None:
    hybrids = simulate(truth, 200, 3, "castings", hybrid=True)
    assert all(c.mixed and c.truth is None and not c.kits for c in hybrids)
    both = [c for c in hybrids if len(c.enquiry.readings) >= 2]
    assert len(both) > 120
    assert all(3 <= len(c.enquiry.looks) <= 6 for c in hybrids)
    marks: dict[tuple[str, str], set[str]] = {}
    for mark in truth.marks:
        marks.setdefault((mark.part, normalised(mark.text)), set()).add(mark.carburettor)
    bearers = [[marks.get((r.part, normalised(r.text)), set()) for r in c.enquiry.readings[:2]] for c in both]
    clear = [pair for pair in bearers if pair[0] and pair[1]]
    assert len(clear) > 50
    assert sum(not pair[0] & pair[1] for pair in clear) / len(clear) > 0.9


def test_wear_comes_in_patches() -> None:
    """Neighbours share their wear: given one worn character, the next one is worn far more often than any."""
    rng = random.Random(1)
    lines = [damage.worn("ABCDEFGH", "stamped", 1.0, rng) for _ in range(3000)]
    worn = [[p.damage > 0.4 for p in line.places] for line in lines]
    anywhere = sum(map(sum, worn)) / (8 * len(worn))
    after = [row[i + 1] for row in worn for i in range(7) if row[i]]
    assert sum(after) / len(after) > 3 * anywhere


def test_a_torn_end_loses_characters_at_an_end_only() -> None:
    rng = random.Random(2)
    for _ in range(500):
        line = damage.worn("ABCDEFGH", "stamped", 0.0, rng)
        damage.tear(line, 1 / damage.TORN, rng)
        kept = "".join(p.true for p in line.places)
        assert kept
        assert kept in "ABCDEFGH"
        assert kept == "ABCDEFGH"[: len(kept)] or kept == "ABCDEFGH"[-len(kept) :]
        assert len(kept) < 8


def test_upside_down_turns_every_character_and_their_order() -> None:
    line = damage.Line([damage.Place(c, written=c) for c in "6890"])
    damage.turn_over(line, 1 / damage.UPSIDE_DOWN, random.Random(0))
    assert line.text() == "0689"


def test_photographs_give_chances_per_place(cases: list[Case]) -> None:
    cells = [r.cells for c in cases for r in c.enquiry.readings if r.cells]
    assert cells
    for reading in cells:
        for cell in reading:
            assert sum(p for _, p in cell) <= 1.0005
            assert all(p >= 0 for _, p in cell)


def test_every_case_can_be_written_as_a_line(cases: list[Case]) -> None:
    assert all(enquiry_line(case.enquiry).startswith('{"enquiry": "E') for case in cases[:200])
