from __future__ import annotations

import pytest
from benchmarks.scoring import (
    Outcome,
    calibration_error,
    flagged,
    sent_figures,
    told_though_unlisted,
    wrong_among_surest,
)


def outcome(probability: float, right: bool, **more: object) -> Outcome:
    return Outcome(
        **({"kit": "K", "probability": probability, "right": right, "unlisted": False, "hybrid": False} | more)
    )  # type: ignore[arg-type]


def test_the_least_sure_fifth_is_set_aside() -> None:
    cases = [outcome(0.9, True)] * 7 + [outcome(0.8, False)] + [outcome(0.1, False)] * 2
    assert wrong_among_surest(cases) == pytest.approx(1 / 8)


def test_calibration_error_is_the_weighed_gap_by_bin() -> None:
    cases = [outcome(0.9, True)] * 8 + [outcome(0.9, False)] * 2 + [outcome(0.5, True)] * 10
    assert calibration_error(cases) == pytest.approx((10 * 0.1 + 10 * 0.5) / 20)
    assert calibration_error([outcome(1.0, True)] * 4) == 0.0


def test_sent_told_and_flagged_count_only_their_own() -> None:
    cases = [
        outcome(0.999, False, unlisted=True, action="send"),
        outcome(0.6, False, unlisted=True, mixed=0.5),
        outcome(0.9, True, action="send", sent_right=True),
        outcome(0.9, True, action="ask"),
    ]
    assert sent_figures(cases) == (0.5, 0.5)
    assert told_though_unlisted(cases) == 0.5
    assert flagged(cases, 0.5) == 0.25
