"""Enquiries are kept, found again by caller, telephone, machine or number, closed with an outcome and opened again."""

from __future__ import annotations

import pytest
from django.test import Client

from floatbowl.shop.models import Enquiry, Evidence, InHand, ReadBack
from floatbowl.shop.pages.enquiries.search import find

pytestmark = pytest.mark.django_db


@pytest.fixture
def kept() -> Enquiry:
    enquiry = Enquiry.objects.create(caller="Mrs Hollis", phone="01000 960144", opened_by="Ines")
    in_hand = InHand.objects.create(enquiry=enquiry, machine_text="Drumlow Lowfold")
    Evidence.objects.create(in_hand=in_hand, kind=Evidence.READING, text="K3?/11[83]")
    Evidence.objects.create(in_hand=in_hand, kind=Evidence.READING, text="2063")
    ReadBack.objects.create(
        in_hand=in_hand, carburettor="k36-118", number="Tarnsyke K36/118", kit="T", kit_name="Kit", sentence="."
    )
    Enquiry.objects.create(caller="Somebody else")
    return enquiry


@pytest.mark.parametrize(
    "words", ["hollis", "960 144", "960144", "lowfold", "K36/118", "k36118", "2063", "E1x", "K36113"]
)
def test_found_by_what_is_remembered(kept: Enquiry, words: str) -> None:
    words = words.replace("E1x", f"E{kept.pk}")
    assert kept in find(words)
    assert len(find(words)) == 1


@pytest.mark.parametrize("words", ["K36/115", "Highfold", "77777", "zz"])
def test_not_found_by_what_it_is_not(kept: Enquiry, words: str) -> None:
    assert not find(words).exists()


def test_a_struck_number_finds_nothing(kept: Enquiry) -> None:
    Evidence.objects.filter(text="2063").update(struck_at=kept.opened_at)
    assert not find("2063").exists()


def test_a_lost_call_needs_its_reason_and_keeps_what_was_typed(kept: Enquiry, client: Client) -> None:
    answer = client.post(f"/enquiries/{kept.pk}/close/", {"outcome": "lost", "why": "  "})
    assert answer.status_code == 422
    assert b"Say why it was lost" in answer.content
    kept.refresh_from_db()
    assert kept.is_open


@pytest.mark.parametrize("outcome", ["sold", "asked", "rebuild", "lost"])
def test_closed_with_its_outcome_and_opened_again(kept: Enquiry, client: Client, outcome: str) -> None:
    client.post(f"/enquiries/{kept.pk}/close/", {"outcome": outcome, "why": "no kit for it"})
    kept.refresh_from_db()
    assert (kept.is_open, kept.outcome, kept.why) == (False, outcome, "no kit for it")
    assert kept in find("", outcome)
    client.post(f"/enquiries/{kept.pk}/reopen/")
    kept.refresh_from_db()
    assert kept.is_open
    assert [change.after for change in kept.changes.all()] == [outcome, "no kit for it", "open again"]


def test_no_outcome_closes_nothing(kept: Enquiry, client: Client) -> None:
    answer = client.post(f"/enquiries/{kept.pk}/close/", {"outcome": ""})
    assert answer.status_code == 422
    assert b"Choose how the call ended" in answer.content


def test_an_empty_list_says_what_to_do(client: Client) -> None:
    assert b"Take the first call" in client.get("/enquiries/").content


def test_nothing_found_says_so_and_keeps_the_words(kept: Enquiry, client: Client) -> None:
    page = client.get("/enquiries/", {"q": "zzz<b>"}).content
    assert b"No enquiry fits" in page
    assert b"zzz&lt;b&gt;" in page


def test_sold_without_a_read_back_must_say_what_was_sold(kept: Enquiry, client: Client) -> None:
    ReadBack.objects.update(withdrawn_at=kept.opened_at)
    answer = client.post(f"/enquiries/{kept.pk}/close/", {"outcome": "sold"})
    assert answer.status_code == 422
    assert b"No kit was read back in this call" in answer.content
    client.post(f"/enquiries/{kept.pk}/close/", {"outcome": "sold", "why": "one loose gasket"})
    kept.refresh_from_db()
    assert kept.outcome == "sold"
