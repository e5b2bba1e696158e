"""The counter page in a real browser: nothing typed is lost, errors stand beside their fields, everybody can use it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.timeout(120)]


def begin(page: Page, **first: str) -> str:
    """A new call, begun with what is typed into the first page's fields."""
    page.goto("/counter/")
    for field, text in (first or {"caller": "Mrs Hollis"}).items():
        page.locator(f"#start-{field}").fill(text)
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/counter/*/1/")
    return page.url


class TestNothingTypedIsLost:
    def test_a_half_typed_number_is_there_after_a_reload(self, desk: Page) -> None:
        begin(desk)
        desk.locator("#reading-text").press_sequentially("K3?/1")
        desk.reload()
        expect(desk.locator("#reading-text")).to_have_value("K3?/1")
        expect(desk.locator("#reading-strip .sign")).to_have_count(5)

    def test_a_half_written_first_page_is_there_after_a_reload(self, desk: Page) -> None:
        desk.goto("/counter/")
        desk.locator("#start-caller").press_sequentially("Mrs Hol")
        desk.reload()
        expect(desk.locator("#start-caller")).to_have_value("Mrs Hol")
        desk.get_by_role("button", name="Begin").click()
        desk.wait_for_url("**/counter/*/1/")
        desk.goto("/counter/")
        expect(desk.locator("#start-caller")).to_have_value("")

    def test_a_kept_number_leaves_its_field_empty_even_after_a_reload(self, desk: Page) -> None:
        begin(desk)
        desk.locator("#reading-text").press_sequentially("K36/118")
        desk.keyboard.press("Enter")
        expect(desk.locator("#readings .items .number")).to_have_text("K36/118")
        expect(desk.locator("#reading-text")).to_have_value("")
        desk.reload()
        expect(desk.locator("#reading-text")).to_have_value("")

    def test_notes_are_kept_on_leaving_the_field(self, desk: Page) -> None:
        address = begin(desk)
        with desk.expect_response("**/caller/"):
            desk.locator("#caller-notes").fill("rings back on Monday")
            desk.keyboard.press("Tab")
        desk.goto("/enquiries/")
        desk.goto(address)
        expect(desk.locator("#caller-notes")).to_have_value("rings back on Monday")

    def test_when_the_shops_computer_does_not_answer_the_text_stays(self, desk: Page) -> None:
        begin(desk)
        desk.locator("#reading-text").fill("K36/118")
        desk.route("**/reading/", lambda route: route.abort())
        desk.locator("#reading-text").press("Enter")
        expect(desk.get_by_role("alert")).to_contain_text("Not kept")
        expect(desk.locator("#reading-text")).to_have_value("K36/118")
        desk.unroute("**/reading/")
        desk.locator("#reading-text").press("Enter")
        expect(desk.locator("#readings .items .number")).to_have_text("K36/118")
        expect(desk.locator("#trouble")).to_be_hidden()

    def test_what_is_typed_elsewhere_stays_while_an_answer_is_kept(self, desk: Page) -> None:
        begin(desk, machine="Drumlow Lowfold")
        desk.locator("#reading-text").press_sequentially("K36")
        desk.keyboard.press("Alt+q")
        with desk.expect_response("**/look/"):
            desk.keyboard.press("u")
        expect(desk.locator("#answers .items strong")).to_have_text("unsure")
        expect(desk.locator("#reading-text")).to_have_value("K36")


class TestErrorsStandBesideTheirFields:
    def test_a_wrong_year(self, desk: Page) -> None:
        begin(desk)
        field = desk.locator("#machine-year")
        field.press_sequentially("19x8")
        with desk.expect_response("**/machine/"):
            desk.keyboard.press("Tab")
        expect(desk.locator("#machine-year-wrong")).to_contain_text("four figures")
        expect(field).to_have_value("19x8")
        assert field.get_attribute("aria-describedby") == "machine-year-wrong"

    def test_a_wrong_measure_takes_the_focus_back(self, desk: Page) -> None:
        begin(desk)
        desk.keyboard.press("Alt+l")
        desk.keyboard.type("flange bolts?")
        desk.locator(".combo ul:not([hidden]) [role=option]").first.wait_for()
        desk.keyboard.press("ArrowDown")
        with desk.expect_response("**/ask/**"):
            desk.keyboard.press("Enter")
        value = desk.locator("#ask-value")
        expect(value).to_be_focused()
        desk.keyboard.type("wide")
        with desk.expect_response("**/look/"):
            desk.keyboard.press("Enter")
        expect(desk.locator("#ask-value-wrong")).to_contain_text("is not a figure")
        expect(value).to_have_value("wide")
        expect(value).to_be_focused()

    def test_a_lost_call_without_its_reason(self, desk: Page) -> None:
        begin(desk)
        desk.locator("#close .chip", has_text="Lost").click()
        desk.get_by_role("button", name="Close the call").click()
        expect(desk.locator("#why-wrong")).to_contain_text("Say why it was lost")
        expect(desk.locator("#close input[value=lost]")).to_be_checked()


class TestDoubtByTapping:
    def test_a_character_is_made_doubtful_by_fingertip(self, telephone: Page) -> None:
        begin(telephone)
        field = telephone.locator("#reading-text")
        field.tap()
        field.press_sequentially("K36/118")
        strip = telephone.locator("#reading-strip")
        strip.locator(".sign").nth(6).tap()
        strip.get_by_role("button", name="or 3").tap()
        expect(field).to_have_value("K36/11[83]")
        strip.get_by_role("button", name="Done").tap()
        strip.locator(".sign").nth(2).tap()
        strip.get_by_role("button", name="cannot read").tap()
        expect(field).to_have_value("K3?/11[83]")
        strip.get_by_role("button", name="some lost after it").tap()
        expect(field).to_have_value("K3?*/11[83]")

    def test_and_by_keyboard(self, desk: Page) -> None:
        begin(desk)
        desk.keyboard.press("Alt+n")
        desk.keyboard.type("K36")
        for _ in range(3):
            desk.keyboard.press("Tab")
        desk.keyboard.press("Tab")
        desk.keyboard.press("Enter")
        for _ in range(6):
            if "cannot read" in desk.evaluate("document.activeElement.textContent"):
                break
            desk.keyboard.press("Tab")
        desk.keyboard.press("Enter")
        assert "?" in desk.locator("#reading-text").input_value()


def test_the_standing_follows_every_key(desk: Page) -> None:
    begin(desk)
    desk.locator("#reading-text").press_sequentially("206-D-3", delay=60)
    expect(desk.locator("#standing .headline")).to_contain_text("Brattock")
    expect(desk.locator("#standing .advice")).to_contain_text("as far as it is typed")


def test_the_second_of_two_browsers_is_told_and_its_text_stays(desk: Page, telephone: Page) -> None:
    address = begin(desk, caller="Mrs Hollis")
    telephone.goto(address)
    with desk.expect_response("**/caller/"):
        desk.locator("#caller-name").fill("Mrs Holly")
        desk.keyboard.press("Tab")
    with telephone.expect_response("**/caller/"):
        telephone.locator("#caller-name").fill("Mr Hollis")
        telephone.locator("#caller-title").tap()
    expect(telephone.locator("#caller-state .error")).to_contain_text("Mrs Holly")
    expect(telephone.locator("#caller-name")).to_have_value("Mr Hollis")


def full_page(page: Page) -> None:
    """A call with something of everything on its page."""
    begin(page, machine="Drumlow Lowfold", text="K36/11[83]", caller="Mrs Hollis")
    page.locator("#ask-question").focus()
    with page.expect_response("**/look/"):
        page.locator("#ask .answer[data-key=u]").click()
    expect(page.locator("#answers .items strong")).to_have_text("unsure")
    page.evaluate("document.querySelectorAll('details').forEach(note => note.open = true)")


PAGES = ["/counter/", "call", "/enquiries/", "read-back"]


def open_page(page: Page, which: str) -> None:
    if which.startswith("/"):
        page.goto(which)
        return
    full_page(page)
    if which == "read-back":
        page.get_by_role("link", name="Read back").first.click()
        page.wait_for_url("**/read-back/**")


CHECKS = Path(__file__).with_name("page_checks.js").read_text(encoding="utf-8")


def breaking(page: Page, check: str) -> Any:
    """What on the page breaks a rule of ``page_checks.js``."""
    return page.evaluate(f"() => {{ {CHECKS}\n return {check}; }}")


@pytest.mark.parametrize("which", PAGES)
class TestEverybodyCanUseIt:
    def test_everything_has_a_name(self, desk: Page, which: str) -> None:
        open_page(desk, which)
        assert breaking(desk, "nameless()") == []

    def test_targets_are_large_enough_for_a_glove(self, telephone: Page, which: str) -> None:
        open_page(telephone, which)
        assert breaking(telephone, "tooSmall(47.5)") == []

    def test_text_stands_out_from_its_ground(self, desk: Page, which: str) -> None:
        open_page(desk, which)
        assert breaking(desk, "pale()") == []

    def test_the_focus_is_seen_at_every_stop(self, desk: Page, which: str) -> None:
        open_page(desk, which)
        unmarked: set[Any] = set()
        for _ in range(60):
            desk.keyboard.press("Tab")
            unmarked.add(breaking(desk, "unmarkedFocus()"))
        assert unmarked <= {None}

    @pytest.mark.parametrize("width", [320, 390, 1280])
    def test_nothing_runs_off_the_side(self, desk: Page, which: str, width: int) -> None:
        desk.set_viewport_size({"width": width, "height": 800})
        open_page(desk, which)
        assert desk.evaluate("document.documentElement.scrollWidth") <= width

    def test_one_heading_leads_and_no_id_stands_twice(self, desk: Page, which: str) -> None:
        open_page(desk, which)
        assert desk.locator("h1").count() == 1
        assert breaking(desk, "idsTwice()") == []


def test_single_keys_answer_only_while_the_question_has_the_focus(desk: Page) -> None:
    begin(desk, machine="Drumlow Lowfold")
    desk.locator("#close-title").click()
    desk.evaluate("document.activeElement.blur()")
    desk.keyboard.press("u")
    desk.wait_for_timeout(300)
    assert desk.locator("#answers .items li").count() == 0
