"""The page of one calculation, without scripts and with them."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.work_out.calculation import DIRECTION_ONLY, Calculation
from floatbowl.work_out.everything import calculations

HTMX = {"HX-Request": "true", "HX-Target": "answer"}


def page(visitor: Client, **typed: str) -> str:
    found = visitor.get("/work-out/hole/", typed)
    assert found.status_code == 200
    return found.content.decode()


def says(shown: str) -> str:
    told = re.search(r'id="says"[^>]*><p[^>]*>(.*?)</p>', shown, re.DOTALL)
    assert told
    return unescape(told[1])


def test_the_answer_as_an_address(visitor: Client, hole: Calculation) -> None:
    shown = page(visitor, hole="10", depth="10", fluid="E10")
    assert says(shown) == "The hole holds 0.79 cm3 of E10."
    assert "0.79 cm3, give or take 0.03" in shown
    assert "Blow it out first." in shown
    assert "&lt;10&gt;" in shown
    assert '<option value="E10" selected>' in shown
    assert DIRECTION_ONLY in shown
    assert "No petrol indoors." in shown
    assert "the fire rule of the shop" in shown
    assert "V = pi d^2 h / 4" in shown
    assert 'aria-label="A jet cut through' in shown


def test_what_is_still_needed_is_asked_for_and_not_marked_wrong(visitor: Client, hole: Calculation) -> None:
    shown = page(visitor)
    assert says(shown) == "Still needed: Depth, in mm."
    assert 'aria-invalid="true"' not in shown
    assert 'placeholder="10 mm"' in shown
    assert "Left empty: 10.0 mm, give or take 0.2." in shown
    assert "No petrol indoors." in shown


def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(visitor: Client, hole: Calculation) -> None:
    shown = page(visitor, hole="ten <b>", depth="1,5", fluid="tea")
    assert 'value="ten &lt;b&gt;"' in shown
    assert 'value="1,5"' in shown
    assert '<option value="tea" selected>' in shown
    wrong = dict(re.findall(r'id="wrong-(\w+)"[^>]*>(.*?)</p>', shown))
    assert "is not a length" in unescape(wrong["hole"])
    assert "for a decimal comma write 1.5" in wrong["depth"]
    assert "not one of petrol, E10" in wrong["fluid"]
    assert shown.count('aria-invalid="true"') == 3
    assert "look at the field marked" in says(shown)


def test_outside_its_range_it_is_refused_with_the_range(visitor: Client, hole: Calculation) -> None:
    shown = page(visitor, hole="2 m", depth="1")
    assert says(shown) == "the hole is 2000 mm; it must be between 0.1 and 100 mm"
    assert "In figures" not in shown


def test_while_typing_only_the_answer_and_what_is_wrong_come(visitor: Client, hole: Calculation) -> None:
    typed = {"hole": "x", "depth": "10"}
    piece = visitor.get("/work-out/hole/", typed, headers=HTMX).content.decode()
    assert "<h1" not in piece
    assert "<input" not in piece, "a field that is being typed into is never replaced"
    assert re.search(r'id="says" hx-swap-oob="innerHTML"', piece)
    assert re.search(r'id="wrong-hole" hx-swap-oob="true">&#x27;x&#x27; is not a length', piece)
    assert re.search(r'id="wrong-depth" hx-swap-oob="true"></p>', piece)
    piece = visitor.get("/work-out/hole/", typed | {"hole": "10"}, headers=HTMX).content.decode()
    assert "The hole holds 0.79 cm3 of petrol." in piece
    assert "<svg" in piece


def test_the_address_to_send_on_brings_the_same_answer_again(visitor: Client, hole: Calculation) -> None:
    first = page(visitor, hole=".4 +- .01", depth=".5", fluid="E10", lengths="inch", **{"doubt.depth": "1 mm"})
    told = re.search(r'<a href="([^"]+)" data-own-address', first)
    assert told
    again = visitor.get(unescape(told[1])).content.decode()
    assert says(again) == says(first)
    for name, value in {"hole": ".4 +- .01", "depth": ".5", "doubt.depth": "1 mm"}.items():
        assert f'name="{name}" value="{value}"' in again


def test_a_doubt_of_its_own_is_used_and_its_fold_stays_open(visitor: Client, hole: Calculation) -> None:
    assert '<details class="wo-doubts" id="doubts">' in page(visitor, depth="10")
    shown = page(visitor, depth="10", **{"doubt.hole": "1"})
    assert '<details class="wo-doubts" id="doubts" open>' in shown
    assert "0.8 cm3, give or take 0.2" in shown


@pytest.mark.parametrize(("typed", "kept"), [("10", "10 mm"), ("10 ± 0.1", "10 mm +- 0.1 mm"), ("3/8", "3/8")])
def test_turning_to_inches_keeps_what_was_typed_the_same_length(
    visitor: Client, hole: Calculation, typed: str, kept: str
) -> None:
    turned = visitor.get("/work-out/hole/", {"lengths": "mm", "hole": typed, "depth": "10", "turn-to": "inch"})
    assert turned.status_code == 302
    query = parse_qs(urlsplit(turned["Location"]).query)
    assert query == {"hole": [kept], "depth": ["10 mm"], "lengths": ["inch"]}
    shown = visitor.get(turned["Location"]).content.decode()
    before = page(visitor, hole=typed, depth="10", lengths="mm")
    assert says(shown) == says(before)
    assert 'name="lengths" value="inch"' in shown
    assert "Lengths in millimetres" in shown


def test_the_unit_is_kept_on_this_browser_and_an_address_goes_before_it(visitor: Client, hole: Calculation) -> None:
    visitor.get("/work-out/hole/", {"depth": "1", "turn-to": "inch"})
    assert says(page(visitor, depth="1 mm")) == says(page(visitor, depth="1", lengths="mm"))
    assert "Depth, in in" in says(page(visitor))
    assert 'href="/work-out/?lengths=mm"' in page(visitor, lengths="mm")
    told = re.search(r'<a href="([^"]+)" data-own-address', page(visitor, depth="1"))
    assert told
    another = Client(SERVER_NAME="localhost").get(unescape(told[1])).content.decode()
    assert says(another) == says(page(visitor, depth="1"))


def test_the_curve_is_told_in_words_and_figures_too(visitor: Client, hole: Calculation) -> None:
    shown = page(visitor, depth="10")
    assert 'aria-label="Volume, cm3 against Hole, mm: from 0.00785 at 1 it rises to 3.14 at 20.' in shown
    assert "<li>2 to 6: small</li>" in shown
    assert "here: 10, 0.785" in shown
    assert "<td>20</td><td>3.14</td>" in shown


def test_nothing_on_the_page_needs_what_its_rules_forbid(visitor: Client, hole: Calculation) -> None:
    shown = page(visitor, depth="10")
    assert not re.search(r"\sstyle=|<style|\son\w+=|<script(?![^>]*\ssrc=)", shown)


@pytest.mark.parametrize("key", calculations())
def test_every_page_answers_shows_its_cautions_and_how_it_is_worked_out(visitor: Client, key: str) -> None:
    one = calculations()[key]
    for lengths in ("mm", "inch"):
        found = visitor.get(f"/work-out/{key}/", {"lengths": lengths})
        assert found.status_code == 200
        shown = unescape(found.content.decode())
        assert "In figures" in shown or "<table" in shown
        for words in (one.equation, one.holds, one.source, *(mind.says for mind in one.cautions)):
            assert words in shown
        assert (DIRECTION_ONLY in shown) is not one.validated


def test_no_text_breaks_the_page(visitor: Client, hole: Calculation) -> None:
    text = st.text(max_size=90)

    @settings(max_examples=25, database=None)
    @given(text, text, text, text)
    def typed(across: str, deep: str, fluid: str, doubt: str) -> None:
        sent = {"hole": across, "depth": deep, "fluid": fluid, "doubt.hole": doubt, "lengths": fluid}
        assert visitor.get("/work-out/hole/", sent).status_code == 200
        assert visitor.get("/work-out/hole/", sent | {"turn-to": deep}).status_code in (200, 302)

    typed()
