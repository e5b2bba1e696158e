"""Air bled into the well: direction and size order only."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from floatbowl.work_out.air_bleed import AIR_BLEED
from floatbowl.work_out.calculation import DIRECTION_ONLY, answered

MM = 1e-3


@given(st.floats(0.1, 2.8), st.floats(600, 20_000))
def test_more_bleed_is_never_richer(bleed_mm: float, suction_pa: float) -> None:
    told = {"suction_pa": suction_pa, "main_m": 1.3 * MM, "nozzle_m": 3 * MM, "lip_m": 2 * MM}
    less, more = (
        answered(AIR_BLEED, {**told, "bleed_m": bleed * MM}, {})[0].figures[0].value
        for bleed in (bleed_mm, bleed_mm + 0.1)
    )
    assert more <= less + 1e-9


def test_it_says_that_it_is_a_mere_direction() -> None:
    answer, _ = answered(AIR_BLEED, {})
    assert DIRECTION_ONLY in answer.says
    assert not AIR_BLEED.validated
