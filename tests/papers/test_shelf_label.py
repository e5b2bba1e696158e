"""The label of a place on the shelf: one of its own size, or pages of them."""

import io
import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from pypdf import PdfReader

from floatbowl.papers.paper import Caution, Page
from floatbowl.papers.shelf_label import (
    LONGEST_CAUTION,
    OLD_GASKETS,
    SIZES_MM,
    LabelSize,
    ShelfLabel,
    shelf_label_pdf,
    shelf_labels_on_a_page,
    shelf_labels_pdf,
)

Words = Callable[[bytes], str]
SIZES: list[LabelSize] = ["62 x 29 mm", "90 x 38 mm"]
LABEL = ShelfLabel(
    place="A3-14",
    item="Gasket, cork, throttle body to lid",
    number="TG-118",
    sizes=("62.0 × 41.5 mm", "1.6 mm thick"),
    keep="dark and cool",
    address="http://shop.local/shelf/TG-118",
)
LONG = "Featherstonehaugh-" * 12
CROWDED = ShelfLabel(place=LONG, item=LONG, number=LONG, sizes=(LONG,), keep=LONG, address=LABEL.address)
#: As long as a label's caution may be, in ordinary writing.
FULL = Caution("Mind the sharp edge of the metal bush; take it out of its bag with a thick glove.", "The shop decides.")


@pytest.mark.parametrize("size", SIZES)
def test_a_label_has_its_own_page_and_says_all(size: LabelSize, words: Words) -> None:
    pdf = shelf_label_pdf(LABEL, size)
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    wide_mm, high_mm = SIZES_MM[size]
    assert float(page.mediabox.width) == pytest.approx(wide_mm * 72 / 25.4, abs=0.1)
    assert float(page.mediabox.height) == pytest.approx(high_mm * 72 / 25.4, abs=0.1)
    for want in (
        "A3-14",
        "Gasket, cork, throttle body to lid",
        "TG-118",
        "62.0 × 41.5 mm · 1.6 mm thick · dark and cool",
    ):
        assert want in words(pdf)


@pytest.mark.parametrize("size", SIZES)
def test_the_place_is_the_largest_type(size: LabelSize) -> None:
    sizes: dict[str, float] = {}
    (page,) = PdfReader(io.BytesIO(shelf_label_pdf(LABEL, size))).pages

    def note(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            sizes[text.strip()] = size * abs(matrix[0])

    page.extract_text(visitor_text=note)
    assert max(sizes, key=sizes.__getitem__) == "A3-14"
    assert sizes["A3-14"] >= 16


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("caution", [OLD_GASKETS, FULL])
def test_the_caution_is_never_cut_short(size: LabelSize, caution: Caution, squeezed: Words) -> None:
    text = squeezed(shelf_label_pdf(replace(CROWDED, caution=caution), size))
    assert re.sub(r"\s", "", caution.says + caution.rule) in text


def test_a_caution_too_long_for_a_label_is_refused() -> None:
    assert len(FULL.says + FULL.rule) <= LONGEST_CAUTION
    with pytest.raises(ValueError, match="A3-14: the caution has more than 100 signs"):
        replace(LABEL, caution=Caution(FULL.says * 2, FULL.rule))


@pytest.mark.parametrize("size", SIZES)
def test_long_words_are_cut_short_with_a_mark_on_one_page(size: LabelSize, words: Words) -> None:
    pdf = shelf_label_pdf(CROWDED, size)
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1
    assert words(pdf).count("…") == 4


def test_the_square_code_is_of_the_address(words: Words) -> None:
    assert shelf_label_pdf(LABEL) != shelf_label_pdf(replace(LABEL, address="http://shop.local/shelf/TG-119"))
    assert "no square code" in words(shelf_label_pdf(replace(LABEL, address="x" * 65)))
    assert "no square code" not in words(shelf_label_pdf(replace(LABEL, address="")))


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    text = words(shelf_label_pdf(ShelfLabel(place="")))
    assert "no place" in text
    assert "item not named" in text


@pytest.mark.parametrize(("size", "page"), [("62 x 29 mm", "A4"), ("90 x 38 mm", "Letter")])
def test_a_sheet_holds_what_it_says_and_goes_on_overleaf(size: LabelSize, page: Page) -> None:
    columns, rows = shelf_labels_on_a_page(size, page)
    labels = tuple(ShelfLabel(place=f"A-{n}.") for n in range(columns * rows + 1))
    printed = [sheet.extract_text() for sheet in PdfReader(io.BytesIO(shelf_labels_pdf(labels, size, page))).pages]
    assert [len(re.findall(r"A-\d+\.", text)) for text in printed] == [columns * rows, 1]


def test_no_labels_and_unknown_sizes_are_refused() -> None:
    with pytest.raises(ValueError, match="0 labels: print between 1 and 500"):
        shelf_labels_pdf(())
    with pytest.raises(ValueError, match="62 x 29 mm, 90 x 38 mm"):
        shelf_label_pdf(LABEL, "A7")  # type: ignore[arg-type]
