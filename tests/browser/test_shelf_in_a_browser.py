"""The shelf in a real browser: counted, built and bought on a telephone, found by keyboard, and without scripts."""

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
#: Each of another build; the others share their pieces.
HELD_BY_AXE = ("", "buy/", "part/bowl-gasket-b-bar3/")
KIT = "/shelf/kit/B-12G/"
PAGES = (
    "",
    "kits/",
    "build/",
    "buy/",
    "suppliers/",
    "carry/",
    "part/bowl-gasket-b-bar3/",
)


def test_begun_found_counted_and_built_on_a_telephone(telephone: Page, broken: Callable[[Page], list[str]]) -> None:
    telephone.goto("/shelf/")
    telephone.get_by_role("button", name="Begin with the records' numbers").tap()
    expect(telephone.get_by_role("status").first).to_contain_text("as the records had them")
    telephone.get_by_label("Name, number or kind").fill("B-12G")
    expect(telephone.locator(".shelf-table tbody tr")).to_have_count(1)
    telephone.locator(".shelf-table a").tap()
    telephone.wait_for_url(f"**{KIT}")
    telephone.get_by_label("How many lie there").fill("three")
    telephone.get_by_role("button", name="Write the count").tap()
    field = telephone.get_by_label("How many lie there")
    expect(field).to_have_value("three")
    expect(field).to_have_attribute("aria-invalid", "true")
    assert broken(telephone) == []
    field.fill("5")
    telephone.get_by_role("button", name="Write the count").tap()
    expect(telephone.locator(".numbers dd").first).to_have_text("5")
    telephone.get_by_text("Scrap some").tap()
    expect(telephone.get_by_text("national asbestos rules decide")).to_be_visible()


def test_every_page_fits_a_telephone_and_breaks_no_rule(telephone: Page, broken: Callable[[Page], list[str]]) -> None:
    for address in PAGES:
        telephone.goto(f"/shelf/{address}")
        assert telephone.evaluate("document.documentElement.scrollWidth") <= 390, address
        for wrong in (checks.TOO_SMALL, checks.NAMELESS, checks.TWICE, checks.DANGLING):
            assert telephone.evaluate(wrong) == [], address
        if address in HELD_BY_AXE:
            assert broken(telephone) == [], address


def test_a_supplier_a_price_and_an_order_at_the_desk(desk: Page, broken: Callable[[Page], list[str]]) -> None:
    desk.goto("/shelf/suppliers/")
    desk.get_by_label("Name").fill("Ardwath Gasket Works")
    desk.get_by_role("button", name="Add").click()
    desk.wait_for_url("**/shelf/suppliers/*/")
    desk.get_by_label("Our number of the kit or part").fill("bowl-gasket-b-bar3")
    desk.get_by_label("Price of one").fill("1,250")
    desk.get_by_role("button", name="Keep the price").click()
    expect(desk.get_by_text("can be read two ways")).to_be_visible()
    assert broken(desk) == []
    desk.get_by_label("Price of one").fill("1.25")
    desk.get_by_role("button", name="Keep the price").click()
    expect(desk.get_by_role("status").first).to_contain_text("is kept")
    desk.goto("/shelf/part/bowl-gasket-b-bar3/")
    expect(desk.get_by_text("1.25 EUR")).to_be_visible()
    assert broken(desk) == []


def test_found_by_keyboard_and_counted_without_scripts(desk: Page) -> None:
    desk.goto("/shelf/")
    desk.keyboard.press("Alt+f")
    desk.keyboard.type("bowl gasket brattock bar 34")
    expect(desk.locator(".shelf-table tbody tr")).to_have_count(1)
    context = desk.context.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    bare = context.new_page()
    bare.goto(desk.url.split("/shelf/")[0] + "/shelf/part/bowl-gasket-b-bar3/")
    bare.get_by_label("How many lie there").fill("11")
    bare.get_by_label("Where").first.fill("Drawer 7")
    bare.get_by_role("button", name="Write the count").click()
    assert "Counted 11 at Drawer 7" in bare.locator(".messages").inner_text()
    context.close()
