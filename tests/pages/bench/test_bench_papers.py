"""The bench's papers, filled from a job."""

from __future__ import annotations

import csv

import pytest
from tests.pages.bench.conftest import Bench
from tests.pages.bench.conftest import pdf_text as _text

from floatbowl.shop.jobs.papers import PAPERS
from floatbowl.shop.models import Job


@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("page", ["Letter"])
def test_every_paper_prints_and_prints_the_same_again(bench: Bench, kind: str, page: str) -> None:
    address = f"{bench.at}paper/{kind}.pdf?page={page}"
    first, again = (bench.client.get(address) for _ in range(2))
    assert first["Content-Type"] == "application/pdf"
    assert first.content == again.content
    assert f"{bench.number}" in _text(first.content)


def test_the_setting_card_has_direction_datum_and_what_worked(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(carburettor="206-d-3", machine_text="Drumlow Lowfold")
    bench.write("build.level", "5/8")
    bench.fill("build")
    bench.write("on-the-engine.who", "we do")
    bench.fill("on-the-engine")
    text = _text(bench.client.get(f"{bench.at}paper/setting-card.pdf").content)
    assert "needle for AIR: out is leaner" in text
    assert "120 m" in text
    assert "15.88 mm (5/8 in)" in text
    assert "carbon monoxide" in text


def test_the_test_record_says_what_was_refused(bench: Bench) -> None:
    bench.write("wet-bench.plate", "refused in writing")
    bench.write("wet-bench.refused", "light at the plate, owner keeps his own plate: A. Pickard")
    bench.write("wet-bench.refused by", "A. Pickard, letter of 3 March")
    bench.fill("wet-bench")
    text = _text(bench.client.get(f"{bench.at}paper/test-record.pdf").content)
    assert "letter of 3 March" in text
    assert "not timed" in text, "ten minutes are printed that nobody watched"
    assert "Not tested in full" in text
    assert "owner keeps his own plate" in text
    assert "750 mm" in text


def test_the_strip_sheet_carries_readings_and_verdicts(bench: Bench) -> None:
    bench.write("strip-sheet.idle needle", "1 1/4")
    bench.measure_all(shaft_play="0.25")
    text = _text(bench.client.get(f"{bench.at}paper/strip-sheet.pdf").content)
    assert "1 1/4" in text
    assert "0.25 mm" in text
    assert "bush" in text


def test_an_empty_strip_sheet_for_oily_hands(bench: Bench) -> None:
    text = _text(bench.client.get("/bench/strip-sheet-empty.pdf?page=Letter").content)
    assert "Idle needle" in text
    assert bench.client.get("/bench/strip-sheet-empty.pdf?page=A0").status_code == 404


def test_the_office_gets_parts_work_and_prices(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.25")
    bench.client.post(f"{bench.at}decide/", {})
    bench.client.post(f"{bench.at}parts/propose/", {"kit": ""})
    bench.client.post(f"{bench.at}parts/", {"name": "=1+1", "source": "made here"})
    rows = list(csv.reader(bench.client.get(f"{bench.at}lines.csv").content.decode().splitlines()))
    assert rows[0] == ["kind", "what", "quantity", "price"]
    priced = [row for row in rows[1:] if row[0] == "part" and row[3]]
    assert priced, "recorded prices are handed on"
    assert any(row[0] == "work" and "bush" in row[1] for row in rows)
    assert any(row[1].startswith("'=1+1") for row in rows), "a spreadsheet would work that out"
    assert "Lines for the office" in bench.see("close-and-send")


def test_an_unknown_paper_is_not_found(bench: Bench) -> None:
    assert bench.client.get(f"{bench.at}paper/poster.pdf").status_code == 404
    assert bench.client.get(f"{bench.at}paper/tag.pdf?page=A0").status_code == 404
