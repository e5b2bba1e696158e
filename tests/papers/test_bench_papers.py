"""What every bench paper must stand: any page, a reprint, nothing filled in, anything typed, long names, scripts."""

import io
import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from floatbowl.papers import booking_in, cautions, core_tag, packing_slip, setting_card, strip_sheet, test_record
from floatbowl.papers.booking_in import BookingIn, Casting, Hazard, booking_in_pdf
from floatbowl.papers.core_tag import CoreTag, core_tag_pdf, core_tags_pdf
from floatbowl.papers.paper import Caution, Page, Step, with_own
from floatbowl.papers.setting_card import Setting, SettingCard, setting_card_pdf
from floatbowl.papers.strip_sheet import MeasureRow, NeedleFound, Orientation, StripSheet, strip_sheet_pdf
from floatbowl.papers.test_record import (
    BenchTest,
    Refusal,
    ReplacedPart,
    WetBenchRecord,
    wet_bench_record_pdf,
)

DAY = date(2026, 11, 25)
MIND = Caution("Mind the wasps.", "The beekeeper decides.")
POINTS_PER_MM = 72 / 25.4


def booking(text: str, page: Page = "A4") -> bytes:
    return booking_in_pdf(
        BookingIn(
            shop_name=text,
            shop_address=text,
            job_number=text,
            date=DAY,
            owner_name=text,
            owner_address=text,
            machine=text,
            carburettor=text,
            complaint=text,
            core_number=text,
            castings=(Casting(text, text, text, text),),
            missing=(text,),
            condition=text,
            hazards=(Hazard(text, MIND, True, text),),
            agreed=text,
            agreed_sum=text,
            over_sum=text,
            page=page,
        )
    )


def strip(text: str, page: Page = "A4") -> bytes:
    row = MeasureRow(
        what=text, how=text, tool=text, unit=text, limit=text, limit_source=text, readings=(text,), reason=text,
        verdict="leave", cautions=(MIND,),
    )  # fmt: skip
    return strip_sheet_pdf(
        StripSheet(
            shop_name=text,
            job_number=text,
            date=DAY,
            owner_name=text,
            machine=text,
            carburettor=text,
            steps=(Step(text, (MIND,)),),
            needles=(NeedleFound(text, text, "fuel"),),
            orientations=(Orientation(text, text),),
            rows=(row,),
            done_by=text,
            page=page,
        )
    )


def record(text: str, page: Page = "A4") -> bytes:
    test = BenchTest(name=text, limit=text, limit_source=text, time=text, before=text, after=text, note=text)
    return wet_bench_record_pdf(
        WetBenchRecord(
            shop_name=text,
            job_number=text,
            date=DAY,
            owner_name=text,
            machine=text,
            carburettor=text,
            head=text,
            fluid=text,
            tested_by=text,
            tests=(test,),
            refusals=(Refusal(what=text, refused_by=text, written=text),),
            parts=(ReplacedPart(text, text, text),),
            result=text,
            page=page,
        )
    )


def card(text: str, page: Page = "A4") -> bytes:
    return setting_card_pdf(
        SettingCard(
            shop_name=text,
            date=DAY,
            carburettor=text,
            machine=text,
            job_number=text,
            settings=(Setting(name=text, governs="air", start=text, worked=text, note=text),),
            float_level=text,
            float_datum=text,
            worked_altitude=text,
            worked_fuel=text,
            worked_temperature=text,
            worked_when=text,
            checks=(Step(text),),
            call_us=text,
            page=page,
        )
    )


def tags(text: str, page: Page = "A4") -> bytes:
    tag = CoreTag(
        job_number=text, owner=text, machine=text, date=DAY, core_number=text, warnings=(text,), job_address=text
    )
    return core_tags_pdf((tag, tag), page=page)


SHEETS = [booking, strip, record, card]
PAPERS = [*SHEETS, tags]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("page", "wide_mm", "high_mm"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_page_size(paper: Callable[..., bytes], page: Page, wide_mm: float, high_mm: float) -> None:
    for sheet in PdfReader(io.BytesIO(paper("Lowfold", page))).pages:
        size = (float(sheet.mediabox.width), float(sheet.mediabox.height))
        assert size == pytest.approx((wide_mm * POINTS_PER_MM, high_mm * POINTS_PER_MM), abs=0.1)


@pytest.mark.parametrize("paper", PAPERS)
def test_an_unknown_page_size_is_refused_with_the_choices(paper: Callable[..., bytes]) -> None:
    with pytest.raises(ValueError, match="A4, Letter"):
        paper("Lowfold", "A5")


@pytest.mark.parametrize("paper", PAPERS)
def test_a_reprint_has_the_same_bytes_and_another_text_has_others(paper: Callable[..., bytes]) -> None:
    assert paper("Lowfold") == paper("Lowfold")
    assert paper("Lowfold") != paper("Highfold")


@pytest.mark.parametrize("paper", PAPERS)
def test_the_date_of_the_file_is_the_date_of_the_paper(paper: Callable[..., bytes]) -> None:
    made = PdfReader(io.BytesIO(paper("Lowfold"))).metadata
    assert made is not None
    assert made.creation_date is not None
    assert made.creation_date.date() == DAY


@pytest.mark.parametrize(
    "blank",
    [
        lambda: booking_in_pdf(BookingIn()),
        lambda: strip_sheet_pdf(StripSheet()),
        lambda: wet_bench_record_pdf(WetBenchRecord()),
        lambda: core_tag_pdf(CoreTag(job_number="J-1")),
    ],
)
def test_a_blank_paper_prints_carries_no_date_and_reprints_alike(blank: Callable[[], bytes]) -> None:
    pdf = blank()
    made = PdfReader(io.BytesIO(pdf)).metadata
    assert made is not None
    assert made.creation_date is None
    assert blank() == pdf


#: How often each sheet prints the one text, at the least: every field once.
TIMES = {booking: 19, strip: 18, record: 22, card: 15}


@pytest.mark.parametrize("paper", SHEETS)
def test_what_people_typed_is_never_acted_on(paper: Callable[..., bytes], squeezed: Callable[[bytes], str]) -> None:
    typed = '#panic("no") $x^2$ [b] *strong* _em_ \\ `raw` <label> @ref /* gone */ #{1+1}'
    assert squeezed(paper(typed)).count(re.sub(r"\s", "", typed)) >= TIMES[paper]


def test_what_people_typed_on_a_tag_is_never_acted_on(squeezed: Callable[[bytes], str]) -> None:
    typed = "#{1+1} $x^2$ *b*"
    assert squeezed(core_tag_pdf(CoreTag(job_number=typed, owner=typed, machine=typed))).count("#{1+1}$x^2$*b*") >= 3


@pytest.mark.parametrize("paper", SHEETS)
def test_a_word_without_an_end_loses_nothing_and_stays_within_the_paper(paper: Callable[..., bytes]) -> None:
    pdf = paper("W" * 120)
    printed = [
        line.replace("\u200b", "")
        for page in PdfReader(io.BytesIO(pdf)).pages
        for line in page.extract_text().splitlines()
    ]
    paper_holds = 176 * POINTS_PER_MM / 7
    assert max(len(run) for line in printed for run in re.findall("W+", line)) < paper_holds
    assert "".join(printed).count("W") >= TIMES[paper] * 120


@pytest.mark.parametrize("paper", SHEETS)
def test_texts_longer_than_a_page_go_on_overleaf(
    paper: Callable[..., bytes], pages: Callable[[bytes], list[str]]
) -> None:
    printed = pages(paper("Lowfold " * 100 + "the end"))
    assert len(printed) > 1
    assert len(re.findall("the ?end", " ".join(printed))) >= TIMES[paper]
    for number, page in enumerate(printed, start=1):
        assert f"page {number} of {len(printed)}" in page


@pytest.mark.parametrize("paper", PAPERS)
def test_names_in_the_scripts_of_the_typeface(paper: Any, squeezed: Callable[[bytes], str]) -> None:
    name = "Łódź Ωμέγα Жук Đỗ"
    text = squeezed(paper(name))
    assert name.replace(" ", "") in text
    assert "emptybox" not in text


@pytest.mark.parametrize("paper", PAPERS)
def test_signs_outside_the_typeface_are_owned_up_to(paper: Any, squeezed: Callable[[bytes], str]) -> None:
    assert "emptybox" in squeezed(paper("名前 😀"))


@pytest.mark.parametrize("paper", PAPERS)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=st.text(st.characters(exclude_categories=()), max_size=80))
def test_nothing_typed_can_break_it(paper: Callable[..., bytes], text: str) -> None:
    assert paper(text).startswith(b"%PDF-")


def _cautions_in(value: object) -> list[Caution]:
    if isinstance(value, Caution):
        return [value]
    if isinstance(value, tuple):
        return [caution for inner in value for caution in _cautions_in(inner)]
    if is_dataclass(value):
        return [caution for field in fields(value) for caution in _cautions_in(getattr(value, field.name))]
    return []


def test_every_caution_of_every_paper_names_who_decides() -> None:
    modules = (booking_in, cautions, core_tag, packing_slip, setting_card, strip_sheet, test_record)
    found = [caution for module in modules for value in vars(module).values() for caution in _cautions_in(value)]
    assert len(set(found)) >= 20
    assert [caution for caution in found if not re.search(r"\bdecides?\b", caution.rule)] == []


@pytest.mark.parametrize(("says", "rule"), [("Mind.", ""), ("", "The shop decides."), ("Mind.", "  ")])
def test_a_caution_without_a_rule_is_refused(says: str, rule: str) -> None:
    with pytest.raises(ValueError, match="whose rule decides"):
        Caution(says, rule)


def test_no_caution_is_listed_twice_and_the_papers_own_come_first() -> None:
    assert with_own((MIND,), (MIND, cautions.LEAK)) == (MIND, cautions.LEAK)


@pytest.mark.parametrize(
    ("own", "pdf"),
    [
        (booking_in.CAUTIONS, lambda more: booking_in_pdf(BookingIn(cautions=more))),
        (tuple(hazard.caution for hazard in booking_in.HAZARDS), lambda more: booking_in_pdf(BookingIn(cautions=more))),
        (strip_sheet.CAUTIONS, lambda more: strip_sheet_pdf(StripSheet(cautions=more, steps=()))),
        (strip_sheet.CAUTIONS, lambda more: strip_sheet_pdf(StripSheet(cautions=more))),
        (test_record.CAUTIONS, lambda more: wet_bench_record_pdf(WetBenchRecord(cautions=more))),
        (setting_card.CAUTIONS, lambda more: setting_card_pdf(SettingCard(shop_name="", date=DAY, cautions=more))),
    ],
)
def test_the_papers_own_cautions_cannot_be_left_out(
    own: tuple[Caution, ...], pdf: Any, squeezed: Callable[[bytes], str]
) -> None:
    text = squeezed(pdf((MIND,)))
    for caution in (*own, MIND):
        for part in (caution.says, caution.rule):
            assert re.sub(r"\s+", "", part) in text


def test_a_step_is_kept_with_its_cautions(pages: Callable[[bytes], list[str]]) -> None:
    steps = tuple(Step(f"Step number {n}.", (replace(MIND, says=f"Mind wasp {n}."),)) for n in range(25))
    printed = pages(strip_sheet_pdf(StripSheet(steps=steps)))
    assert len(printed) > 1
    for n in range(25):
        assert any(f"Step number {n}." in page and f"Mind wasp {n}." in page for page in printed)
