"""Nobody lands on a bare refusal: pages of our own, in our own words, with a way back."""

from __future__ import annotations

import functools
from typing import Any

import pytest
from django.http import HttpRequest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from floatbowl.shop.models import Enquiry, InHand, Job
from floatbowl.shop.way_back import belongs_to


@pytest.fixture
def browser(db: None) -> Client:
    client = Client(raise_request_exception=False)
    client.post("/who/", {"do": "add", "name": "Ines", "next": "/"})
    return client


@pytest.mark.parametrize(
    ("address", "page"),
    [
        ("/office/7/accept/", "/office/7/"),
        ("/office/7/pay/", "/office/7/"),
        ("/office/new/totals/", "/office/new/"),
        ("/enquiries/5/close/", "/counter/5/"),
        ("/counter/5/1/machine/", "/counter/5/1/"),
        ("/shelf/do/count/kit/T-25F/", "/shelf/kit/T-25F/"),
        ("/shelf/do/count/part/odd/key/", "/shelf/part/odd/key/"),
        ("/shelf/buy/order/", "/shelf/buy/"),
        ("/shelf/orders/3/line/4/", "/shelf/orders/3/"),
        ("/bench/unit/", "/bench/"),
    ],
)
def test_an_address_that_only_takes_what_is_sent_leads_to_its_page(browser: Client, address: str, page: str) -> None:
    answer = browser.get(address)
    assert (answer.status_code, answer["Location"]) == (302, page)


def _addresses(patterns: Any, before: str = "/") -> list[str]:
    found = []
    for each in patterns:
        if isinstance(each, URLResolver):
            found += _addresses(each.url_patterns, f"{before}{each.pattern}")
        elif isinstance(each, URLPattern):
            found.append(f"{before}{each.pattern}")
    return found


FILLED = {"int:number": "1", "int:place": "1", "int:enquiry": "1", "slug:kind": "kit", "path:key": "T-25F"}


def test_no_address_of_the_shop_answers_a_bare_refusal_when_it_is_opened(browser: Client) -> None:
    InHand.objects.create(enquiry=Enquiry.objects.create())
    Job.objects.create(owner="Anselm Pickard")
    opened = 0
    for pattern in _addresses(get_resolver().url_patterns):
        address = functools.reduce(lambda text, sign: text.replace(f"<{sign}>", FILLED[sign]), FILLED, pattern)
        if "<" in address or "pdf" in address or address.startswith("/photographs/"):
            continue
        answer = browser.get(address, follow=True)
        assert answer.status_code in (200, 404), address
        opened += 1
    assert opened > 60


def test_a_page_that_is_not_there_says_so_with_a_way_back(browser: Client) -> None:
    for address in ("/office/999/", "/nowhere/", "/shelf/orders/77/"):
        answer = browser.get(address)
        page = answer.content.decode()
        assert answer.status_code == 404
        assert "There is no such page" in page
        assert 'href="/counter/"' in page
        assert "Ines" in page


def test_what_is_sent_to_a_page_that_only_shows_is_told_so(browser: Client) -> None:
    answer = browser.post("/office/", {"x": "y"})
    assert answer.status_code == 405
    assert answer["Allow"] == "GET"
    assert "Nothing can be sent here" in answer.content.decode()


def test_a_fault_of_ours_shows_no_stack_and_asks_the_database_nothing(
    browser: Client, monkeypatch: pytest.MonkeyPatch, django_assert_num_queries: Any
) -> None:
    def breaks(request: HttpRequest) -> None:
        raise RuntimeError("the secret cause")

    monkeypatch.setattr("floatbowl.shop.pages.office.listing._waiting", breaks)
    with django_assert_num_queries(0):
        answer = browser.get("/office/")
    page = answer.content.decode()
    assert answer.status_code == 500
    assert "Something broke on our side" in page
    assert "Ines" in page
    assert "secret cause" not in page
    assert "Traceback" not in page


def test_the_nearest_page_above_is_taken() -> None:
    assert belongs_to("/a/b/c/") == "/"
    assert belongs_to("/shelf/do/") == "/shelf/"
