"""Looking things up in the Notebook."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.test import Client

from floatbowl.reference.facts import Carburettor, Reference
from floatbowl.shop.load import load_reference
from floatbowl.shop.pages.notebook.keys import KeyConverter

CARBURETTOR = "/notebook/carburettor/k36-118/"


def text(answer) -> str:
    """What a page says, without its tags."""
    body = re.sub(r"<(script|style).*?</\1>", "", answer.content.decode(), flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("K36/118", "Tarnsyke K36/118"),
        ("k36118", "Tarnsyke K36/118"),
        ("118", "Tarnsyke K36/118"),
        ("2063", "bears 2063"),
        ("full kit", "Full kit"),
        ("T-25", "Gasket kit"),
        ("gasket bowl", "Bowl gasket"),
        ("lowfold", "Drumlow Lowfold"),
        ("works sheets", "Tarnsyke Works Sheets"),
        ("odd", "Oddly named"),
    ],
)
def test_one_box_finds_everything(ines: Client, words: str, found: str) -> None:
    assert found in text(ines.get("/notebook/", {"find": words}))


def test_the_whole_number_comes_before_numbers_that_hold_it(ines: Client, written: Reference) -> None:
    from dataclasses import replace

    from floatbowl.reference.facts import Mark

    longer = (Carburettor(carburettor="aa", maker="tarnsyke"), *written.carburettors)
    marks = (Mark(carburettor="aa", text="K36/1189", role="identifies"), *written.marks)
    load_reference(replace(written, carburettors=longer, marks=marks), "Hal")
    page = text(ines.get("/notebook/", {"find": "K36/118"}))
    assert page.index("Tarnsyke K36/118 ") < page.index("K36/1189")


def test_typing_renews_only_what_was_found(ines: Client) -> None:
    piece = ines.get("/notebook/", {"find": "118"}, headers={"HX-Request": "true", "HX-Target": "found"})
    assert "Tarnsyke K36/118" in text(piece)
    assert "<html" not in piece.content.decode()


@pytest.mark.parametrize("words", ["zzz", "%", "_", "'", "?" * 500, "  ", "☃"])
def test_nothing_found_is_said_and_nothing_breaks(ines: Client, words: str) -> None:
    answer = ines.get("/notebook/", {"find": words})
    assert answer.status_code == 200
    if words.strip():
        assert "Nothing in the notebook holds" in text(answer)


def test_what_is_searched_is_shown_as_text(ines: Client) -> None:
    page = ines.get("/notebook/", {"find": "<b>x</b>"}).content.decode()
    assert "<b>x" not in page
    assert "&lt;b&gt;x" in page


def test_a_carburettor_shows_all_that_is_known_of_it(ines: Client) -> None:
    page = text(ines.get(CARBURETTOR))
    for said in ("K36/118", "2063", "inlet side", "left", "float level", "gasket off", "Gasket kit", "Drumlow Lowfold"):
        assert said in page


def test_every_figure_opens_to_its_source(ines: Client) -> None:
    page = ines.get(CARBURETTOR).content.decode()
    row = re.search(r'<tr id="features-\d+">.*?</tr>', page, re.S)
    assert row
    details = re.search(r"<details.*?</details>", row[0], re.S)
    assert details
    assert "/notebook/source/works/" in details[0]
    assert "Tarnsyke Works Sheets, page 17" in details[0]
    assert "read once" in text(ines.get(CARBURETTOR))
    assert "doubted" in text(ines.get(CARBURETTOR))


def test_a_kit_shows_its_contents_by_size_and_what_it_fits(ines: Client) -> None:
    page = text(ines.get("/notebook/kit/T-25/"))
    assert "Bowl gasket" in page
    assert "thickness 0.8 mm ±0.1" in page
    assert "Tarnsyke K36/118" in page


def test_a_part_shows_where_it_is_used(ines: Client) -> None:
    page = text(ines.get("/notebook/part/G-1/"))
    assert "Kits it is in" in page
    assert "Gasket kit" in page


def test_a_source_shows_what_rests_on_it(ines: Client) -> None:
    page = text(ines.get("/notebook/source/works/"))
    assert "1 carburettor" in page
    assert "1 mark" in page


@pytest.mark.parametrize("key", ["odd / key?", "..", "a~b%c", "größe", "a//b", "x#y&z=1"])
def test_any_key_has_an_address(ines: Client, written: Reference, key: str) -> None:
    from dataclasses import replace

    from django.urls import reverse

    assert KeyConverter().to_python(KeyConverter().to_url(key)) == key
    load_reference(replace(written, carburettors=(Carburettor(carburettor=key, maker="tarnsyke", note="here"),)), "Hal")
    answer = ines.get(reverse("notebook:record", args=["carburettor", key]))
    assert answer.status_code == 200
    assert "here" in text(answer)


@pytest.mark.parametrize("kind", ["carburettor", "kit", "part", "machine", "feature", "maker", "source", "tool"])
def test_every_kind_can_be_leafed_through_also_when_empty(ines: Client, kind: str) -> None:
    assert ines.get(f"/notebook/{kind}/").status_code == 200
    load_reference(Reference(), "Hal")
    assert "There are no" in text(ines.get(f"/notebook/{kind}/"))


def test_a_long_list_is_shown_a_page_at_a_time(ines: Client, written: Reference) -> None:
    from dataclasses import replace

    many = tuple(Carburettor(carburettor=f"c{n:03}", maker="tarnsyke", name=f"Number {n:03}") for n in range(150))
    load_reference(replace(written, carburettors=many), "Hal")
    last = text(ines.get("/notebook/carburettor/", {"page": "3"}))
    assert "Page 3 of 3" in last
    assert "c149" in last
    assert "c119" not in last
    assert ines.get("/notebook/carburettor/", {"page": "x"}).status_code == 200


@pytest.mark.parametrize(
    "address",
    [
        "/notebook/carburettor/none/",
        "/notebook/nothing/",
        "/notebook/nothing/x/",
        "/notebook/row/marks/99999/",
        "/notebook/row/nothing/1/",
        "/notebook/add/nothing/",
        "/notebook/row/changes/1/",
    ],
)
def test_what_is_not_there_is_told_as_not_there(ines: Client, address: str) -> None:
    assert ines.get(address).status_code == 404


def test_the_notebook_works_before_anything_is_loaded(db: None) -> None:
    browser = Client(SERVER_NAME="localhost")
    assert browser.get("/notebook/").status_code == 200
    assert "Nothing in the notebook" in text(browser.get("/notebook/", {"find": "118"}))
    assert browser.get("/notebook/changes/").status_code == 200
