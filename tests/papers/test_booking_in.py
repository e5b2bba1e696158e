"""The booking-in sheet: what came, hazards and what was agreed."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from floatbowl.papers.booking_in import (
    ASBESTOS_SUSPECTED,
    FUEL_INSIDE_FOUND,
    HAZARDS,
    LEAD_SUSPECTED,
    SIDES,
    BookingIn,
    Casting,
    booking_in_pdf,
)

Words = Callable[[bytes], str]

SHEET = BookingIn(
    shop_name="Nettlebeck Carburettor Room",
    job_number="J-0117",
    date=date(2026, 11, 25),
    owner_name="Wil Harrowgate",
    machine="Drumlow Lowfold",
    core_number="C-0451",
    castings=(Casting("Tag", "K3?/11?", "punched", "worn"), Casting("Bowl", "2063", "raised")),
    missing=("choke lever screw",),
    condition="Choke plate seized.",
    sides_taken=SIDES[:5],
    hazards=(replace(FUEL_INSIDE_FOUND, found=True, note="half a cup, stale"), replace(LEAD_SUSPECTED, found=False)),
    drained=True,
    agreed="Full rebuild",
    agreed_sum="£ 185.00",
    promised=date(2026, 12, 18),
)


def test_all_that_was_noted_stands_on_it(words: Words) -> None:
    text = words(booking_in_pdf(SHEET))
    for want in (
        "J-0117", "25 November 2026", "Wil Harrowgate", "Drumlow Lowfold", "C-0451", "K3?/11?", "2063", "raised",
        "choke lever screw", "Choke plate seized.", "half a cup, stale", "Full rebuild", "£ 185.00", "18 December 2026",
    ):  # fmt: skip
        assert want in text


def test_five_sides_taken_and_the_sixth_is_not(words: Words) -> None:
    text = words(booking_in_pdf(SHEET))
    assert text.count(": taken") == 5
    assert f"{SIDES[5]}: not taken" in text


def test_sides_nobody_told_of_are_boxes_only(words: Words) -> None:
    text = words(booking_in_pdf(replace(SHEET, sides_taken=None)))
    assert all(side in text for side in SIDES)
    assert "taken" not in text.replace("not be taken", "")


def test_a_side_that_is_none_of_the_six_is_refused() -> None:
    with pytest.raises(ValueError, match="'behind': choose from into the air inlet"):
        booking_in_pdf(replace(SHEET, sides_taken=("behind",)))


@pytest.mark.parametrize(("drained", "said"), [(True, "shop: ✓ yes"), (False, "shop: ✓ no"), (None, "shop: yes no")])
def test_drained_is_said_in_words(drained: bool | None, said: str, words: Words) -> None:
    assert said in words(booking_in_pdf(replace(SHEET, drained=drained)))


def test_hazards_not_told_of_are_asked_for(words: Words) -> None:
    text = words(booking_in_pdf(replace(SHEET, hazards=(replace(FUEL_INSIDE_FOUND, found=True),))))
    assert "✓ found Fuel inside" in text
    for hazard in (ASBESTOS_SUSPECTED, LEAD_SUSPECTED):
        assert f"found not found {hazard.name}"[:28] in text


def test_no_hazard_stands_twice(squeezed: Words) -> None:
    text = squeezed(booking_in_pdf(SHEET))
    for hazard in HAZARDS:
        assert text.count(hazard.name.replace(" ", "")) == 1


def test_nothing_missing_is_another_word_than_nobody_looked(words: Words) -> None:
    assert "none missing" in words(booking_in_pdf(replace(SHEET, missing=())))
    assert "none missing" not in words(booking_in_pdf(replace(SHEET, missing=None)))


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_filled_or_blank_it_is_one_page_with_room_to_sign(page: str, pages: Callable[[bytes], list[str]]) -> None:
    for sheet in (SHEET, BookingIn()):
        printed = pages(booking_in_pdf(replace(sheet, page=page)))  # type: ignore[arg-type]
        assert len(printed) == 1
        assert "Owner, who agrees to the above" in printed[0]
        assert "Received by" in printed[0]


def test_seventy_castings_are_all_there_under_repeated_heads(pages: Callable[[bytes], list[str]]) -> None:
    castings = tuple(Casting(f"casting {n}.", f"mark {n}.") for n in range(70))
    printed = pages(booking_in_pdf(replace(SHEET, castings=castings)))
    with_rows = [page for page in printed if re.search(r"casting \d", page)]
    assert len(with_rows) > 1
    assert all("Marks as read" in page for page in with_rows)
    assert all(f"mark {n}." in " ".join(printed) for n in range(70))
