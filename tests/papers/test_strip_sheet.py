"""The strip and measuring sheet, filled in and blank."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from floatbowl.papers.cautions import FLOAT_HEAT
from floatbowl.papers.needles import direction
from floatbowl.papers.paper import Caution
from floatbowl.papers.strip_sheet import (
    ORIENTATIONS,
    STRIP_ORDER,
    VERDICTS,
    MeasureRow,
    NeedleFound,
    Orientation,
    StripSheet,
    Verdict,
    strip_sheet_pdf,
)

Words = Callable[[bytes], str]
Pages = Callable[[bytes], list[str]]
PLAY = MeasureRow(
    what="Throttle shaft side play",
    how="Dial gauge, both ends.",
    tool="dial gauge",
    unit="mm",
    limit="0.13 mm",
    limit_source="updraft handbook",
    readings=("0.24", "0.26"),
    verdict="repair",
    reason="lets in a fifth of the idle air",
)
SHEET = StripSheet(
    job_number="J-0117",
    date=date(2026, 11, 25),
    needles=(NeedleFound("Idle needle", "1 1/4", "air"), NeedleFound("Main needle", "2 1/8", "fuel")),
    orientations=(Orientation("Venturi", "narrow end down"),),
    rows=(PLAY,),
)


def test_all_that_was_measured_stands_on_it(words: Words) -> None:
    text = words(strip_sheet_pdf(SHEET))
    for want in ("J-0117", "1 1/4", "2 1/8", "narrow end down", PLAY.what, PLAY.how, "With: dial gauge", "unit: mm",
                 "0.13 mm", PLAY.limit_source, "0.24", "0.26", "repair", PLAY.reason):  # fmt: skip
        assert want in text


def test_each_needle_says_which_way_is_richer(words: Words) -> None:
    text = words(strip_sheet_pdf(SHEET))
    assert "needle for AIR: out is leaner, in is richer" in text
    assert "needle for FUEL: out is richer, in is leaner" in text


def test_a_needle_nobody_looked_at_has_both_to_tick(words: Words) -> None:
    text = words(strip_sheet_pdf(replace(SHEET, needles=(NeedleFound("Idle needle"),))))
    assert "for FUEL: out is richer for AIR: out is leaner" in text


def test_directions_of_the_two_kinds_of_needle_are_opposite() -> None:
    assert "out is richer" in direction("fuel")
    assert "out is leaner" in direction("air")
    with pytest.raises(ValueError, match="choose one of fuel, air, neither"):
        direction("water")  # type: ignore[arg-type]


def test_a_given_verdict_is_said_and_the_others_are_not(words: Words) -> None:
    assert re.search(r"✓ ?repair", words(strip_sheet_pdf(SHEET)))
    assert "refuse" not in words(strip_sheet_pdf(SHEET))


def test_without_a_verdict_all_are_there_to_tick(words: Words) -> None:
    text = words(strip_sheet_pdf(replace(SHEET, rows=(replace(PLAY, verdict="", reason=""),))))
    assert all(verdict in text for verdict in VERDICTS)
    assert "✓" not in text


def test_an_unknown_verdict_is_refused_with_the_choices() -> None:
    bad: Verdict = "perhaps"  # type: ignore[assignment]
    with pytest.raises(ValueError, match="'perhaps': choose one of leave, repair"):
        strip_sheet_pdf(replace(SHEET, rows=(replace(PLAY, verdict=bad),)))


def test_a_fourth_reading_is_kept(words: Words) -> None:
    readings = ("0.21", "0.22", "0.23", "0.24", "0.25")
    text = words(strip_sheet_pdf(replace(SHEET, rows=(replace(PLAY, readings=readings),))))
    assert all(reading in text for reading in readings)


def test_a_reading_too_long_for_a_box_is_kept(words: Words) -> None:
    told = "sticks at the far end, 0.24 when pressed"
    assert told in words(strip_sheet_pdf(replace(SHEET, rows=(replace(PLAY, readings=("0.25", told)),))))


def test_a_figure_without_a_source_is_owned_up_to(words: Words) -> None:
    assert "is not recorded" in words(strip_sheet_pdf(replace(SHEET, rows=(replace(PLAY, limit_source=""),))))
    assert "no limit on record" in words(strip_sheet_pdf(replace(SHEET, rows=(replace(PLAY, limit=""),))))


def test_blank_it_asks_for_everything(words: Words) -> None:
    text = words(strip_sheet_pdf(StripSheet()))
    for want in ("Turns out", "Idle needle", "Main needle", *ORIENTATIONS, "what is measured", "Measured by"):
        assert want in text
    assert text.count("measure again") >= 10


def test_the_order_of_the_strip_is_kept(squeezed: Words) -> None:
    text = squeezed(strip_sheet_pdf(SHEET))
    places = [text.index(re.sub(r"\s", "", step.says)) for step in STRIP_ORDER]
    assert places == sorted(places)


def test_two_hundred_rows_repeat_their_heads_and_keep_their_cautions(pages: Pages) -> None:
    rows = tuple(
        replace(
            PLAY, what=f"thing {n}.", readings=(f"{n}.25", f"{n}.75"), cautions=(Caution(f"mind {n}.", "I decide."),)
        )
        for n in range(200)
    )
    printed = pages(strip_sheet_pdf(replace(SHEET, rows=rows)))
    with_rows = [page for page in printed if re.search(r"thing \d", page)]
    assert all("Limit, and its source" in page and "Verdict" in page for page in with_rows)
    assert all("J-0117" in page for page in printed)
    for n in range(200):
        assert sum(f"thing {n}." in page and f"mind {n}." in page and f"{n}.75" in page for page in printed) == 1


def test_a_rows_caution_stands_above_it(squeezed: Words) -> None:
    text = squeezed(strip_sheet_pdf(replace(SHEET, steps=(), rows=(replace(PLAY, cautions=(FLOAT_HEAT,)),))))
    says = re.sub(r"\s", "", FLOAT_HEAT.says)
    assert text.rindex(says) < text.index("Throttleshaftsideplay")
    assert "Takecare:" + says in text
