"""What labels share: how many lie on a page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.papers.labels import PAGES_MM, labels_on_a_page, one_label, sheet_of_labels, size_of
from floatbowl.papers.paper import Page

SIDES = st.floats(10, 150)


@given(wide_mm=SIDES, high_mm=SIDES, page=st.sampled_from(["A4", "Letter"]))
def test_labels_lie_within_the_paper_and_no_more_would(wide_mm: float, high_mm: float, page: Page) -> None:
    across, down = labels_on_a_page((wide_mm, high_mm), page)
    wide, high = PAGES_MM[page]
    assert across * wide_mm <= wide - 2 * 5 < (across + 1) * wide_mm
    assert down * high_mm <= high - 2 * 6 < (down + 1) * high_mm


def test_one_label_is_its_own_page() -> None:
    assert one_label((62, 29)) == {"columns": 1, "rows": 1, "page_mm": [62, 29], "cut": False}


@pytest.mark.parametrize("amount", [0, 501])
def test_none_or_too_many_are_refused_by_their_own_name(amount: int) -> None:
    with pytest.raises(ValueError, match=f"{amount} tags: print between 1 and 500"):
        sheet_of_labels("tags", amount, (62, 29), "A4")


@pytest.mark.parametrize("chosen", ["", "large"])
def test_an_unknown_size_is_refused_with_the_choices(chosen: str) -> None:
    with pytest.raises(ValueError, match="choose one of small, wide"):
        size_of("label size", chosen, {"small": (62, 29), "wide": (90, 38)})
