"""The wet-bench test record: outcomes in words, refusals with names, nothing claimed that was not noted."""

import io
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from pypdf import PdfReader

from floatbowl.papers.cautions import GOVERNOR, RUNNING_INDOORS, TEST_FLUID
from floatbowl.papers.test_record import (
    BenchTest,
    Refusal,
    ReplacedPart,
    WetBenchRecord,
    tally,
    wet_bench_record_pdf,
)

Words = Callable[[bytes], str]
HEAD = BenchTest(
    name="Needle and seat under head",
    limit="no drop in 10 min",
    limit_source="common practice, from memory",
    time="10 min",
    before="lost 40 mm",
    after="no drop",
    outcome="pass",
)
RECORD = WetBenchRecord(
    shop_name="Nettlebeck Carburettor Room",
    job_number="J-0117",
    date=date(2026, 12, 10),
    carburettor="Tarnsyke K36/118",
    head="0.75 m",
    fluid="calibrating fluid",
    tested_by="Tobiah Renn",
    tests=(HEAD, replace(HEAD, name="Plate against the lamp", outcome="fail"), BenchTest(name="Drip, tap open")),
    refusals=(Refusal(what="Shaft bushes", refused_by="Wil Harrowgate", written="letter of 2 December 2026"),),
    parts=(ReplacedPart("Needle and seat", "bore 3.2 mm", "kit T-12"),),
    result="Leaves the bench with a known fault.",
)


def test_all_that_was_noted_stands_on_it(words: Words) -> None:
    text = words(wet_bench_record_pdf(RECORD))
    for want in (
        "J-0117", "10 December 2026", "Tarnsyke K36/118", "0.75 m", "calibrating fluid", "Tobiah Renn", HEAD.name,
        HEAD.limit, HEAD.time, HEAD.before, HEAD.after, "Shaft bushes", "Wil Harrowgate", "letter of 2 December 2026",
        "bore 3.2 mm", "kit T-12", RECORD.result,
    ):  # fmt: skip
        assert want in text


def test_outcomes_are_words_and_an_open_one_is_boxes(words: Words) -> None:
    text = words(wet_bench_record_pdf(RECORD))
    assert "PASS" in text
    assert "FAIL" in text
    assert "pass fail not done" in text
    assert "Of 3 tests: 1 pass, 1 fail, 1 with no outcome noted." in text


def test_an_unknown_outcome_is_refused_with_the_choices() -> None:
    with pytest.raises(ValueError, match=r"'Needle and seat under head' 'good': choose one of pass, fail, not done"):
        tally((replace(HEAD, outcome="good"),))  # type: ignore[arg-type]


def test_a_refusal_without_paper_or_name_is_owned_up_to(words: Words) -> None:
    text = words(wet_bench_record_pdf(replace(RECORD, refusals=(Refusal(what="New float"),))))
    assert "a person not noted; nothing in writing is noted" in text


def test_none_is_another_word_than_nobody_said(words: Words) -> None:
    none = words(wet_bench_record_pdf(replace(RECORD, refusals=(), parts=())))
    assert "Nothing was refused." in none
    assert "No part was replaced." in none
    unsaid = words(wet_bench_record_pdf(replace(RECORD, refusals=None, parts=None)))
    assert "Nothing was refused." not in unsaid
    assert "No part was replaced." not in unsaid


def test_blank_it_claims_nothing(words: Words) -> None:
    text = words(wet_bench_record_pdf(WetBenchRecord()))
    assert text.count("not done") >= 8
    assert "PASS" not in text
    assert not re.search(r"Of \d+ test", text)
    assert TEST_FLUID.says.split(":")[0] in text


def test_running_it_on_an_engine_brings_that_caution(squeezed: Words) -> None:
    for caution in (RUNNING_INDOORS, GOVERNOR):
        says = re.sub(r"\s", "", caution.says)
        assert says not in squeezed(wet_bench_record_pdf(RECORD))
        assert says in squeezed(wet_bench_record_pdf(replace(RECORD, on_an_engine=True)))


def test_a_figure_too_wide_for_its_column_is_broken_there() -> None:
    record = replace(RECORD, tests=(replace(HEAD, before="W" * 18),))
    (page, *_) = PdfReader(io.BytesIO(wet_bench_record_pdf(record))).pages
    runs = re.findall("W{2,}", page.extract_text().replace("\u200b", ""))
    column_holds = 22 * 72 / 25.4 / 9
    assert sum(map(len, runs)) == 18
    assert max(map(len, runs)) < column_holds


def test_seventy_tests_repeat_their_heads(pages: Callable[[bytes], list[str]]) -> None:
    tests = tuple(replace(HEAD, name=f"test {n}.", after=f"{n}.5 mm") for n in range(70))
    printed = pages(wet_bench_record_pdf(replace(RECORD, tests=tests)))
    with_rows = [page for page in printed if re.search(r"test \d+\.", page)]
    assert len(with_rows) > 1
    assert all("Outcome" in page and "Before" in page for page in with_rows)
    assert all(sum(f"test {n}." in page and f"{n}.5 mm" in page for page in printed) == 1 for n in range(70))
