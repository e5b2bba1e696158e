"""Today's list: in the order of work, found again, and who is waited for."""

from __future__ import annotations

from datetime import timedelta

from django.test import Client
from django.utils import timezone
from tests.pages.bench.conftest import words

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Job


def _job(owner: str, **told: object) -> Job:
    return Job.objects.create(owner=owner, **told)


def test_what_is_late_comes_first_and_what_waits_stands_apart(shop: Reference) -> None:
    today = timezone.localdate()
    _job("Later", promised=today + timedelta(5))
    _job("Late", promised=today - timedelta(3), carburettor="k36-118")
    _job("Waiting", held_for="Priya Collis", held_why="seat on order", held_until=today)
    _job("Gone", closed_at=timezone.now())
    page = words(Client().get("/bench/").content.decode())
    assert page.index("Late") < page.index("Later") < page.index("Waits for somebody")
    assert "3 days late" in page
    assert "K36/118" in page
    assert "that day has come" in page
    assert "Gone" not in page


def test_found_by_owner_number_telephone_or_carburettor(shop: Reference) -> None:
    job = _job("Anselm Pickard", phone="01000 960 144", carburettor="k36-118", closed_at=timezone.now())
    for words_typed in ("pickard", str(job.pk), "960144", "K36/118"):
        assert "Anselm Pickard" in Client().get("/bench/", {"q": words_typed}).content.decode(), words_typed
    assert "No job fits" in Client().get("/bench/", {"q": "nobody"}).content.decode()
    assert "Anselm Pickard" in Client().get("/bench/", {"which": "closed"}).content.decode()


def test_an_empty_bench_says_what_to_do(shop: Reference) -> None:
    assert "Book the first carburettor in" in Client().get("/bench/").content.decode()


def test_many_jobs_take_several_pages(shop: Reference) -> None:
    for number in range(45):
        _job(f"Owner {number:02}")
    assert "Page 1 of 2" in words(Client().get("/bench/").content.decode())
    assert "Owner 44" in Client().get("/bench/", {"page": "2"}).content.decode()
