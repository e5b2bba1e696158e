"""The core tag: one label of its own size, or pages of them."""

import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from floatbowl.papers.core_tag import (
    CAUTIONS,
    SIZES_MM,
    CoreTag,
    TagSize,
    core_tag_pdf,
    core_tags_pdf,
    tags_on_a_page,
)
from floatbowl.papers.labels import PAGES_MM
from floatbowl.papers.paper import Page

Words = Callable[[bytes], str]
SIZES: list[TagSize] = ["100 x 54 mm", "62 mm wide"]
TAG = CoreTag(
    job_number="J-0117",
    owner="W. Harrowgate",
    machine="Drumlow Lowfold",
    date=date(2026, 11, 25),
    core_number="C-0451",
    warnings=("NOT DRAINED", "asbestos suspected"),
    job_address="http://shop.local/bench/jobs/117",
)


@pytest.mark.parametrize("size", SIZES)
def test_a_tag_has_its_own_page_and_says_all(size: TagSize, words: Words) -> None:
    pdf = core_tag_pdf(TAG, size)
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    wide_mm, high_mm = SIZES_MM[size]
    assert float(page.mediabox.width) == pytest.approx(wide_mm * 72 / 25.4, abs=0.1)
    assert float(page.mediabox.height) == pytest.approx(high_mm * 72 / 25.4, abs=0.1)
    for want in ("J-0117", "W. Harrowgate", "Drumlow Lowfold", "25 November 2026", "C-0451", "NOT DRAINED", "asbestos"):
        assert want in words(pdf)


def test_the_job_number_is_the_largest_type() -> None:
    sizes: dict[str, float] = {}
    (page,) = PdfReader(io.BytesIO(core_tag_pdf(TAG))).pages

    def note(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            sizes[text.strip()] = size * abs(matrix[0])

    page.extract_text(visitor_text=note)
    assert max(sizes, key=sizes.__getitem__) == "J-0117"
    assert sizes["J-0117"] >= 28


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["W. Harrowgate", "名前"])
def test_the_caution_is_never_cut_short(size: TagSize, name: str, squeezed: Words) -> None:
    for tag in (replace(TAG, owner=name), replace(TAG, owner="W" * 300, machine=name * 99, warnings=("W" * 400,))):
        text = squeezed(core_tag_pdf(tag, size))
        for caution in CAUTIONS:
            assert re.sub(r"\s", "", caution.says + caution.rule) in text


@pytest.mark.parametrize("size", SIZES)
def test_long_words_are_cut_short_with_a_mark_on_one_page(size: TagSize, words: Words) -> None:
    long = "Featherstonehaugh-" * 30
    pdf = core_tag_pdf(replace(TAG, job_number=long, owner=long, machine=long, core_number=long), size)
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1
    assert words(pdf).count("…") >= 4


def test_the_square_code_is_of_the_address(words: Words) -> None:
    assert core_tag_pdf(TAG) != core_tag_pdf(replace(TAG, job_address="http://shop.local/bench/jobs/118"))
    assert "no square code" in words(core_tag_pdf(replace(TAG, job_address="x" * 101)))
    assert "no square code" not in words(core_tag_pdf(replace(TAG, job_address="")))


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    text = words(core_tag_pdf(CoreTag(job_number="")))
    for want in ("no job number", "owner not noted", "machine not noted"):
        assert want in text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_a_sheet_holds_what_it_says_and_goes_on_overleaf(size: TagSize, page: Page) -> None:
    columns, rows = tags_on_a_page(size, page)
    tags = tuple(replace(TAG, job_number=f"J-{n}.") for n in range(columns * rows + 1))
    printed = [sheet.extract_text() for sheet in PdfReader(io.BytesIO(core_tags_pdf(tags, size, page))).pages]
    assert [len(re.findall(r"J-\d+\.", text)) for text in printed] == [columns * rows, 1]


@given(size=st.sampled_from(SIZES), page=st.sampled_from(["A4", "Letter"]))
def test_the_tags_of_a_sheet_lie_within_the_paper(size: TagSize, page: Page) -> None:
    tags = tags_on_a_page(size, page)
    used_mm = [count * side for count, side in zip(tags, SIZES_MM[size], strict=True)]
    assert all(used <= room - 2 * 5 for used, room in zip(used_mm, PAGES_MM[page], strict=True))
    assert min(tags) >= 1


@pytest.mark.parametrize("count", [0, 501])
def test_no_tags_or_too_many_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match="between 1 and 500"):
        core_tags_pdf((TAG,) * count)


@pytest.mark.parametrize("size", ["", "A7"])
def test_an_unknown_size_is_refused_with_the_choices(size: str) -> None:
    with pytest.raises(ValueError, match="62 mm wide"):
        core_tag_pdf(TAG, size)  # type: ignore[arg-type]
