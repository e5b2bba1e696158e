"""A kit goes out only after two independent kinds of evidence, or a written reason; then the slip is printed."""

from __future__ import annotations

from typing import Any

import pytest

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import ReadBack

KIT = "T-25F"


@pytest.fixture
def sure(call: Any) -> Any:
    """A call with a number and looks of its own that speak for one kit."""
    counter = call(machine_text="Lowfold", want_level="full", want_fuel="petrol")
    counter.read("K36/118", part="tag", made="stamped")
    counter.look("magnet body", "sticks")
    counter.look("inlet side", "left")
    return counter


def read_back(counter: Any, **told: str) -> Any:
    return counter.client.post(f"{counter.at}read-back/", {"kit": KIT, **told})


def test_one_kind_of_evidence_is_not_enough(call: Any) -> None:
    counter = call()
    counter.read("K36/118", part="tag", made="stamped")
    answer = read_back(counter, confirmed="1")
    assert answer.status_code == 422
    assert b"two independent kinds" in answer.content
    assert not ReadBack.objects.exists()


def test_a_written_reason_lets_it_go_and_stands_on_record(call: Any) -> None:
    counter = call()
    counter.read("K36/118", part="tag", made="stamped")
    read_back(counter, confirmed="1", override="The old one lies on the counter")
    kept = ReadBack.objects.get()
    assert kept.override == "The old one lies on the counter"
    assert kept.kit == KIT


def test_a_reason_of_a_letter_or_two_is_none(call: Any) -> None:
    counter = call()
    counter.read("K36/118")
    answer = read_back(counter, confirmed="1", override="ok")
    assert answer.status_code == 422
    assert b">ok</textarea>" in answer.content


def test_the_caller_must_have_said_yes(sure: Any) -> None:
    answer = read_back(sure)
    assert answer.status_code == 422
    assert b"tick this when the caller says yes" in answer.content


def test_two_kinds_are_enough(sure: Any) -> None:
    assert read_back(sure, confirmed="1").status_code == 302
    kept = ReadBack.objects.get()
    assert len(kept.kinds) >= 2
    assert kept.override == ""
    assert "Tarnsyke K36/118" in kept.sentence


def test_a_kit_that_is_not_the_likely_one_needs_a_reason(sure: Any, small_shop: Reference) -> None:
    other = next(fit.kit for fit in small_shop.kit_fits if fit.carburettor == "206-d-3")
    answer = sure.client.post(f"{sure.at}read-back/", {"kit": other, "confirmed": "1"})
    assert answer.status_code == 422


def test_the_slip_is_a_pdf_and_stays_as_it_went_out(sure: Any, small_shop: Reference) -> None:
    read_back(sure, confirmed="1")
    kept = ReadBack.objects.get()
    slip = sure.client.get(f"/counter/slip/{kept.pk}.pdf")
    assert slip["Content-Type"] == "application/pdf"
    assert slip.content.startswith(b"%PDF")
    names = {part.name for part in small_shop.parts}
    assert {line[1] for line in kept.packed["lines"]} <= names
    assert kept.packed["lines"]
    sure.look("drain", "cock")
    assert sure.client.get(f"/counter/slip/{kept.pk}.pdf").content == slip.content


def test_a_read_back_can_be_taken_back_but_not_lost(sure: Any) -> None:
    read_back(sure, confirmed="1")
    kept = ReadBack.objects.get()
    sure.post("withdraw")
    kept.refresh_from_db()
    assert kept.withdrawn_at is not None
    assert sure.client.get(f"/counter/slip/{kept.pk}.pdf").status_code == 404


def test_what_this_caller_bought_before_is_known_when_they_ring_again(sure: Any, call: Any) -> None:
    sure.post("caller", caller="Mrs Hollis", phone="01000 960144")
    read_back(sure, confirmed="1")
    sure.client.post(f"/enquiries/{sure.in_hand.enquiry_id}/close/", {"outcome": "sold"})
    again = call(phone="01000-960 144")
    assert "Bought before:" in again.see()
    assert "in 100" in again.see()
    stranger = call(phone="01000 111222")
    assert "Bought before:" not in stranger.see()
