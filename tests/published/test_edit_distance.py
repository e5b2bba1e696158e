"""Edit distance as the limit of the error model when errors become ever rarer.

With one small probability e for every error, P(reading | mark) is about e to the power of the number of errors of the
best alignment, so log P / log e goes to the edit distance. The published distances are literals; RapidFuzz gives those
of random pairs. It checks the alignments of the forward sum (wrong, extra, lost, exchanged characters), not its rates.
"""

from __future__ import annotations

import math
from random import Random

import pytest
from rapidfuzz.distance import OSA, Levenshtein

from floatbowl.identify.marks import MarkIndex
from floatbowl.identify.numbers import DIGITS_AND_LETTERS
from floatbowl.identify.wear import ErrorModel, Rates

#: So rare that many alignments never weigh as much as one error more, yet nine errors do not underflow.
RARE = 1e-30
NEVER = 1e-300
OTHERS = len(DIGITS_AND_LETTERS)


def rates(wrong: float = RARE, extra: float = RARE, gone: float = RARE, swap: float = NEVER) -> Rates:
    """Rates at which each *particular* wrong or extra character has the given probability, and nothing else happens."""
    return Rates(
        start_worn=NEVER, go_worn=NEVER, stay_worn=NEVER,
        wrong_clean=wrong * OTHERS, wrong_worn=NEVER, alike_clean=NEVER, alike_worn=NEVER,
        unread_clean=NEVER, unread_worn=NEVER, doubt_clean=NEVER, doubt_worn=NEVER,
        gone_clean=gone, gone_worn=NEVER, extra=extra * (OTHERS + 1), extra_unread=NEVER, swap=swap,
        lost_start=NEVER, lost_more=NEVER, lost_end=NEVER, star=NEVER, inverted=NEVER, lines=NEVER,
    )  # fmt: skip


def distance(mark: str, reading: str, r: Rates) -> float:
    """How many errors of probability RARE the model needs, rounded nowhere."""
    model = ErrorModel(r, r, r, r)
    return float(MarkIndex([mark.upper()], error_model=model).log_likelihoods(reading)[0]) / math.log(RARE)


@pytest.mark.parametrize(
    ("mark", "reading", "printed"),
    [
        # V. I. Levenshtein's distance as in every text on it; "Levenshtein distance", Wikipedia, section "Example".
        ("kitten", "sitting", 3),
        # R. A. Wagner, M. J. Fischer's algorithm, matrix printed for "Saturday" and "Sunday"
        # ("Wagner-Fischer algorithm", Wikipedia; from memory).
        ("saturday", "sunday", 3),
        # D. Jurafsky, J. H. Martin, Speech and Language Processing, 3rd edition draft, section "Minimum Edit Distance".
        ("intention", "execution", 5),
    ],
)
def test_published_levenshtein_distances(mark: str, reading: str, printed: int) -> None:
    assert distance(mark, reading, rates()) == pytest.approx(printed, abs=0.06)


def test_published_distance_when_a_substitution_costs_two() -> None:
    """Jurafsky & Martin, same section: with substitution at cost 2, intention and execution are 8 apart (its table)."""
    assert distance("intention", "execution", rates(wrong=RARE**2)) == pytest.approx(8, abs=0.12)


def test_published_optimal_string_alignment_distance() -> None:
    """Wikipedia, "Damerau-Levenshtein distance": optimal string alignment of CA and ABC is 3, since no exchanged pair
    is edited again."""
    assert distance("CA", "ABC", rates(swap=RARE)) == pytest.approx(3, abs=0.06)
    assert distance("CA", "AC", rates(swap=RARE)) == pytest.approx(1, abs=0.06)
    assert distance("CA", "AC", rates()) == pytest.approx(2, abs=0.06)


def random_pairs(count: int) -> list[tuple[str, str]]:
    random = Random(206)
    found = []
    while len(found) < count:
        mark = "".join(random.choices("ABCD12", k=random.randint(1, 7)))
        reading = list(mark)
        for _ in range(random.randint(0, 4)):
            at = random.randrange(len(reading) + 1)
            reading[at : at + random.randint(0, 1)] = random.choices("ABCD12", k=random.randint(0, 1))
        if random.random() < 0.3 and len(reading) > 1:
            at = random.randrange(len(reading) - 1)
            reading[at], reading[at + 1] = reading[at + 1], reading[at]
        if reading:
            found.append((mark, "".join(reading)))
    return found


def test_rapidfuzz_levenshtein_is_the_limit() -> None:
    r = rates()
    for mark, reading in random_pairs(150):
        assert round(distance(mark, reading, r)) == Levenshtein.distance(mark, reading), (mark, reading)


def test_rapidfuzz_optimal_string_alignment_is_the_limit_with_exchanged_neighbours() -> None:
    r = rates(swap=RARE)
    for mark, reading in random_pairs(150):
        assert round(distance(mark, reading, r)) == OSA.distance(mark, reading), (mark, reading)


def test_the_ratio_comes_closer_to_the_distance_as_errors_become_rarer() -> None:
    marks = "ABCD12", "AC1D2", "B1"
    for mark in marks:
        exact = Levenshtein.distance(mark, "ACBD12")
        off = []
        for rare in (1e-6, 1e-12, 1e-24):
            r = rates(rare, rare, rare)
            index = MarkIndex([mark], error_model=ErrorModel(r, r, r, r))
            off.append(abs(float(index.log_likelihoods("ACBD12")[0]) / math.log(rare) - exact))
        assert off[0] >= off[1] >= off[2]
        assert off[2] < 0.05


def test_marks_rank_as_by_edit_distance() -> None:
    r = rates()
    marks = sorted({mark for mark, _ in random_pairs(80)})
    index = MarkIndex(marks, error_model=ErrorModel(r, r, r, r))
    for reading in ("A1B2", "CD12A", "BB"):
        logs = index.log_likelihoods(reading)
        nearer = [Levenshtein.distance(mark, reading) for mark in marks]
        for a in range(len(marks)):
            assert all(logs[a] > logs[b] for b in range(len(marks)) if nearer[a] < nearer[b])
