"""The packing slip as somebody would check it: the words that can be read out of the PDF, and the same bytes twice."""

import io
import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from floatbowl.papers.packing_slip import CAUTIONS, PackingSlip, SlipLine, packing_slip_pdf

SLIP = PackingSlip(
    shop_name="Nettlebeck Carburettor Room",
    shop_address="Mill Yard\nNettlebeck",
    slip_number="S-0042",
    date=date(2026, 11, 25),
    caller_name="Wil Harrowgate",
    caller_address="Upper Lodge\nThornwick Lane",
    enquiry="E-1043",
    kit="T-12",
    kit_name="Tarnsyke K36 full kit",
    level="full",
    fuel="paraffin",
    carburettor="Tarnsyke K36/118",
    read_back="Tarnsyke K36/118 on an eight-sided tag; the bolts are 60.5 mm apart.",
    doubt="97 in 100 this kit fits; of the 3 that remain, two need another needle seat.",
    evidence=("number read on the tag", "bolt spacing by rule"),
    contents=(
        SlipLine("throttle body to lid", "Gasket, cork", 1, ("62.0 × 41.5 mm", "thickness 1.6 mm"), "TG-118"),
        SlipLine("needle seat", "Needle and seat", 1, ("bore 3.2 mm", "thread ½ in × 20")),
        SlipLine("throttle shaft", "Felt seal", 2),
        SlipLine("bowl drain", "Plug, brass", None, ("⅛ in taper",)),
    ),
    not_included=("float", "throttle shaft bushes"),
    return_rule="Unopened packets come back within 30 days.",
)


def pages(slip: PackingSlip) -> list[str]:
    """The words of each page, with the places where a word may break taken out."""
    reader = PdfReader(io.BytesIO(packing_slip_pdf(slip)))
    return [re.sub(r"\s+", " ", page.extract_text().replace("\u200b", "")) for page in reader.pages]


def words(slip: PackingSlip) -> str:
    return " ".join(pages(slip))


def without_spaces(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_every_size_and_sentence_stands_on_the_paper() -> None:
    text = words(SLIP)
    sizes = [size for line in SLIP.contents for size in line.sizes]
    names = [word for line in SLIP.contents for word in (line.position, line.name, line.part) if word]
    said = [SLIP.read_back, SLIP.doubt, *SLIP.evidence, *SLIP.not_included, SLIP.return_rule]
    who = [SLIP.shop_name, "Mill Yard", SLIP.caller_name, "Thornwick Lane", "S-0042", "E-1043", "25 November 2026"]
    what = [SLIP.kit, SLIP.kit_name, SLIP.level, SLIP.fuel, SLIP.carburettor]
    missing = [want for want in sizes + names + said + who + what if without_spaces(want) not in without_spaces(text)]
    assert missing == []


def test_the_same_slip_gives_the_same_bytes_and_another_day_gives_others() -> None:
    first = packing_slip_pdf(SLIP)
    assert packing_slip_pdf(replace(SLIP)) == first
    assert packing_slip_pdf(replace(SLIP, date=date(2026, 11, 26))) != first


def test_the_date_of_the_file_is_the_date_of_the_slip() -> None:
    made = PdfReader(io.BytesIO(packing_slip_pdf(SLIP))).metadata
    assert made is not None
    assert made.creation_date is not None
    assert made.creation_date.date() == SLIP.date


@pytest.mark.parametrize(("page", "wide_mm", "high_mm"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_page_size(page: str, wide_mm: float, high_mm: float) -> None:
    box = PdfReader(io.BytesIO(packing_slip_pdf(replace(SLIP, page=page)))).pages[0].mediabox  # type: ignore[arg-type]
    points = 72 / 25.4
    assert (float(box.width), float(box.height)) == pytest.approx((wide_mm * points, high_mm * points), abs=0.1)


def test_an_unknown_page_size_is_refused_with_the_choices() -> None:
    with pytest.raises(ValueError, match="A4, Letter"):
        packing_slip_pdf(replace(SLIP, page="A5"))  # type: ignore[arg-type]


def test_what_people_typed_is_never_acted_on() -> None:
    typed = '#panic("no") #import "x" $x^2$ [b] *strong* _em_ \\ `raw` <label> @ref // gone /* gone */ = head #{1+1}'
    line = SlipLine(typed, typed, 1, (typed,), "P")
    text = words(replace(SLIP, kit_name=typed, override=typed, contents=(line,), not_included=(typed,)))
    assert without_spaces(text).count(without_spaces(typed)) == 6


def test_an_override_is_printed_and_none_is_not() -> None:
    told = "told by telephone that it may not fit"
    assert told in words(replace(SLIP, override=told))
    assert "two-evidence rule" not in words(SLIP)


def test_cautions_name_who_rules() -> None:
    text = words(SLIP)
    for caution in CAUTIONS:
        assert without_spaces(caution.says) in without_spaces(text)
        assert without_spaces(caution.rule) in without_spaces(text)
    for want in ("fuel tap off", "never scrape or sand them dry", "without petrol or its vapour"):
        assert want in text


def test_missing_values_are_said_to_be_missing() -> None:
    line = SlipLine("", "", None)
    bare = PackingSlip(shop_name="", slip_number="", date=date(2026, 1, 1), kit_name="", contents=(line,))
    text = words(bare)
    for want in ("name not taken", "not stated", "nothing was read back", "no size recorded", "No return rule"):
        assert want in text
    assert "not listed in our records" in words(replace(bare, contents=()))


def test_sixty_lines_break_over_pages_that_each_repeat_the_heads() -> None:
    lines = tuple(SlipLine(f"place {n}", f"part {n}", 1, (f"{n}.25 mm", f"{n}.75 mm")) for n in range(60))
    printed = pages(replace(SLIP, contents=lines))
    with_rows = [page for page in printed if re.search(r"place \d", page)]
    assert len(with_rows) > 1
    assert all("Old part agrees" in page and "Where it goes" in page for page in with_rows)
    assert all(f"{n}.25 mm" in " ".join(printed) and f"{n}.75 mm" in " ".join(printed) for n in range(60))
    assert f"page {len(printed)} of {len(printed)}" in printed[-1]


def test_a_word_too_long_for_its_column_stays_on_the_paper() -> None:
    long = "W" * 300
    slip = replace(SLIP, caller_name=long, contents=(SlipLine(long, long, 1, (long,)),))
    reader = PdfReader(io.BytesIO(packing_slip_pdf(slip)))
    printed = [line.replace("\u200b", "") for page in reader.pages for line in page.extract_text().splitlines()]
    paper_holds = 174 / 25.4 * 72 / 7
    assert max(len(run) for line in printed for run in re.findall("W+", line)) < paper_holds
    assert "".join(printed).count("W") >= 4 * 300


@pytest.mark.parametrize("name", ["Łódź Šťastný", "Σίλβα Ωμέγα", "Жук Щербань", "Ấn Đỗ"])
def test_names_in_the_scripts_of_the_typeface(name: str) -> None:
    text = words(replace(SLIP, caller_name=name))
    assert without_spaces(name) in without_spaces(text)
    assert "empty box" not in text


def test_signs_outside_the_typeface_are_owned_up_to() -> None:
    assert "may show as an empty box" in words(replace(SLIP, caller_name="名前 😀"))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    text=st.text(st.characters(exclude_categories=()), max_size=80),
    quantity=st.none() | st.floats(0, 1e9),
    day=st.dates(),
)
def test_nothing_typed_can_break_it(text: str, quantity: float | None, day: date) -> None:
    line = SlipLine(text, text, quantity, (text, text), text)
    slip = replace(SLIP, shop_name=text, slip_number=text, enquiry=text, kit_name=text, contents=(line,), date=day)
    assert packing_slip_pdf(slip).startswith(b"%PDF-")
