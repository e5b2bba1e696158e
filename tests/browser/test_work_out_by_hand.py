"""Working something out in a real browser: by keyboard at the desk, by touch on a telephone."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

_spec = importlib.util.spec_from_file_location("notebook_checks", Path(__file__).with_name("test_notebook_by_hand.py"))
assert _spec
assert _spec.loader
checks = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(checks)


def test_by_keyboard_alone(desk: Page, broken: Callable[[Page], list[str]]) -> None:
    desk.goto("/work-out/")
    assert broken(desk) == []
    desk.get_by_label("What is it about?").focus()
    desk.keyboard.type("any unit")
    link = desk.get_by_role("link", name="One unit into another")
    expect(desk.locator(".wo-list li")).to_have_count(1)
    link.focus()
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/work-out/conversion/")
    field = desk.get_by_label("What is written")
    field.focus()
    desk.keyboard.type("5 furlong")
    expect(desk.locator("#says")).to_contain_text("no unit known here")
    desk.keyboard.press("Control+a")
    desk.keyboard.type("5 psi")
    expect(desk.locator("#says")).to_have_text("5 psi is 34.4738 kPa.")
    expect(field).to_be_focused()
    assert broken(desk) == []
    desk.reload()
    expect(field).to_have_value("5 psi")
    expect(desk.locator("#says")).to_have_text("5 psi is 34.4738 kPa.")
    desk.get_by_label("Wanted in").focus()
    desk.keyboard.type("inHg")
    desk.keyboard.press("Enter")
    expect(desk.locator("#says")).to_have_text("5 psi is 10.1801 inHg.")
    assert "to=inHg" in desk.url
    desk.get_by_role("link", name="Everything that can be worked out").focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Work something out")


def test_on_a_telephone_every_page_fits_and_every_target_can_be_hit(
    telephone: Page, broken: Callable[[Page], list[str]]
) -> None:
    telephone.goto("/work-out/")
    pages = telephone.locator(".wo-list a").evaluate_all("all => all.map(one => one.getAttribute('href'))")
    assert "/work-out/conversion/" in pages
    for address in ("/work-out/", *pages[::6]):  # One template serves all: a few of them show it.
        telephone.goto(address)
        assert telephone.evaluate("document.documentElement.scrollWidth") <= 390, address
        for wrong in (checks.TOO_SMALL, checks.NAMELESS, checks.TWICE, checks.DANGLING):
            assert telephone.evaluate(wrong) == [], address
    for address in ("/work-out/thread/",):
        telephone.goto(address)
        assert broken(telephone) == [], address


def test_a_wrong_figure_is_marked_and_put_right_by_touch(telephone: Page) -> None:
    telephone.goto("/work-out/shaft-leak/")
    says = telephone.locator("#says")
    play = telephone.get_by_label("Play", exact=True)
    play.fill("0,2")
    expect(telephone.locator("#wrong-play")).to_contain_text("write 0.2")
    expect(play).to_have_attribute("aria-invalid", "true")
    play.fill("0.2")
    expect(says).to_contain_text("0.20 mm (.008 in) of play at both ends")
    expect(play).not_to_have_attribute("aria-invalid", "true")
    telephone.get_by_label("Worn at").select_option("one end")
    expect(says).to_contain_text("at one end")
    telephone.locator("#used summary").tap()
    play.fill("0.1")
    expect(says).to_contain_text("0.10 mm")
    expect(telephone.locator("#used")).to_have_attribute("open", "")
    expect(says).to_be_in_viewport()
    telephone.get_by_role("button", name="Lengths in inches").tap()
    telephone.wait_for_url("**lengths=inch")
    expect(play).to_have_value("0.1 mm")
    expect(says).to_contain_text("0.10 mm")


def test_nothing_is_lost_without_scripts(desk: Page) -> None:
    context = desk.context.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    bare = context.new_page()
    desk.goto("/work-out/conversion/")
    bare.goto(desk.url)
    bare.get_by_label("What is written").fill("much")
    bare.get_by_role("button", name="Work it out").click()
    assert bare.get_by_label("What is written").input_value() == "much"
    assert "no unit known here" in bare.locator("#says").inner_text()
    context.close()
