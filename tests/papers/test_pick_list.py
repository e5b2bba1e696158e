"""The pick list as somebody would walk along the shelf with it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from floatbowl.papers.pick_list import PickLine, PickList, pick_list_pdf

Words = Callable[[bytes], str]
CORK = PickLine(
    place="A3-14", item="Gasket, cork", part="TG-118", sizes=("62.0 × 41.5 mm", "1.6 mm thick"), gasket=True
)
BOWL = PickLine(place="A3-15", item="Gasket, bowl", quantity=Decimal(2), short=Decimal(1), note="due 3 December")
FELT = PickLine(place="B1-07", item="Felt seal", quantity=Decimal("2.5"), short=Decimal("2.5"))
LIST = PickList(
    shop_name="Nettlebeck Carburettor Room",
    number="P-0042",
    date=date(2026, 11, 26),
    purpose="Job J-0117",
    address="http://shop.local/bench/jobs/117",
    caller_name="Wil Harrowgate",
    kit="Tarnsyke K36 full kit",
    lines=(CORK, BOWL, FELT),
)


def test_all_that_is_to_be_fetched_stands_on_it(words: Words) -> None:
    text = words(pick_list_pdf(LIST))
    for want in ("P-0042", "26 November 2026", "Job J-0117", "Wil Harrowgate", "Tarnsyke K36 full kit", "A3-14",
                 "Gasket, cork", "TG-118", "62.0 × 41.5 mm", "1.6 mm thick", "due 3 December"):  # fmt: skip
        assert want in text


def test_what_is_short_is_said_in_words_and_counted(words: Words) -> None:
    text = words(pick_list_pdf(LIST))
    assert "SHORT: 1 of 2 missing" in text
    assert "SHORT: none is there" in text
    assert "3 lines, 2 short: do not send before that is settled" in text
    whole = words(pick_list_pdf(replace(LIST, lines=(CORK,))))
    assert "1 line, nothing is short" in whole
    assert "SHORT" not in whole


def test_only_a_gasket_is_laid_on_its_template(words: Words) -> None:
    assert words(pick_list_pdf(LIST)).count("no gasket") == 2
    assert words(pick_list_pdf(replace(LIST, lines=(CORK,)))).count("no gasket") == 0


def test_the_order_of_the_walk_is_kept(words: Words) -> None:
    text = words(pick_list_pdf(replace(LIST, lines=(FELT, CORK))))
    assert text.index("B1-07") < text.index("A3-14")


def test_a_row_stays_on_one_page(pages: Callable[[bytes], list[str]]) -> None:
    lines = tuple(replace(CORK, place=f"A{n}.", item=f"Gasket {n}.") for n in range(28))
    printed = pages(pick_list_pdf(replace(LIST, lines=lines)))
    assert len([page for page in printed if re.search(r"Gasket \d", page)]) > 1
    assert all(sum(f"A{n}." in page and f"Gasket {n}." in page for page in printed) == 1 for n in range(28))


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    bare = PickList(shop_name="", number="", date=date(2026, 1, 1), lines=(PickLine(place="", item="", quantity=None),))
    text = words(pick_list_pdf(bare))
    for want in ("Shop not named", "Number", "no job or offer named", "no place on record", "not known"):
        assert want in text
    assert "Nothing is listed to be picked" in words(pick_list_pdf(replace(bare, lines=())))


@pytest.mark.parametrize(
    ("wanted", "short"),
    [(Decimal(1), Decimal(2)), (Decimal(1), Decimal(-1)), (None, Decimal(1)), (Decimal("NaN"), Decimal(0))],
)
def test_more_short_than_wanted_is_refused(wanted: Decimal | None, short: Decimal) -> None:
    with pytest.raises(ValueError, match="Felt seal"):
        PickLine(place="B1-07", item="Felt seal", quantity=wanted, short=short)
