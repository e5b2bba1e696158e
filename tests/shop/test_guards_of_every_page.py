"""What guards every page: headers, tokens, bounded uploads, hosts, names."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.test import Client

from floatbowl.shop.models import Person

PAGES = (
    "/notebook/",
    "/who/",
    "/notebook/changes/",
    "/counter/",
    "/bench/",
    "/bench/book/",
    "/work-out/",
    "/work-out/throat/",
    "/shelf/",
    "/office/",
    "/office/new/",
    "/office/rules/",
)


@pytest.fixture
def browser(db: None) -> Client:
    return Client(SERVER_NAME="localhost", enforce_csrf_checks=True)


@pytest.mark.parametrize("page", PAGES)
def test_pages_may_load_only_from_this_house_and_run_nothing_written_into_them(browser: Client, page: str) -> None:
    answer = browser.get(page)
    policy = dict(part.strip().split(" ", 1) for part in answer.headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    body = answer.content.decode()
    assert " style=" not in body
    assert "<style" not in body
    assert "<script>" not in body
    assert " onclick=" not in body


@pytest.mark.parametrize(
    ("header", "value"),
    [
        ("X-Content-Type-Options", "nosniff"),
        ("X-Frame-Options", "DENY"),
        ("Referrer-Policy", "same-origin"),
        ("Cross-Origin-Opener-Policy", "same-origin"),
        ("Cache-Control", "private, no-cache"),
    ],
)
def test_headers(browser: Client, header: str, value: str) -> None:
    assert browser.get("/notebook/").headers[header] == value


def test_a_form_without_its_token_is_refused_and_changes_nothing(browser: Client) -> None:
    answer = browser.post("/who/", {"do": "add", "name": "Mallory"})
    assert answer.status_code == 403
    assert "Not saved" in answer.content.decode()
    assert not Person.objects.exists()


def test_a_form_with_its_token_is_taken(browser: Client) -> None:
    browser.get("/who/")
    token = browser.cookies["csrftoken"].value
    assert browser.post("/who/", {"do": "add", "name": "Ines", "csrfmiddlewaretoken": token}).status_code == 302


def test_cookies_cannot_be_read_by_scripts_or_sent_from_elsewhere(db: None) -> None:
    browser = Client(SERVER_NAME="localhost")
    browser.post("/who/", {"do": "add", "name": "Ines"})
    assert browser.cookies["who"]["httponly"]
    assert browser.cookies["who"]["samesite"] == "Strict"


def test_a_name_in_a_cookie_that_was_tampered_with_is_not_believed(db: None) -> None:
    browser = Client(SERVER_NAME="localhost")
    browser.post("/who/", {"do": "add", "name": "Ines"})
    browser.cookies["who"] = browser.cookies["who"].value.replace("Ines", "Hal")
    assert "Hal" not in browser.get("/notebook/").content.decode()


@pytest.mark.parametrize("length", [settings.UPLOAD_LIMIT + 1, "many", "-5"])
def test_what_is_too_large_or_of_no_size_is_refused_before_it_is_read(browser: Client, length: object) -> None:
    class Untouched:
        def read(self, *_: object) -> bytes:
            raise AssertionError("the body was read")

        readline = read

    answer = browser.generic("POST", "/who/", CONTENT_LENGTH=str(length), **{"wsgi.input": Untouched()})
    assert answer.status_code == 413
    assert "at most 10 MB" in answer.content.decode()


def test_a_strange_host_name_is_refused(db: None) -> None:
    assert Client(SERVER_NAME="elsewhere.example").get("/notebook/").status_code == 400


def test_a_person_is_chosen_added_and_taken_off_the_list(db: None) -> None:
    browser = Client(SERVER_NAME="localhost")
    browser.post("/who/", {"do": "add", "name": "  Ines   Marchbank "})
    assert "Ines Marchbank" in browser.get("/notebook/").content.decode()
    browser.post("/who/", {"do": "add", "name": "Wil"})
    assert browser.post("/who/", {"choose": "Ines Marchbank", "next": "/notebook/"}).headers["Location"] == "/notebook/"
    browser.post("/who/", {"remove": "Wil"})
    assert "Wil" not in browser.get("/who/").content.decode().split("<form", 1)[1]
    assert Person.objects.get(name="Wil").here is False


@pytest.mark.parametrize(
    ("name", "says"), [("", "Write a name"), (" ", "Write a name"), ("x" * 81, "at most 80 letters")]
)
def test_a_name_that_cannot_be_kept_is_told_beside_the_field(db: None, name: str, says: str) -> None:
    answer = Client(SERVER_NAME="localhost").post("/who/", {"do": "add", "name": name})
    assert says in answer.content.decode()
    assert not Person.objects.exists()


def test_choosing_leads_to_no_other_house(db: None) -> None:
    browser = Client(SERVER_NAME="localhost")
    answer = browser.post("/who/", {"do": "add", "name": "Ines", "next": "//elsewhere.example/"})
    assert answer.headers["Location"] == "/"


@pytest.mark.django_db
def test_a_committed_write_is_on_the_disk() -> None:
    """Write-ahead log and full synchronisation, on the connections that the pages use."""
    from django.db import connection

    with connection.cursor() as cursor:
        assert cursor.execute("PRAGMA synchronous").fetchone() == (2,)
    assert settings.DATABASES["default"]["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
