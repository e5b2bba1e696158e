"""An offer for a job: a door at every step that knows its price, no postage when fetched, the agreed sum beside it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from tests.pages.bench.conftest import Bench
from tests.pages.office.conftest import Office, fields, printed, rules, words

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Job, JobEntry


@pytest.fixture
def bench(shop: Reference, settings: Any, tmp_path: Any) -> Bench:
    settings.PHOTOGRAPHS = tmp_path / "photographs"
    rules(currency="GBP", postage="4.20")
    bench = Bench(machine_text="Drumlow Lowfold", agreed_sum="140,00", promised=str(date.today() + timedelta(9)))
    Job.objects.filter(pk=bench.number).update(carburettor="k36-118", booked_as="k36-118")
    return bench


def test_the_door_to_an_offer_stands_on_the_job_and_at_two_steps(bench: Bench) -> None:
    door = f'href="/office/new/job/{bench.number}/"'
    for step, times in (("booked-in", 1), ("verdict", 2), ("parts-wanted", 2)):
        page = bench.client.get(f"{bench.at}step/{step}/").content.decode()
        assert page.count(door) == times, step
        assert "agreed 140.00 GBP" in words(page)


def test_no_postage_for_what_is_fetched(office: Office, bench: Bench) -> None:
    address = f"/office/new/job/{bench.number}/"
    assert "Postage and packing" in office.begin(address).values()
    JobEntry.objects.create(job=bench.job, name="close-and-send.way", value="fetched")
    assert "Postage and packing" not in office.begin(address).values()


def test_above_the_agreed_sum_it_is_said_and_a_reason_is_asked(office: Office, bench: Bench) -> None:
    address = f"/office/new/job/{bench.number}/"
    typed = office.begin(address) | office.line(0, kind="work", says="Work", quantity="4", price="35,01", doubt="")
    typed["doubt"] = "sure"
    more = "140.00 GBP was agreed with the owner; this comes to"
    assert more in words(office.client.post("/office/new/totals/", typed).content.decode())
    refused = office.press(address, typed, "make")
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "Write why, and what he said to it" in words(page)
    again = fields(page, "offer-form") | {"why_over": "he rang on Monday and agreed to it"}
    offer = office.at(office.press(address, again, "make"))
    assert "About the agreed sum: he rang on Monday" in words(office.see(f"/office/{offer.pk}/"))
    assert "Monday" not in printed(office.client.get(f"/office/{offer.pk}/paper.pdf"))
    page = words(bench.client.get(f"{bench.at}step/verdict/").content.decode())
    assert f"offer {offer.number}" in page
    assert "Make another offer" in page
    assert "There are papers already" in words(office.see(address))


def test_at_or_below_the_agreed_sum_nothing_is_asked(office: Office, bench: Bench) -> None:
    address = f"/office/new/job/{bench.number}/"
    typed = {name: text for name, text in office.begin(address).items() if "-" not in name}
    typed |= office.line(0, kind="work", says="Work", quantity="4", price="35") | {"doubt": "sure"}
    assert "was agreed with the owner; this" not in words(
        office.client.post("/office/new/totals/", typed).content.decode()
    )
    assert office.press(address, typed, "make").status_code == 302


def test_the_owners_consent_written_at_the_verdict_is_the_reason(office: Office, bench: Bench) -> None:
    JobEntry.objects.create(job=bench.job, name="verdict.consent", value="Anselm said yes to 180 on 3 March")
    typed = office.begin(f"/office/new/job/{bench.number}/")
    assert typed["why_over"] == "Anselm said yes to 180 on 3 March"
